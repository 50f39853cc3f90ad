"""How readings and judgements are written into rows, and read again exactly as they were.

A reading is written whole. A judgement names the marks of its reading by their places there
(`{"ref": 3}`) and writes only its own: those that a person confirmed, and absent ones. Neither
holds a sentence. What stands at its default is left out of a judgement, so a default of these
values must never be changed.
"""

import json
from collections.abc import Iterable, Sequence
from typing import Any, TypeVar

from pydantic import TypeAdapter

from inkwitness.check.values import Check, Judgement, Reading, UnitJudgement
from inkwitness.marks.values import Mark

READING = TypeAdapter(Reading)
JUDGEMENT = TypeAdapter(Judgement)
UNIT = TypeAdapter(UnitJudgement)
_MARK = TypeAdapter(Mark)
#: The fields that every mark is written with, and nothing else is.
_OF_A_MARK = {"mark", "printed", "value", "standing", "probability"}
T = TypeVar("T", Judgement, UnitJudgement)


def reading_content(reading: Reading) -> dict[str, Any]:
    """A reading as JSON has it."""
    content: dict[str, Any] = READING.dump_python(reading, mode="json")
    return content


def reading_of(content: object) -> Reading:
    """The reading that was written. No rule is asked, so no edition of them can change it."""
    return READING.validate_python(content)


def judgement_content(judgement: Judgement, reading: Reading) -> dict[str, Any]:
    """A judgement of this reading as JSON has it."""
    return _written(JUDGEMENT, judgement, _marks_read(reading))


def judgement_of(content: dict[str, Any], reading: Reading) -> Judgement:
    """The judgement of this reading that was written."""
    return _read(JUDGEMENT, content, _marks_read(reading))


def unit_content(judgement: UnitJudgement, checks: Sequence[Check]) -> dict[str, Any]:
    """A judgement of a unit, made of these checks of its photos, as JSON has it."""
    return _written(UNIT, judgement, _marks_judged(checks))


def unit_of(content: dict[str, Any], checks: Sequence[Check]) -> UnitJudgement:
    """The judgement of a unit that was written, made of these checks of its photos."""
    return _read(UNIT, content, _marks_judged(checks))


def _marks_read(reading: Reading) -> list[Mark]:
    return [mark for item in reading.items for mark in item.marks]


def _marks_judged(checks: Iterable[Check]) -> list[Mark]:
    return [mark for check in checks for item in check.judgement.items for mark in item.marks]


def _written(adapter: TypeAdapter[T], judgement: T, known: Sequence[Mark]) -> dict[str, Any]:
    places = {_text(_mark(mark)): place for place, mark in reversed([*enumerate(known)])}
    own: list[Any] = []

    def pointed(tree: Any) -> Any:
        if isinstance(tree, list):
            return [pointed(one) for one in tree]
        if not isinstance(tree, dict):
            return tree
        if not tree.keys() >= _OF_A_MARK:
            return {key: pointed(value) for key, value in tree.items()}
        place = places.setdefault(_text(tree), len(known) + len(own))
        if place == len(known) + len(own):
            own.append(tree)
        return {"ref": place}

    made = pointed(adapter.dump_python(judgement, mode="json", exclude_defaults=True))
    return {"judgement": made, "own_marks": own}


def _read(adapter: TypeAdapter[T], content: dict[str, Any], known: Sequence[Mark]) -> T:
    marks = [*map(_mark, known), *content["own_marks"]]

    def whole(tree: Any) -> Any:
        if isinstance(tree, list):
            return [whole(one) for one in tree]
        if not isinstance(tree, dict):
            return tree
        if tree.keys() == {"ref"}:
            return marks[tree["ref"]]
        return {key: whole(value) for key, value in tree.items()}

    return adapter.validate_python(whole(content["judgement"]))


def _mark(mark: Mark) -> dict[str, Any]:
    written: dict[str, Any] = _MARK.dump_python(mark, mode="json", exclude_defaults=True)
    return written


def _text(tree: Any) -> str:
    return json.dumps(tree, sort_keys=True)
