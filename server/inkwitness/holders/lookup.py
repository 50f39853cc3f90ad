"""Looking a key up in one edition of the list: dictionaries, made once for each edition."""

import weakref
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from typing import TypeVar

from inkwitness.holders import names, near
from inkwitness.holders.near import NearIndex
from inkwitness.holders.numbers import normal_form
from inkwitness.holders.values import HolderEntry, HolderList

Made = TypeVar("Made")


@dataclass(slots=True)
class SchemeIndex:
    """The entries of one scheme by the normal form of number, certificate and model."""

    count: int = 0
    by_number: dict[str, list[HolderEntry]] = field(default_factory=dict)
    by_certificate: dict[str, list[HolderEntry]] = field(default_factory=dict)
    by_model: dict[str, list[HolderEntry]] = field(default_factory=dict)
    by_word: dict[str, list[HolderEntry]] = field(default_factory=dict)
    _near: dict[str, NearIndex] = field(default_factory=dict)

    def add(self, entry: HolderEntry) -> None:
        """Take an entry in. Only while the index is being made."""
        self.count += 1
        if number := normal_form(entry.approval_number):
            self.by_number.setdefault(number, []).append(entry)
        if certificate := normal_form(entry.certificate_number):
            self.by_certificate.setdefault(certificate, []).append(entry)
        for model in dict.fromkeys(normal_form(model) for model in all_models(entry)):
            if model:
                self.by_model.setdefault(model, []).append(entry)

        words = (names.key_of(name).own[:1] for name in all_names(entry))
        for word in dict.fromkeys(word for first in words for word in first):
            self.by_word.setdefault(word, []).append(entry)

    def named(self, printed: Iterable[str]) -> list[HolderEntry]:
        """Entries of which some name begins with a word that one of the printed names has."""
        words = dict.fromkeys(word for name in printed for word in names.key_of(name).own)
        found = (entry for word in words for entry in self.by_word.get(word, ()))
        return list({entry.key: entry for entry in found}.values())

    def numbers(self, mark: str) -> dict[str, list[HolderEntry]]:
        """The entries by the number that a mark of this name gives."""
        return self.by_certificate if mark == "certificate_number" else self.by_number

    def near(self, mark: str) -> NearIndex:
        """What is near to a number, a model (mark `model`) or the first word of a name
        (`manufacturer`, in capitals); made when first asked for.
        """
        if mark not in self._near:
            if mark == "manufacturer":
                self._near[mark] = near.build(word.upper() for word in self.by_word)
            else:
                self._near[mark] = near.build(
                    self.by_model if mark == "model" else self.numbers(mark)
                )
        return self._near[mark]


@dataclass(frozen=True, slots=True)
class ListIndex:
    """An edition, ready to be looked up in."""

    schemes: dict[str, SchemeIndex]

    def scheme(self, scheme: str) -> SchemeIndex | None:
        """The index of a scheme, or None where the list has no entry of it."""
        return self.schemes.get(scheme)


def all_models(entry: HolderEntry) -> Iterator[str]:
    """The models of an entry, those sold under private labels after its own."""
    yield from entry.models
    for label in entry.private_labels:
        yield from label.models


def all_names(entry: HolderEntry) -> Iterator[str]:
    """The names of an entry: the holder's, its other names, and its private labels'."""
    yield entry.holder
    yield from entry.other_names
    yield from (label.name for label in entry.private_labels)


def once_a_list(make: Callable[[HolderList], Made]) -> Callable[[HolderList], Made]:
    """What is made of a list: once for each, and let go together with it."""
    made: dict[int, tuple[weakref.ref[HolderList], Made]] = {}

    def kept(holder_list: HolderList) -> Made:
        key = id(holder_list)
        found = made.get(key)
        if found is None or found[0]() is not holder_list:
            found = (weakref.ref(holder_list, lambda _: made.pop(key, None)), make(holder_list))
            made[key] = found
        return found[1]

    return kept


@once_a_list
def index_of(holder_list: HolderList) -> ListIndex:
    """The index of an edition."""
    schemes: dict[str, SchemeIndex] = {}
    for entry in holder_list.entries:
        schemes.setdefault(entry.scheme, SchemeIndex()).add(entry)
    return ListIndex(schemes)


def entries_of(holder_list: HolderList, number: str, scheme: str = "") -> list[HolderEntry]:
    """The entries of exactly this number, as approval or certificate number, in normal form."""
    index = index_of(holder_list)
    found: dict[str, HolderEntry] = {}
    for name in (scheme,) if scheme else index.schemes:
        one = index.scheme(name)
        if one is not None:
            for mark in ("approval_number", "certificate_number"):
                for entry in one.numbers(mark).get(normal_form(number), ()):
                    found[entry.key] = entry
    return list(found.values())
