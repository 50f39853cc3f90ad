"""Photo sets with truth: every mark of a photo, and whether it counts.

Made sets: a JSON file beside each photo (see tests/renderer). Hand-transcribed sets: one
`truth.csv` (`file, legibility, agency, approval_number, filter_class, efficiency, model, lot,
manufacturer, standard, notified_body, caption_only, uncertain_fields, ...`); doubt is the right
answer for an uncertain field, so it is not scored.
"""

from __future__ import annotations

import csv
import json
import re
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from inkwitness.marks.grammar import Grammar
from inkwitness.marks.read_marks import marks_of_text
from inkwitness.marks.vocabulary import Vocabulary
from inkwitness.rulebook import shipped

#: Marks that a maker spells as it likes: of these a candidate among the first few is a find.
NAMES = ("manufacturer", "model", "lot")
SCORED = ("approval_number", "filter_class", "standard", "body_number", "agency", "efficiency",
          "manufacture_date", "expiry_date", "reuse", "conformity_mark", *NAMES)  # fmt: skip
#: More marks that a kind of layout may state.
RARER = ("particle_type", "level", "clearance_number", "kcs_mark", "shelf_life")
_REAL = {"approval_number": "approval_number", "filter_class": "filter_class",
         "standard": "standard", "notified_body": "body_number", "lot": "lot",
         "agency": "agency", "efficiency": "efficiency", "model": "model",
         "manufacturer": "manufacturer"}  # fmt: skip
_REUSE = re.compile(r"\b(?:D ?)?(?:NR|R)(?: ?D)?\b")


@dataclass(frozen=True)
class Wanted:
    """One mark that is on the photo: its value as printed and other forms of the same mark."""

    mark: str
    forms: tuple[str, ...]

    @property
    def value(self) -> str:
        """The value as printed."""
        return self.forms[0]


@dataclass(frozen=True)
class Case:
    """One photo of a set.

    `wanted`: marks that a person can read in it. `printed`: bare forms of all marks that stand on
    it, legible or not. `stated`: the marks of which the truth knows every occurrence, so that one
    that is shown beside these is invented.
    """

    file: Path
    group: str
    wanted: tuple[Wanted, ...]
    printed: dict[str, frozenset[str]]
    stated: frozenset[str]


def bare(value: str) -> str:
    """What two ways to write one value share: letters and digits (a normal form drops the rest)."""
    return "".join(letter for letter in value.upper() if letter.isalnum())


def made(folder: Path, grammars: tuple[Grammar, ...]) -> list[Case]:
    """The cases of a made set; every mark counts that is legible in its photo."""
    return [_made(file, grammars) for file in sorted(folder.glob("*.json"))]


def _made(file: Path, grammars: tuple[Grammar, ...]) -> Case:
    truth = json.loads(file.read_text(encoding="utf-8"))
    marks = truth.get("printed") or _of_marks(truth)
    printed: dict[str, set[str]] = {}
    for entry in marks:
        printed.setdefault(entry["mark"], set()).update(map(bare, entry["forms"]))
    for item in truth.get("items", ()):  # other units in the picture
        for mark, value in item["marks"].items():
            if value:
                printed.setdefault(mark, set()).add(bare(value))
    # A truth names a number without its prefix, and not each sign behind a class: what else its own
    # lines hold is printed too.
    told = [
        (mark.mark, {bare(mark.value), bare(mark.printed)})
        for mark in marks_of_text(
            [line["text"] for line in truth["lines"]],
            grammars,
            Vocabulary(printing=shipped().vocabulary.printing),
        )
        if mark.mark not in NAMES and mark.standing == "read"
    ]
    for mark, forms in told:
        printed.setdefault(mark, set()).update(forms)
    stated = {*SCORED, *RARER}
    if "printed" not in truth:  # such a truth names one value of a mark
        stated = {mark for mark in truth["marks"] if mark in SCORED} | {"reuse"}
    wanted = [
        Wanted(entry["mark"], _with_prefix(entry["mark"], tuple(entry["forms"]), told))
        for entry in marks
        if entry["legible"]
    ]
    return Case(
        file.with_name(truth["file"]),
        truth["difficulty"],
        tuple(wanted),
        {mark: frozenset(forms) for mark, forms in printed.items()},
        frozenset(stated),
    )


def _with_prefix(
    mark: str, forms: tuple[str, ...], told: list[tuple[str, set[str]]]
) -> tuple[str, ...]:
    """The forms of a number, and those with what stands before it in its line (CA 12345)."""
    if mark != "approval_number":
        return forms
    own = {bare(form) for form in forms}
    longer = [
        text
        for name, texts in told
        if name == mark and any(text.endswith(tuple(own)) for text in texts)
        for text in sorted(texts)
    ]
    return (*forms, *longer)


def _of_marks(truth: dict[str, Any]) -> list[dict[str, Any]]:
    """The marks of a truth file that names one value of each mark."""
    return [
        {"mark": mark, "forms": [value], "legible": truth["legible"].get(mark, False)}
        for mark, value in truth["marks"].items()
        if value and mark in SCORED
    ]


def transcribed(folder: Path) -> list[Case]:
    """The cases of a hand-transcribed set."""
    with (folder / "truth.csv").open(encoding="utf-8", newline="") as file:
        rows = [row for row in csv.DictReader(file) if row["caption_only"] != "yes"]
    return [_transcribed(folder, row) for row in rows]


def _transcribed(folder: Path, row: dict[str, str]) -> Case:
    unsure = {_REAL.get(column, column) for column in row["uncertain_fields"].split(";")}
    wanted: list[Wanted] = []
    for column, mark in _REAL.items():
        values = [value.strip() for value in row[column].split(";") if value.strip()]
        wanted += [Wanted(mark, forms) for value in values if (forms := _forms(mark, value))]
        if mark == "filter_class":
            ends = [end for value in values for end in _REUSE.findall(value)]
            wanted += [Wanted("reuse", (end,)) for end in ends]
    printed: dict[str, set[str]] = {}
    for one in wanted:
        printed.setdefault(one.mark, set()).update(map(bare, one.forms))
    every = {*_REAL.values(), "reuse"} if row["legibility"] == "clear" else {*printed}
    # A class that is not certain leaves what stands behind it uncertain too.
    unsure |= {"reuse"} if "filter_class" in unsure else set()
    return Case(
        folder / row["file"],
        row["legibility"],
        tuple(one for one in wanted if one.mark not in unsure),
        {mark: frozenset(forms) for mark, forms in printed.items() if mark not in unsure},
        frozenset(every - unsure),
    )


def _forms(mark: str, value: str) -> tuple[str, ...]:
    """The mark alone, and its other forms.

    A class without its suffix letters; an agency that is one; of a name also what stands in
    brackets beside it, and of a model the code behind the word of its family.
    """
    if mark == "filter_class":
        found = re.match(r"(FFP[123]|[KNRP]{1,2}N?\s?-?\d{2,3})", value)
        return (found.group(1) if found else value,)
    if mark == "agency":
        return (value,) if value == "NIOSH" else ()
    if mark == "manufacturer":
        parts = [part.strip() for part in re.split(r"[()]", value) if part.strip()]
        return tuple(dict.fromkeys((value, *parts)))
    if mark == "model":
        first, _, rest = value.partition(" ")
        family = rest and not any(sign.isdigit() for sign in first)
        return (value, rest) if family else (value,)
    return (value,)
