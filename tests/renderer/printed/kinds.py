"""Kinds of layout as data (`kinds.yaml`), and prints made of them with names drawn from a seed."""

from __future__ import annotations

import functools
import re
import zlib
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
import yaml

from tests.renderer.printed import names
from tests.renderer.printed.content import Line, Print, Printed, Rng, pick

FILE = Path(__file__).with_name("kinds.yaml")
ROLES = ("logo", "head", "body", "small", "code", "boxed", "turned")
#: Marks of which several forms are one mark; of every other mark each value is one of its own.
ONE_NAME = ("manufacturer", "model", "reuse")
#: Marks that a maker spells as it likes: without a label beside them only their place names them.
NAMES = ("manufacturer", "model", "lot")

_LISTS = ("labelled", "unnamed", "lacks", "about")
_SLOT = re.compile(r"\{(@?)([a-z_]+)(?:\.([a-z]+))?(?:([:=])([^}]*))?\}")
_SIZES = {"logo": 1.5, "head": 1.15, "body": 1.0, "small": 0.6, "code": 0.85, "boxed": 1.2,
          "turned": 1.2}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of layout; see the head of `kinds.yaml`."""

    kind: str
    scheme: str
    lines: tuple[tuple[str, str], ...]  # role, text with slots
    surface: str = "facepiece"
    labelled: tuple[str, ...] = ()
    unnamed: tuple[str, ...] = ()
    lacks: tuple[str, ...] = ()
    fault: str = ""
    about: tuple[str, ...] = ()
    expect: str = ""
    outcome: str = ""

    @property
    def latin(self) -> bool:
        """Whether the typefaces of the renderer have all its letters."""
        text = "".join(text for _, text in self.lines)
        foreign = re.search(r":(han|han_company|hangul|kanji_company|japanese_month)\}", text)
        return foreign is None and all(ord(sign) < 0x180 or sign == "≥" for sign in text)


@functools.cache
def kinds() -> dict[str, Kind]:
    """The kinds by name, in the order of the file. Raises ValueError for a wrong entry."""
    found: dict[str, Kind] = {}
    for entry in yaml.safe_load(FILE.read_text(encoding="utf-8")):
        lines = tuple(next(iter(line.items())) for line in entry.pop("lines"))
        lists = {name: tuple(entry.pop(name, ())) for name in _LISTS}
        kind = Kind(lines=lines, **lists, **entry)
        if wrong := [role for role, _ in lines if role not in ROLES]:
            raise ValueError(f"{kind.kind}: no role {wrong[0]!r}; there are {', '.join(ROLES)}")
        if kind.kind in found:
            raise ValueError(f"{kind.kind} stands twice in {FILE.name}")
        found[kind.kind] = kind
    return found


def compose_kind(kind: Kind, seed: int) -> Print:
    """The print of a kind; the same seed gives the same names, another seed others."""
    rng = np.random.default_rng([seed, zlib.crc32(kind.kind.encode())])
    made: dict[tuple[str, str, str], names.Forms] = {}
    lines, printed, others = [], [], []
    for number, (role, text) in enumerate(kind.lines):
        line, marks, bare = _line(rng, role, text, made)
        lines.append(line)
        printed += [replace(mark, line=number) for mark in marks]
        others += bare if marks else [line.text]
    makers = [one for mark in printed if mark.mark == "manufacturer" for one in mark.forms]
    return Print(
        kind.scheme,
        kind.fault or None,
        tuple(lines),
        kind=kind.kind,
        printed=_merged(printed, kind),
        others=tuple(dict.fromkeys(text for text in others if text not in makers)),
    )


def _line(
    rng: Rng, role: str, text: str, made: dict[tuple[str, str, str], names.Forms]
) -> tuple[Line, list[Printed], list[str]]:
    values: dict[str, str] = {}
    marks: list[Printed] = []
    bare: list[str] = []

    def fill(slot: re.Match[str]) -> str:
        aside, name, form, sign, how = slot.groups()
        key = (aside, name, form or "")
        if aside:
            made[key] = names.make(rng, name)
        elif sign == "=":
            made[key] = (pick(rng, *how.split("|")),)
        elif sign:
            years = names.ENDS_IN if name == "expiry_date" else names.MADE_IN
            made[key] = names.make(rng, how, _maker(made), years)
        if key not in made:
            raise ValueError(f"{slot.group()} in {text!r} stands before it has a value")
        forms = made[key]
        if aside:
            bare.append(forms[0])
        else:
            if values.setdefault(name, forms[0]) != forms[0] and name not in ONE_NAME:
                raise ValueError(f"{text!r} has two values of {name}; part them into two lines")
            marks.append(Printed(name, forms, 0, False))
        return forms[0]

    whole = _SLOT.sub(fill, text)
    kept = {"boxed": "head", "turned": "head"}.get(role, role)
    dress = role if role in ("boxed", "turned") else ""
    return Line(whole, values, kept, _SIZES[role], dress), marks, bare


def _maker(made: dict[tuple[str, str, str], names.Forms]) -> str:
    return next((forms[0] for (_, name, _), forms in made.items() if name == "manufacturer"), "")


def _merged(marks: list[Printed], kind: Kind) -> tuple[Printed, ...]:
    """Each mark once, the forms of a name together."""
    found: dict[tuple[str, str], Printed] = {}
    for mark in marks:
        key = (mark.mark, "" if mark.mark in ONE_NAME else mark.value)
        earlier = found.get(key)
        forms = mark.forms if earlier is None else tuple(dict.fromkeys(earlier.forms + mark.forms))
        by_word = (
            mark.mark in kind.labelled if mark.mark in NAMES else mark.mark not in kind.unnamed
        )
        found[key] = Printed(mark.mark, forms, (earlier or mark).line, by_word)
    return tuple(found.values())
