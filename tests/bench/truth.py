"""Photo sets with truth: what each mark of a photo is, and whether it counts.

Made sets: a JSON file beside each photo (see tests/renderer). Hand-transcribed sets: one
`truth.csv` (`file, legibility, agency, approval_number, filter_class, lot, standard,
notified_body, caption_only, uncertain_fields, ...`); doubt is the right answer for an uncertain
field, so it is not scored.
"""

from __future__ import annotations

import csv
import json
import re
from dataclasses import dataclass, field
from pathlib import Path

from inkwitness.marks.grammar import Grammar
from inkwitness.marks.match import find_all
from inkwitness.marks.read_marks import marks_of_text
from inkwitness.marks.values import Mark
from inkwitness.marks.vocabulary import Vocabulary

SCORED = ("approval_number", "filter_class", "standard", "body_number", "lot", "agency",
          "efficiency", "manufacture_date", "expiry_date", "reuse", "conformity_mark",
          "model")  # fmt: skip
_REAL = {"approval_number": "approval_number", "filter_class": "filter_class",
         "standard": "standard", "notified_body": "body_number", "lot": "lot",
         "agency": "agency"}  # fmt: skip


@dataclass(frozen=True)
class Wanted:
    """One mark that is on the photo: its value as printed."""

    mark: str
    value: str


@dataclass(frozen=True)
class Case:
    """One photo of a set: the marks to find, and for which marks all values are known."""

    file: Path
    group: str
    wanted: tuple[Wanted, ...]
    known: dict[str, frozenset[str]] = field(default_factory=dict)
    no_grammar: int = 0


def bare(value: str) -> str:
    """What two ways to write one value share: letters and digits (a normal form drops the rest)."""
    return "".join(letter for letter in value.upper() if letter.isalnum())


def made(folder: Path, grammars: tuple[Grammar, ...]) -> list[Case]:
    """The cases of a made set; a mark counts where it is legible and the grammar knows its text."""
    return [_made(file, grammars) for file in sorted(folder.glob("*.json"))]


def _made(file: Path, grammars: tuple[Grammar, ...]) -> Case:
    truth = json.loads(file.read_text(encoding="utf-8"))
    lines = [line["text"] for line in truth["lines"]]
    told = marks_of_text(lines, grammars, Vocabulary(), loosely=False)
    # A bare model is found by what else stands on the unit, not by a grammar: counted elsewhere.
    told = tuple(m for m in told if m.mark != "model" or _labelled(m, lines, grammars))
    told_bare = {(m.mark, text) for m in told for text in (bare(m.value), bare(m.printed))}
    known: dict[str, set[str]] = {}
    wanted, foreign = [], 0
    items = [{k: v for k, v in truth["marks"].items() if v}]
    items += [{k: v for k, v in item["marks"].items() if v} for item in truth.get("items", ())]
    for item in items:
        for mark, value in item.items():
            text = value if isinstance(value, str) else value.get("printed", "")
            known.setdefault(mark, set()).add(bare(text))
    for mark in told:
        known.setdefault(mark.mark, set()).update((bare(mark.value), bare(mark.printed)))
    for mark, value in truth["marks"].items():
        if not value or mark not in SCORED or not truth["legible"].get(mark):
            continue
        if (mark, bare(value)) in told_bare:
            wanted.append(Wanted(mark, value))
        else:
            foreign += 1
    photo = file.with_name(truth["file"])
    return Case(photo, truth["difficulty"], tuple(wanted),
                {k: frozenset(v) for k, v in known.items()}, foreign)  # fmt: skip


def _labelled(mark: Mark, lines: list[str], grammars: tuple[Grammar, ...]) -> bool:
    own = [grammar for grammar in grammars if grammar.mark == mark.mark]
    return mark.line is not None and bool(find_all(lines[mark.line], own, loosely=False))


def transcribed(folder: Path) -> list[Case]:
    """The cases of a hand-transcribed set."""
    cases = []
    with (folder / "truth.csv").open(encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file):
            if row["caption_only"] == "yes":
                continue
            unsure = set(row["uncertain_fields"].split(";"))
            wanted: list[Wanted] = []
            known: dict[str, frozenset[str]] = {}
            for column, mark in _REAL.items():
                values = [v for v in row[column].split(";") if v]
                if column in unsure:
                    continue
                shown = [_plain(mark, value) for value in values]
                wanted += [Wanted(mark, value) for value in shown if value]
                if shown or row["legibility"] == "clear":
                    known[mark] = frozenset(bare(value) for value in shown)
            cases.append(Case(folder / row["file"], row["legibility"], tuple(wanted), known))
    return cases


def _plain(mark: str, value: str) -> str:
    """The mark alone: a class without its suffix letters, an agency that is one."""
    if mark == "filter_class":
        found = re.match(r"(FFP[123]|[KNRP]{1,2}N?\s?-?\d{2,3})", value.strip())
        return found.group(1) if found else value
    if mark == "agency":
        return value if value.strip() == "NIOSH" else ""
    return value
