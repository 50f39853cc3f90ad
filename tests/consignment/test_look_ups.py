"""Which look-up opens the gate: papers of these goods, and entries that ended by their own date.

The conditions are decisions of this project (no source); that EN 149 has no public list of goods is
in tests/consignment/test_gate.py with its source.
"""

import datetime as dt
from dataclasses import replace

import pytest

from inkwitness.consignment.gate import Goods, Terms, blocks
from inkwitness.consignment.values import LookUp, PhotoState, UnitState
from inkwitness.holders.ended import ended_on
from inkwitness.holders.values import HolderEntry, HolderList

ON = dt.date(2031, 3, 18)
KEY = "HALCYRA RESPIRE HR-F2 2999"
NUMBER = "TC-84A-9981"
TERMS = Terms(ON, without_list=frozenset({"eu-en149"}))
TYPED = LookUp(KEY, "listed_same", "Ines", ON, "declaration", paper="Declaration of conformity")
BARE = replace(TYPED, paper="")
EARLIER = ON - dt.timedelta(days=1)


def goods(key: str, scheme: str, *look_ups: LookUp, edition: int | None = None) -> Goods:
    photo = PhotoState("p", "no_conflict_found", "confirmed", 1)
    unit = UnitState("u", 1, (photo,), "", (key,), scheme=scheme, label="U1")
    return Goods((unit,), declared=1, look_ups=look_ups, edition=edition)


def keys(found: Goods, terms: Terms = TERMS) -> list[str]:
    return [one.key for one in blocks(found, terms)]


@pytest.mark.parametrize(
    ("look_ups", "expected"),
    [
        ([BARE], []),
        ([replace(BARE, here=False)], ["no_papers_look_up"]),
        ([replace(TYPED, here=False)], ["no_papers_look_up"]),
        # a paper that was taken back, and a newer comparison with no paper kept
        ([replace(TYPED, paper_lack="gone", on=EARLIER), BARE], ["look_up_paper_gone"]),
        ([replace(TYPED, paper_lack="differs"), BARE], ["look_up_paper_differs"]),
        ([replace(TYPED, answer="listed_other", on=EARLIER), BARE], ["look_up_says_other"]),
        # that it says something else counts without a paper too
        ([replace(TYPED, on=EARLIER), replace(BARE, answer="not_listed")], ["look_up_says_other"]),
        ([replace(TYPED, paper_lack="gone", on=EARLIER), TYPED], []),
    ],
)
def test_a_paper_of_these_goods_is_outranked_by_no_look_without_one(
    look_ups: list[LookUp], expected: list[str]
) -> None:
    assert keys(goods(KEY, "eu-en149", *look_ups)) == expected


def test_a_look_at_the_authoritys_list_counts_for_whatever_goods_it_was_made() -> None:
    listed = LookUp(NUMBER, "listed_same", "Ines", ON, here=False)
    assert keys(goods(NUMBER, "us-niosh", listed)) == []


def test_units_that_the_newest_edition_was_not_compared_with_wait() -> None:
    listed = LookUp(NUMBER, "listed_same", "Ines", ON)
    assert keys(goods(NUMBER, "us-niosh", listed, edition=1)) == []
    behind = goods(NUMBER, "us-niosh", listed, edition=2)
    assert keys(behind) == ["edition_not_compared"]
    assert dict(blocks(behind, TERMS)[0].values)["places"] == "U1"


def entry(until: dt.date | None, **more: object) -> HolderEntry:
    given = {"approval_number": NUMBER, "status": "current", "valid_until": until, **more}
    return HolderEntry("us-niosh", "Vexholm Filtration", **given)  # type: ignore[arg-type]


def test_an_entry_that_ended_since_the_look_up_shuts_the_gate_until_a_later_one() -> None:
    ended = ended_on(HolderList("ours", (entry(EARLIER),)), ON)
    terms = replace(TERMS, ended=ended)
    before = LookUp(NUMBER, "listed_same", "Ines", EARLIER)
    assert keys(goods(NUMBER, "us-niosh", before), terms) == ["entry_ended"]
    assert keys(goods(NUMBER, "us-niosh", replace(before, on=ON)), terms) == []
    other = goods("TC-84A-9918", "us-niosh", replace(before, looked_up="TC-84A-9918"))
    assert keys(other, terms) == []


@pytest.mark.parametrize("rows", [(entry(ON),), (entry(EARLIER), entry(None)), (entry(None),)])
def test_an_entry_holds_on_its_last_day_and_where_another_row_holds_it(
    rows: tuple[HolderEntry, ...],
) -> None:
    assert not any(one.of(NUMBER) for one in ended_on(HolderList("ours", rows), ON))


@pytest.mark.parametrize(
    ("key", "ended"),
    [
        (KEY, True),
        ("Halcyra Respire HR-F2", True),
        ("HALCYRA RESPIRE HR-F20 2999", False),
        ("VEXHOLM HR-F2 2999", False),
    ],
)
def test_where_no_number_is_printed_name_and_model_lead_to_the_entry(key: str, ended: bool) -> None:
    row = HolderEntry(
        "eu-en149",
        "Halcyra Respire",
        certificate_number="ZK/31/0457",
        models=("HR-F2",),
        status="current",
        valid_until=EARLIER,
    )
    (found,) = ended_on(HolderList("ours", (row,)), ON)
    assert (found.number, found.of(key)) == ("ZK/31/0457", ended)
