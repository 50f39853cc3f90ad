"""Where a grammar's patterns stand in a line of text: exactly, or but for look-alike letters.

A match never changes the ink. It says which letters would have to be others for the pattern to
hold (`changes`), and how far that goes: `exact`, `look_alike` (O for zero), or `confusable`
(S for 5), which is never more than a question.
"""

import itertools
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache, lru_cache
from typing import Literal

from inkwitness.marks.grammar import Grammar, Pattern
from inkwitness.marks.text import CONFUSABLE, LOOK_ALIKE, Ready, look_alike, ready

Nearness = Literal["exact", "look_alike", "confusable"]
#: Nearest first.
NEARNESS_ORDER: tuple[Nearness, ...] = ("exact", "look_alike", "confusable")

#: Letters that may have to be others for a pattern to hold: with more, any print would match.
_MOST_CHANGES = 3
#: Letters that may be changed, each way counted: with more, trying all would take too long.
_MOST_OPTIONS = 60
#: A match that is longer by so much goes on behind the other (a letter or two may be its end).
_GOES_ON = 4
_DIGITS = "0123456789"


@dataclass(frozen=True, slots=True)
class Match:
    """One place where a grammar holds.

    `start`, `end` are in the original string; `printed` is its letters there; `value` the normal
    form; `changes` lists (index in the original string, letter seen, letter the pattern wants).
    `strict` is False for a form that is matched only as it stands, `always_doubtful` True for one
    that is more often another misread, `often_a_rest` for one that may be the rest of a longer one
    (see `Pattern`). A match that was scored has the ink alone in `printed`, and in `share` how much
    of the evidence (0-1) is for its value.
    """

    mark: str
    scheme: str
    start: int
    end: int
    printed: str
    value: str
    parts: tuple[tuple[str, str], ...]
    nearness: Nearness
    changes: tuple[tuple[int, str, str], ...] = ()
    strict: bool = True
    always_doubtful: bool = False
    often_a_rest: bool = False
    share: float = 1.0


@lru_cache(maxsize=1 << 16)
def find(text: str, grammar: Grammar, *, loosely: bool = True) -> tuple[Match, ...]:
    """All places in `text` where the grammar holds, in order, none overlapping.

    Patterns are tried in the order of the rules file; with `loosely`, places where the pattern
    holds but for confusable letters follow, only where nothing exact stands. A form that is exact
    only because a longer one has a letter misread behind it (EN149:2001 of EN149:2001+R1:2009)
    gives way to that one.
    """
    prepared = ready(text)
    found: list[Match] = []
    for pattern in grammar.patterns:
        for hit in _compiled(pattern.regex).finditer(prepared.text):
            _keep(found, _match(prepared, text, grammar, pattern, hit, prepared.text))
    if loosely:
        for pattern in grammar.patterns:
            if pattern.strict:
                for match in _loose(prepared, text, grammar, pattern):
                    found = [other for other in found if not _begins(other, match)]
                    _keep(found, match)
    return tuple(sorted(found, key=lambda match: match.start))


def value_of(printed: str, grammar: Grammar) -> Match | None:
    """The match that covers all of `printed`, exact or by look-alikes; None where there is none."""
    for match in find(printed, grammar):
        if match.nearness != "confusable" and match.printed.strip() == printed.strip():
            return match
    return None


def ink_span(match: Match) -> tuple[int, int]:
    """Start and end, in the original line, of the part `ink`, or of the whole match without one.

    A grammar that reads `LOT No. K501057` names the part `ink`; the mark is `K501057`, the label
    only shows that it is a lot.
    """
    ink = dict(match.parts).get("ink", "")
    prepared = ready(match.printed)
    # The part was cut from a text in which look-alikes may be put right: only lengths are equal.
    at = prepared.text.rfind(ink) if ink else -1
    if ink and at < 0:
        at = len(prepared.text) - len(ink)
    if at < 0:
        return match.start, match.end
    start, end = prepared.original_span(at, at + len(ink))
    return match.start + start, match.start + end


def _keep(found: list[Match], match: Match | None) -> None:
    if match is None or match.end <= match.start:
        return
    if all(match.end <= other.start or match.start >= other.end for other in found):
        found.append(match)


def _begins(short: Match, longer: Match) -> bool:
    """Whether a match is the beginning of one that goes on by more than a letter or two."""
    return short.start == longer.start and longer.end - short.end >= _GOES_ON


def _match(
    prepared: Ready,
    text: str,
    grammar: Grammar,
    pattern: Pattern,
    hit: re.Match[str],
    seen: str,
) -> Match | None:
    """Build a match from a hit in a corrected text; `seen` is the text as it was read."""
    if hit.end() == hit.start():
        return None
    start, end = prepared.original_span(hit.start(), hit.end())
    changed = [i for i in range(hit.start(), hit.end()) if hit.string[i] != seen[i]]
    changes = tuple((prepared.origin[i], text[prepared.origin[i]], hit.string[i]) for i in changed)
    if not changes:
        nearness: Nearness = "exact"
    elif all(look_alike(seen[i], hit.string[i]) for i in changed):
        nearness = "look_alike"
    else:
        nearness = "confusable"
    groups = ["" if g is None else g for g in (hit.group(0), *hit.groups())]
    return Match(
        mark=grammar.mark,
        scheme=grammar.scheme,
        start=start,
        end=end,
        printed=text[start:end],
        value=_fill(pattern.normal, groups),
        parts=tuple((name, groups[number]) for name, number in pattern.parts),
        nearness=nearness,
        changes=changes,
        strict=pattern.strict,
        always_doubtful=pattern.always_doubtful,
        often_a_rest=pattern.often_a_rest,
    )


def _fill(normal: str, groups: Sequence[str]) -> str:
    value = re.sub(r"\{(\d+)\}", lambda slot: groups[int(slot.group(1))], normal)
    return re.sub(r"\s+", " ", value).strip()


def _loose(prepared: Ready, text: str, grammar: Grammar, pattern: Pattern) -> Iterator[Match]:
    """Places where the loosened pattern holds, with the fewest changes that make it hold."""
    seen = prepared.text
    for hit in _compiled(loosen(pattern.regex)).finditer(seen):
        corrected = _correct(seen, hit.start(), hit.end(), pattern.regex)
        if corrected is not None:
            strict = _compiled(pattern.regex).search(corrected, hit.start())
            if strict is not None and strict.start() < hit.end():
                match = _match(prepared, text, grammar, pattern, strict, seen)
                if match is not None:
                    yield match


@lru_cache(maxsize=1 << 14)
def _correct(seen: str, start: int, end: int, regex: str) -> str | None:
    """The text with the fewest confusable letters of [start, end) changed so that regex holds."""
    strict = _compiled(regex)
    options = [
        (i, other)
        for i in range(start, end)
        for other in dict.fromkeys(_look_alikes(seen[i]) + CONFUSABLE.get(seen[i], ""))
        if other != seen[i] and other.isalnum()
    ]
    if len(options) > _MOST_OPTIONS:
        return None
    for count in range(1, _MOST_CHANGES + 1):
        for chosen in itertools.combinations(options, count):
            if len({i for i, _ in chosen}) < count:
                continue
            letters = list(seen)
            for i, other in chosen:
                letters[i] = other
            corrected = "".join(letters)
            hit = strict.search(corrected, start)
            if hit is not None and hit.start() <= chosen[0][0] and hit.end() > chosen[-1][0]:
                return corrected
    return None


def _look_alikes(letter: str) -> str:
    return "".join(group for group in LOOK_ALIKE if letter in group)


@cache
def _compiled(regex: str) -> re.Pattern[str]:
    return re.compile(regex)


@cache
def loosen(regex: str) -> str:
    """The pattern with every letter and digit widened to what it is confused with.

    Look-around groups, quantifiers and escapes other than the digit class stay as they are.

    >>> loosen("N95")
    '[NHMRW][9GQ][5S6]'
    """
    out: list[str] = []
    i = 0
    while i < len(regex):
        if regex.startswith(("(?<", "(?=", "(?!"), i):
            end = _closing(regex, i)
            out.append(regex[i:end])
            i = end
        elif regex[i] == "\\":
            out.append(_widened(_DIGITS) if regex[i + 1] == "d" else regex[i : i + 2])
            i += 2
        elif regex[i] == "[":
            end = regex.index("]", i + 2) + 1
            out.append(_widened_class(regex[i:end]))
            i = end
        elif regex[i] == "{":
            end = regex.index("}", i) + 1
            out.append(regex[i:end])
            i = end
        elif regex[i] in CONFUSABLE:
            out.append(_widened(regex[i]))
            i += 1
        else:
            out.append(regex[i])
            i += 1
    return "".join(out)


def _widened(letters: str) -> str:
    """A character class of the letters and all that is taken for them."""
    wide = dict.fromkeys(letters)
    for letter in letters:
        wide.update(dict.fromkeys(_look_alikes(letter)))
        wide.update(dict.fromkeys(other for other, taken in CONFUSABLE.items() if letter in taken))
        wide.update(dict.fromkeys(CONFUSABLE.get(letter, "")))
    return "[" + "".join(re.escape(letter) for letter in wide) + "]"


def _widened_class(text: str) -> str:
    if text.startswith("[^"):
        return text
    body = text[1:-1]
    if "0-9" in body or "\\d" in body:
        return "[" + body + "OQDILSZBGA|" + "]"
    singles = [c for c in body if c in CONFUSABLE] if "-" not in body[1:-1] else []
    return "[" + body + "".join(_widened(c)[1:-1] for c in singles) + "]" if singles else text


def _closing(regex: str, start: int) -> int:
    """The index after the parenthesis that closes the group opened at `start`."""
    depth = 0
    i = start
    while i < len(regex):
        if regex[i] == "\\":
            i += 2
            continue
        if regex[i] == "[":
            i = regex.index("]", i + 2) + 1
            continue
        depth += {"(": 1, ")": -1}.get(regex[i], 0)
        i += 1
        if depth == 0:
            return i
    raise ValueError(f"no closing parenthesis in {regex!r}")
