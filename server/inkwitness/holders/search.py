"""Search as a person types: a piece of a number, a model or a name, in 100,000 entries."""

from collections.abc import Iterator
from dataclasses import dataclass

from anyascii import anyascii

from inkwitness.holders.lookup import all_models, all_names, once_a_list
from inkwitness.holders.numbers import normal_form
from inkwitness.holders.values import HolderEntry, HolderList


@dataclass(frozen=True, slots=True)
class Found:
    """Entries that were found, best first, and how many there are in all."""

    entries: tuple[HolderEntry, ...]
    total: int


def search(
    holder_list: HolderList,
    typed: str,
    *,
    scheme: str = "",
    status: str = "",
    limit: int = 20,
    offset: int = 0,
) -> Found:
    """Entries that hold every typed word in a number, model or name.

    Those whose number or name begins with what was typed come first, then in the order of the
    list. A word is looked for as it is and without the signs between its parts.
    """
    words = [(_plain(word), normal_form(word).casefold()) for word in typed.split()]
    whole = normal_form(typed).casefold()
    first: list[HolderEntry] = []
    rest: list[HolderEntry] = []
    for entry, names, numbers in _texts(holder_list):
        if (scheme and entry.scheme != scheme) or (status and entry.status != status):
            continue
        each = all(word in names or (bare and bare in numbers) for word, bare in words)
        if not each and (not whole or whole not in numbers):
            continue
        begins = words and (f"\n{words[0][0]}" in names or f"\n{whole}" in numbers)
        (first if begins else rest).append(entry)
    ranked = first + rest
    return Found(tuple(ranked[offset : offset + limit]), len(ranked))


@once_a_list
def _texts(holder_list: HolderList) -> tuple[tuple[HolderEntry, str, str], ...]:
    return tuple((entry, *_text(entry)) for entry in holder_list.entries)


def _text(entry: HolderEntry) -> tuple[str, str]:
    names = "".join(f"\n{_plain(name)}" for name in all_names(entry))
    numbers = "".join(f"\n{normal_form(number).casefold()}" for number in _numbers(entry))
    return names, numbers


def _numbers(entry: HolderEntry) -> Iterator[str]:
    yield entry.approval_number
    yield entry.certificate_number
    yield from all_models(entry)


def _plain(text: str) -> str:
    return anyascii(text).casefold()
