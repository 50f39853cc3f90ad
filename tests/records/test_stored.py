"""What is read back is what was written: readings, judgements, and rows of the form before.

Expectations are the project's own decisions: nothing that was stored is changed by a later edition
of the rules, a reading is stored once, and old rows are read as they are.
"""

import datetime as dt
import json
from dataclasses import replace
from pathlib import Path
from typing import get_args

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from sqlalchemy import Connection, insert

from inkwitness.check.judge import Criteria, judge
from inkwitness.check.unit import judge_unit
from inkwitness.check.values import Check, ItemRead, LineRead, Reading, UnitPhoto
from inkwitness.findings.examples import items_of
from inkwitness.findings.values import Circumstances
from inkwitness.marks.values import Alternative, Mark, NamedBy, Standing
from inkwitness.records import chain, checks, consignments, stored
from inkwitness.records.chain import WriteContext, canonical, local_actor
from inkwitness.records.database import Database, open_database
from inkwitness.records.tables import metadata
from inkwitness.rulebook import shipped
from inkwitness.rulebook.values import Example
from inkwitness.use_cases import confirmations
from inkwitness.use_cases.judged import judging
from tests.api import typed_checker
from tests.typed import item_of, reading_of

BOOK = shipped()
EXAMPLES = [example for rule in BOOK.rules for example in (*rule.raises, *rule.not_raised)]
RAISING = [rule.raises[0] for rule in BOOK.rules if rule.raises]
DAY = dt.date(2031, 3, 18)
FACE = Circumstances(DAY, "facepiece", "yes")
CONTEXT = WriteContext(local_actor("Ines Okparo"), dt.datetime(2031, 3, 19, 9, 0, tzinfo=dt.UTC))
#: Rows as the tables had them on 28 November 2026, written by the program of that day: a unit of
#: two photos, one class confirmed.
OLD_ROWS = json.loads(
    (Path(__file__).parent / "rows_of_the_old_form.json").read_text(encoding="utf-8")
)


def written(reading: Reading) -> Reading:
    """A reading that went through the text of a row."""
    return stored.reading_of(json.loads(canonical(stored.reading_content(reading))))


def reading_of_example(example: Example) -> Reading:
    """The print of an example of the rules as if it had been read, a photo an item."""
    return reading_of(*(item_of(item.lines, item.marks) for item in items_of(example, BOOK)))


def test_every_example_of_the_rules_comes_back_as_it_was_read() -> None:
    readings = [reading_of_example(example) for example in EXAMPLES]
    assert len(readings) > 500
    assert [reading for reading in readings if written(reading) != reading] == []


def test_what_an_example_was_judged_to_be_comes_back_without_a_copy_of_the_reading() -> None:
    for example in RAISING:
        reading = reading_of_example(example)
        judgement = judge(reading, Criteria(BOOK), replace(FACE, surface=example.given.surface))
        text = canonical(stored.judgement_content(judgement, reading))
        assert stored.judgement_of(json.loads(text), reading) == judgement
        assert len(text.encode()) < 8_000
        kept = json.loads(text)["own_marks"]
        assert all(mark["standing"] == "absent" for mark in kept)
        assert "says" not in text


NUMBERS = st.floats(allow_nan=False, allow_infinity=False)
POLYGONS = st.lists(st.tuples(NUMBERS, NUMBERS), max_size=3).map(tuple)
TEXTS = st.lists(st.text(max_size=4), max_size=2).map(tuple)
MARKS = st.builds(
    Mark,
    mark=st.text(max_size=9),
    printed=st.text(max_size=9),
    value=st.text(max_size=9),
    standing=st.sampled_from(get_args(Standing)),
    probability=NUMBERS,
    alternatives=st.lists(
        st.builds(Alternative, st.text(max_size=4), st.text(max_size=4), NUMBERS), max_size=2
    ).map(tuple),
    polygon=POLYGONS,
    readers=TEXTS,
    doubtful_at=st.lists(st.integers(0, 9), max_size=2).map(tuple),
    line=st.none() | st.integers(0, 9),
    parts=st.lists(st.tuples(st.text(max_size=4), st.text(max_size=4)), max_size=2).map(tuple),
    id=st.text(max_size=4),
    span=st.none() | st.tuples(st.integers(0, 9), st.integers(0, 9)),
    named_by=st.sampled_from(get_args(NamedBy)),
    reasons=TEXTS,
)
LINES = st.builds(LineRead, st.integers(0, 9), st.text(max_size=9), NUMBERS, POLYGONS, NUMBERS)
ITEMS = st.builds(
    ItemRead,
    POLYGONS,
    st.lists(LINES, max_size=2).map(tuple),
    st.lists(MARKS, max_size=3).map(tuple),
)


@given(st.lists(ITEMS, max_size=2))
@settings(max_examples=50)
def test_any_reading_comes_back_as_it_was_whatever_rules_there_are(items: list[ItemRead]) -> None:
    """Marks, values and parts here are such as no edition of the rules would find."""
    reading = reading_of(*items)
    assert written(reading) == reading


def test_a_judgement_of_a_unit_comes_back_with_the_marks_of_its_photos() -> None:
    parts = []
    for name, surface in (("us-face.png", "facepiece"), ("us-box-other-class.png", "inner_box")):
        about = replace(FACE, surface=surface)  # type: ignore[arg-type]
        reading = typed_checker.typed(name)
        parts.append(UnitPhoto(Check(reading, judge(reading, Criteria(BOOK), about)), about))
    unit = judge_unit(parts, Criteria(BOOK), DAY)
    text = canonical(stored.unit_content(unit, [one.check for one in parts]))
    assert stored.unit_of(json.loads(text), [one.check for one in parts]) == unit
    assert len(text.encode()) < 8_000


# ---- rows that were stored before ---------------------------------------------------------------


@pytest.fixture
def old(tmp_path: Path) -> Database:
    """A database with rows of the old form, as they stood there, letter for letter."""
    database = open_database(tmp_path / "inkwitness.sqlite")
    with database.writing() as conn:
        for table, rows in OLD_ROWS.items():
            for row in rows:
                conn.execute(insert(metadata.tables[table]).values(**row))
    return database


def of_old(conn: Connection, photo: int) -> list[Check]:
    """The checks of the first or second photo, the newest first."""
    id_ = OLD_ROWS["photos"][photo]["id"]
    return [checks.load(conn, entry) for entry in checks.of_photo(conn, id_)]


def test_the_chain_of_rows_of_the_old_form_is_whole(old: Database) -> None:
    with old.reading() as conn:
        for table in OLD_ROWS:
            state = chain.check_chain(conn, metadata.tables[table])
            assert (state.rows, state.broken_at) == (len(OLD_ROWS[table]), None)


def test_a_check_of_the_old_form_says_what_it_said(old: Database) -> None:
    with old.reading() as conn:
        confirmed, first = of_old(conn, 0)
    assert [mark.value for mark in first.reading.items[0].marks] == ["NIOSH", "N95", "TC-84A-9981"]
    assert (first.judgement.basis, confirmed.judgement.basis) == ("reading", "confirmed")
    assert confirmed.judgement.best["filter_class"].confirmed
    told = json.loads(OLD_ROWS["checks"][0]["content"])["check"]
    assert [(f.rule, f.says) for f in first.judgement.items[0].findings] == [
        (one["rule"], one["says"]) for one in told["findings"]
    ]


def test_a_check_of_a_unit_of_the_old_form_says_what_it_said(old: Database) -> None:
    with old.reading() as conn:
        entry = checks.newest_of_unit(conn, OLD_ROWS["units"][0]["id"])
        assert entry is not None
        unit = checks.load_unit(conn, entry)
    assert unit.outcome == "conflict"
    (differ,) = [one for one in unit.findings if one.rule == "x-facepiece-and-box-differ"]
    assert [place.mark.printed for place in differ.places] == ["N95", "P95"]


def test_a_reading_of_the_old_form_is_judged_again_beside_what_was_said(old: Database) -> None:
    photo = OLD_ROWS["photos"][0]["id"]
    rules = typed_checker.build_judge(30)
    with old.writing() as conn:
        word = OLD_ROWS["confirmations"][0]["id"]
        confirmations.withdraw(conn, "019a0b53-0000-7000-8000-000000000001", word, CONTEXT)
        judging.rejudge(conn, photo, rules, None, CONTEXT, today=DAY, why="withdrawn")
        unit_id = OLD_ROWS["units"][0]["id"]
        judging.judge_together(conn, unit_id, rules, None, CONTEXT, why="withdrawn")
        newest, confirmed, first = of_old(conn, 0)
        assert newest.reading == first.reading
        assert newest.judgement.basis == "reading"
        assert confirmed.judgement.basis == "confirmed"
        entry = checks.newest_of_unit(conn, unit_id)
        assert entry is not None
        assert checks.load_unit(conn, entry).basis == "reading"
        assert all(chain.check_chain(conn, t).broken_at is None for t in chain.chained_tables())


def test_a_plan_that_called_its_units_odd_is_said_in_the_terms_of_today(old: Database) -> None:
    # such rows were written until 29 November 2026
    kept = {
        "question": {"kind": "discovery", "seed": "7", "odd_share": "0.05", "odd": None},
        "odd": 50,
        "statements": [{"key": "discovery.plan", "values": {"n": 57, "lot": 1000, "odd": 50}}],
    }
    with old.writing() as conn:
        consignments.make(conn, "c-1", {"label": "hall"}, CONTEXT)
        chain.append(
            conn, metadata.tables["plans"], "p-1", {"consignment_id": "c-1", **kept}, CONTEXT
        )
        plan = consignments.plan_in_force(conn, "c-1")
        again, made = consignments.keep_plan(
            conn,
            "p-1",
            "c-1",
            {
                "question": {
                    "kind": "discovery",
                    "seed": "7",
                    "nonconforming_share": "0.05",
                    "nonconforming": None,
                },
                "nonconforming": 50,
                "statements": [
                    {"key": "discovery.plan", "values": {"n": 57, "lot": 1000, "nonconforming": 50}}
                ],
            },
            CONTEXT,
        )
    assert plan is not None
    assert plan.content["question"]["nonconforming_share"] == "0.05"
    assert plan.content["statements"][0]["values"]["nonconforming"] == 50
    # the row stays as it was, and the same plan sent again is the same plan
    assert again.content["odd"] == 50
    assert not made
