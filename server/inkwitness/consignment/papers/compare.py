"""Whether two texts of one field agree: numbers letter by letter, names as names, models as models.

The same likeness of names and normal form of numbers as the user's list is compared with.
"""

import re
from collections.abc import Iterable, Sequence
from itertools import combinations

from inkwitness.consignment.class_parts import compare
from inkwitness.consignment.papers.values import Alike, Beside, PaperCell, PaperRow, RowState, Said
from inkwitness.holders.lookup import all_models, all_names
from inkwitness.holders.names import likeness
from inkwitness.holders.numbers import normal_form
from inkwitness.holders.values import HolderEntry
from inkwitness.marks.vocabulary import PLAIN, Printing
from inkwitness.rulebook.papers import Paper, PaperField

_NAMES: frozenset[PaperField] = frozenset({"holder", "issuer", "signed_by"})
_BODIES: frozenset[PaperField] = frozenset({"body_number", "certificate_body"})
#: Fields of the table, in the order in which one reads a paper. A number is of one paper alone.
_TABLE: tuple[PaperField, ...] = (
    "holder",
    "product",
    "filter_class",
    "standard",
    "body_number",
    "lots",
)
#: Papers of which the body's number is that beside CE; a type certificate's may be another.
_SUPERVISED = frozenset({"control", "declaration"})
_BEST_FIRST: tuple[Alike, ...] = ("agrees", "resembles", "differs")
_WORD = re.compile(r"[^\s,;/()]+")


def alike(
    name: PaperField,
    one: str,
    other: str,
    entries: Sequence[HolderEntry] = (),
    printing: Printing = PLAIN,
) -> Alike:
    """How the text of a paper lies beside another text of the same field.

    `entries` of the user's list may say that two names are one firm's: a private label.
    """
    if name in _NAMES:
        return _names(one, other, entries)
    if name == "product":
        return "agrees" if _models(one, other) or _models(other, one) else "differs"
    if name == "filter_class":
        return "differs" if compare(one, other, printing).differ else "agrees"
    if name == "standard":
        return "agrees" if _standards(one) & _standards(other) else "differs"
    if name in _BODIES:
        return "agrees" if digits(one) == digits(other) else "differs"
    if name == "number" and (_bare(one, other) or _bare(other, one)):
        return "agrees"
    return "agrees" if normal_form(one) == normal_form(other) else "differs"


def _bare(one: str, other: str) -> bool:
    """Whether one is the other without its letters in front: `49.981` of `CA 49981`."""
    behind = re.fullmatch(r"[A-Z]+([0-9]+)", normal_form(other))
    letters = any(letter.isalpha() for letter in one)
    return behind is not None and not letters and digits(one) == behind.group(1)


def _names(one: str, other: str, entries: Sequence[HolderEntry]) -> Alike:
    told = {likeness(one, other), likeness(other, one)}
    if told & {"same", "short"} or _one_firm(one, other, entries):
        return "agrees"
    return "resembles" if "resembles" in told else "differs"


def _one_firm(one: str, other: str, entries: Sequence[HolderEntry]) -> bool:
    """Whether the list has both names under one entry (another name, a private label)."""
    return any(
        all(
            any(likeness(name, listed) in ("same", "short") for listed in all_names(entry))
            for name in (one, other)
        )
        for entry in entries
    )


def same_model_on_list(one: str, other: str, entries: Sequence[HolderEntry]) -> bool:
    """Whether the list has both models under one entry, as of a private label."""
    return any(
        all(any(_models(name, listed) for listed in all_models(entry)) for name in (one, other))
        for entry in entries
    )


def _models(text: str, model: str) -> bool:
    """Whether words of the text, one after another, are the model: `half mask HR-F2` has `HR-F2`.

    A beginning of a word is not: `HR-F20` is another model than `HR-F2`.
    """
    wanted = normal_form(model)
    words = _WORD.findall(text)
    return bool(wanted) and any(
        normal_form(" ".join(words[start:end])) == wanted
        for start in range(len(words))
        for end in range(start + 1, min(start + 5, len(words)) + 1)
    )


def _standards(text: str) -> frozenset[str]:
    """The standards that a text names, without their years: `EN 149`, `EN 14683`."""
    plain = re.sub(r"\+\s*A[0-9C]*(?::[0-9]{4})?", "", text.upper())
    plain = re.sub(r"(?<![A-Z])(?:ISO|BS|DIN|NF|UNE|UNI)[\s-]+(?=EN)", "", plain)
    found = re.findall(r"([A-Z]+(?:/[A-Z]+)*)[\s-]*([0-9][0-9A-Z.]*)", plain)
    return frozenset(f"{letters} {digits}" for letters, digits in found)


def digits(text: str) -> str:
    """The digits of a text: `NB 9871` names body 9871."""
    return "".join(letter for letter in text if letter.isdigit())


def said_by_papers(papers: Iterable[Paper], name: PaperField) -> list[Said]:
    """What papers say in a field."""
    return [Said(name, text, "papers", paper) for paper in papers for text in paper.texts(name)]


def sources(said: Iterable[Said]) -> list[list[Said]]:
    """What is said, parted by what says it: a paper, a unit's print, its box, the list.

    Units whose print says the same count as one: of many units few differ.
    """
    parted: dict[tuple[str, str], list[Said]] = {}
    for one in said:
        parted.setdefault(one.source, []).append(one)
    alike: dict[tuple[str, str, frozenset[str]], list[Said]] = {}
    for (place, name), found in parted.items():
        paper = name if found[0].paper is not None else ""
        alike.setdefault((place, paper, frozenset(one.value for one in found)), found)
    return list(alike.values())


def lies_beside(
    name: PaperField,
    texts: Sequence[str],
    others: Sequence[Said],
    entries: Sequence[HolderEntry] = (),
    printing: Printing = PLAIN,
) -> Alike:
    """How the texts of a field lie beside those of one other source: the best of them counts."""
    found = {alike(name, one, other.value, entries, printing) for one in texts for other in others}
    if name == "product" and any(
        same_model_on_list(one, other.value, entries) for one in texts for other in others
    ):
        found.add("agrees")
    return next(state for state in _BEST_FIRST if state in found)


def table(beside: Beside, printing: Printing = PLAIN) -> tuple[PaperRow, ...]:
    """Each field across papers, goods, box and list: what one compares number to number."""
    rows = []
    for name in _TABLE:
        papers = [one for one in beside.papers if name not in _BODIES or one.kind in _SUPERVISED]
        said = [*said_by_papers(papers, name), *(s for s in beside.said if s.field == name)]
        cells = [PaperCell(one.place, one.value, one.paper.id if one.paper else "") for one in said]
        if cells:
            alone = len({one.source for one in said}) < 2
            if name == "lots":
                state: RowState = _lots(said)
            else:
                state = "alone" if alone else _state(name, sources(said), beside.entries, printing)
            rows.append(PaperRow(name, state, tuple(dict.fromkeys(cells))))
    return tuple(rows)


def _lots(said: Iterable[Said]) -> RowState:
    """How lots lie beside each other: goods may have many, and a paper may name some of them.

    What a place says is taken together, since units of other lots do not contradict each other.
    """
    by: dict[tuple[str, str], set[str]] = {}
    for one in said:
        paper = one.source[1] if one.paper is not None else ""
        by.setdefault((one.place, paper), set()).add(normal_form(one.value))
    if len(by) < 2:
        return "alone"
    pairs = list(combinations(by.values(), 2))
    if all(one <= other or other <= one for one, other in pairs):
        return "agrees"
    return "resembles" if all(one & other for one, other in pairs) else "differs"


def _state(
    name: PaperField,
    parted: Sequence[Sequence[Said]],
    entries: Sequence[HolderEntry],
    printing: Printing,
) -> RowState:
    if len(parted) < 2:
        return "agrees"
    found = {
        lies_beside(name, [said.value for said in one], other, entries, printing)
        for one, other in combinations(parted, 2)
    }
    return next(state for state in reversed(_BEST_FIRST) if state in found)
