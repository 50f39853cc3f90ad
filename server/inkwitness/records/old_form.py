"""Rows as they were stored before: checks with reading and judgement in one, plans by old names.

Such rows are never rewritten; they are read here into the values of today. Marks that were stored
before marks had ids get one, and their parts are found anew in the ink by today's grammars. A
sentence on a finding or on the list's state stays as it was stored; one on a name that the list was
searched for is made anew.
"""

import re
from collections.abc import Mapping, Sequence
from typing import Any

from inkwitness import rulebook
from inkwitness.check.confirm import ADDED
from inkwitness.check.values import Check, UnitJudgement
from inkwitness.marks.match import find
from inkwitness.records.stored import JUDGEMENT, READING, UNIT

Row = Mapping[str, Any]

#: How the id begins that a mark gets which was stored before marks had ids.
OLD_ID = "old:"
#: What the first rows did not have yet.
_ADDED_LATER = {
    "readers": (),
    "notes": (),
    "width": 0,
    "height": 0,
    "turn": 0.0,
    "rules_edition": "",
}


def check_of(row: Row) -> Check:
    """The check of a photo that a row of the old form holds."""
    row = {**_ADDED_LATER, **row}
    marks = [_with_ids(item["marks"], number) for number, item in enumerate(row["items"])]
    read = [
        {
            "polygon": item["polygon"],
            "lines": [line for line in row["lines"] if line["item"] == number],
            "marks": [mark for mark in marks[number] if mark["standing"] != "absent"],
        }
        for number, item in enumerate(row["items"])
    ]
    judged = [
        {
            **item,
            "marks": marks[number],
            "findings": [_finding(finding) for finding in item["findings"]],
            # the old form kept these for the photo alone
            "aspects": row["aspects"],
        }
        for number, item in enumerate(row["items"])
    ]
    return Check(
        READING.validate_python({**row, "quality": row["photo_quality"], "items": read}),
        # notes stay with the reading, as they were in one list
        JUDGEMENT.validate_python({**row, "notes": (), "items": judged}),
    )


def unit_of(row: Row) -> UnitJudgement:
    """The judgement of a unit that a row of the old form holds."""
    others = [
        {**other, "findings": [_finding(finding) for finding in other["findings"]]}
        for other in row.get("others", ())
    ]
    return UNIT.validate_python(
        {
            **_ADDED_LATER,
            **row,
            "placed": [_placed(place) for place in row["placed"]],
            "findings": [_finding(finding) for finding in row["findings"]],
            "others": others,
        }
    )


def plan_of(row: Row) -> dict[str, Any]:
    """A plan under the names of today: its nonconforming units were once called odd."""
    statements = [{**one, "values": _renamed(one["values"])} for one in row["statements"]]
    return {**_renamed(row), "question": _renamed(row["question"]), "statements": statements}


def _renamed(row: Row) -> dict[str, Any]:
    """The same values, those with an old name under the new one.

    >>> _renamed({"odd_share": "0.05", "seed": "7"})
    {'nonconforming_share': '0.05', 'seed': '7'}
    """
    return {re.sub(r"^odd(?=_|$)", "nonconforming", name): value for name, value in row.items()}


def _with_ids(marks: Sequence[Row], item: int) -> list[Row]:
    """An id is made of what does not change from one check of a reading to the next: item, name,
    scheme, and which of these the mark is.
    """
    seen: dict[tuple[str, str], int] = {}
    found = []
    for mark in marks:
        name, scheme = mark["mark"], mark.get("scheme", "")
        nth = seen.get((name, scheme), 0)
        seen[name, scheme] = nth + 1
        begins = ADDED if mark["standing"] == "absent" else OLD_ID
        id_ = mark.get("id") or f"{begins}{item}:{name}:{scheme}:{nth}"
        found.append(_mark({**mark, "id": id_}))
    return found


def _mark(mark: Row) -> Row:
    parts = tuple(mark.get("parts", {}).items())
    if not parts and mark.get("id", "").startswith(OLD_ID):
        for grammar in rulebook.shipped().grammars:
            named = (mark["mark"], mark.get("scheme", ""))
            if (grammar.mark, grammar.scheme) == named and not parts:
                hits = find(mark["printed"], grammar)
                parts = next((hit.parts for hit in hits if hit.value == mark["value"]), ())
    return {**mark, "parts": parts}


def _finding(finding: Row) -> Row:
    places = [_placed(place) for place in finding.get("places", ())]
    return {**finding, "values": tuple(finding.get("values", {}).items()), "places": places}


def _placed(place: Row) -> Row:
    return {**place, "mark": _mark(place["mark"])}
