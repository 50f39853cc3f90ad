"""Numbers near to one that was read, out of 100,000, without looking at each.

The neighbours of the number that was read are spelled out and looked up in a dictionary: one
letter changed, lost, added or swapped, or two changed to what they are taken for. The dictionary is
keyed by the folded form, so dashes and look-alikes cost no spelling out. What it finds is then
measured by `numbers.distance`; what is equal is left out, since near is never equal.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cache
from itertools import combinations

from rapidfuzz import process
from rapidfuzz.distance import Levenshtein

from inkwitness.holders.numbers import NEAR_LIMIT, distance, folded
from inkwitness.marks.text import CONFUSABLE, confusable

#: Above this many spellings a look at every number is cheaper (Han letters make long alphabets).
_MOST_SPELLINGS = 20_000
_KNOWN = frozenset(CONFUSABLE) | frozenset("".join(CONFUSABLE.values()))


@dataclass(frozen=True, slots=True)
class NearIndex:
    """Normal forms of one scheme, ready to be asked for what is near to another."""

    by_folded: dict[str, tuple[str, ...]]
    alphabet: str

    def near(self, normal: str, *, limit: float = NEAR_LIMIT) -> tuple[tuple[str, float], ...]:
        """Normal forms at a distance above 0 and up to `limit`, with it, the nearest first.

        Finds all of them for a limit up to `NEAR_LIMIT` (a test compares it with looking at each).
        """
        if not normal:
            return ()
        found: dict[str, float] = {}
        for spelling in self._candidates(folded(normal)):
            for other in self.by_folded.get(spelling, ()):
                if other != normal and other not in found:
                    found[other] = distance(normal, other)
        kept = [(other, cost) for other, cost in found.items() if cost <= limit]
        return tuple(sorted(kept, key=lambda pair: (pair[1], pair[0])))

    def _candidates(self, read: str) -> Iterator[str]:
        changes = sum(len(_taken_for(letter)) for letter in read)
        if (2 * len(read) + 1) * len(self.alphabet) + changes * changes // 2 > _MOST_SPELLINGS:
            return _each_within_two(read, self.by_folded)
        return _spellings(read, self.alphabet)


def build(normals: Iterable[str]) -> NearIndex:
    """Make an index of normal forms; empty ones and repeats are left out."""
    gathered: dict[str, list[str]] = {}
    for normal in dict.fromkeys(normals):
        if normal:
            gathered.setdefault(folded(normal), []).append(normal)
    by_folded = {key: tuple(same) for key, same in gathered.items()}
    return NearIndex(by_folded, "".join(sorted(set().union(*by_folded))) if by_folded else "")


def _spellings(read: str, alphabet: str) -> Iterator[str]:
    """The folded forms one step away, and two steps where both are known confusions."""
    yield read
    for i in range(len(read)):
        before, after = read[:i], read[i + 1 :]
        yield before + after
        for letter in alphabet:
            yield before + letter + after
            yield before + letter + read[i:]
        if after:
            yield before + after[0] + read[i] + after[1:]
    for letter in alphabet:
        yield read + letter
    for i, j in combinations(range(len(read)), 2):
        before, between, after = read[:i], read[i + 1 : j], read[j + 1 :]
        for first in _taken_for(read[i]):
            for second in _taken_for(read[j]):
                yield before + first + between + second + after


def _each_within_two(read: str, by_folded: dict[str, tuple[str, ...]]) -> Iterator[str]:
    hits = process.extract_iter(read, by_folded.keys(), scorer=Levenshtein.distance, score_cutoff=2)
    return (found for found, _, _ in hits)


@cache
def _taken_for(letter: str) -> str:
    """The folded letters that a folded letter is taken for, or that are taken for it."""
    same = [other for other in _KNOWN | {letter} if folded(other) == letter]
    taken = {folded(other) for one in same for other in _KNOWN if confusable(one, other)}
    return "".join(sorted(taken - {letter}))
