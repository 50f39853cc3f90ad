"""The frame: the list of everything that could be drawn, fixed and hashed before the seed is made.

Names may be written out or as ranges; a name is split at "/", and each part may be a range. The
hash is that of a text file with one name a line, so `sha256sum` on such a file gives the same.

>>> names(["C001..C002/U1..U2"])
('C001/U1', 'C001/U2', 'C002/U1', 'C002/U2')
>>> frame_hash(("C001", "C002"))[:16]
'927496b46c0ce672'
"""

import hashlib
import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from itertools import product
from math import prod

from inkwitness.errors import BadInput

LARGEST_FRAME = 500_000
_RANGE = re.compile(r"(?P<before>.*?)(?P<first>[0-9]{1,9})\.\.(?P=before)(?P<last>[0-9]{1,9})")


def names(written: Iterable[str]) -> tuple[str, ...]:
    """Every name once, ranges written out, in the order given."""
    listed: list[str] = []
    for line, entry in enumerate(written, 1):
        if not entry or entry != entry.strip() or not entry.isprintable():
            raise BadInput("sample_blank_unit", line=line, value=ascii(entry)[1:-1][:40])
        parts = [_range(part) for part in entry.split("/")]
        count = len(listed) + prod(map(len, parts))
        if count > LARGEST_FRAME:
            raise BadInput("sample_too_many_units", value=count, largest=LARGEST_FRAME)
        listed.extend(["/".join(chosen) for chosen in product(*parts)])
    if not listed:
        raise BadInput("sample_no_units")
    seen: set[str] = set()
    for name in listed:
        if name in seen:
            raise BadInput("sample_double_unit", value=name)
        seen.add(name)
    return tuple(listed)


def per_first_part(written: Iterable[str]) -> dict[str, int]:
    """How many names begin with each part before the first "/", counted and not written out.

    A name of one part alone is left out.

    >>> per_first_part(["A310/C001..C020/U001..U400", "A311/U1", "U1..U9"])
    {'A310': 8000, 'A311': 1}
    """
    found: dict[str, int] = {}
    for entry in written:
        first, slash, inside = entry.partition("/")
        if slash:
            n = prod(map(_length, inside.split("/")))
            for name in _range(first):
                found[name] = found.get(name, 0) + n
    return found


def frame_hash(units: Sequence[str]) -> str:
    """SHA-256 of the names in their order, UTF-8, each followed by a line feed; hexadecimal."""
    return hashlib.sha256("".join(f"{unit}\n" for unit in units).encode()).hexdigest()


def by_lot(units: Iterable[str]) -> Mapping[str, tuple[str, ...]]:
    """Units by the part of their name before the first "/"."""
    return _grouped(
        units, "sample_unit_without_lot", "LOT-A/C003/U07", lambda unit: unit.partition("/")
    )


def by_carton(units: Iterable[str]) -> Mapping[str, tuple[str, ...]]:
    """Units by the part of their name before the last "/"."""
    return _grouped(
        units, "sample_unit_without_carton", "C003/U07", lambda unit: unit.rpartition("/")
    )


def _grouped(
    units: Iterable[str], key: str, example: str, split: Callable[[str], tuple[str, str, str]]
) -> Mapping[str, tuple[str, ...]]:
    groups: dict[str, list[str]] = {}
    for unit in units:
        group, slash, _ = split(unit)
        if not slash or not group:
            raise BadInput(key, value=unit, example=example)
        groups.setdefault(group, []).append(unit)
    return {group: tuple(members) for group, members in groups.items()}


def _length(part: str) -> int:
    found = _RANGE.fullmatch(part) if ".." in part else None
    return int(found["last"]) - int(found["first"]) + 1 if found is not None else 1


def _range(part: str) -> list[str]:
    if ".." not in part:
        return [part]
    found = _RANGE.fullmatch(part)
    if found is None or int(found["first"]) > int(found["last"]):
        raise BadInput("sample_range", value=part[:40])
    first, last = int(found["first"]), int(found["last"])
    if last - first >= LARGEST_FRAME:
        raise BadInput("sample_too_many_units", value=last - first + 1, largest=LARGEST_FRAME)
    width = len(found["first"])
    return [f"{found['before']}{number:0{width}}" for number in range(first, last + 1)]
