"""Editions of the list: the difference of two, and that nothing is ever deleted."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inkwitness.errors import BadList
from inkwitness.holders.editions import difference, digest, next_edition, with_changes
from inkwitness.holders.values import HolderList
from tests.holders.house_list import E1, E2, E5, HOUSE_LIST
from tests.holders.strategies import lists


def test_a_difference_names_every_field_that_changed() -> None:
    ended = replace(E5, status="rescinded")
    (change,) = difference(HOUSE_LIST.entries, with_changes(HOUSE_LIST.entries, [ended]))
    assert (change.kind, change.after) == ("changed", ended)
    assert [(f.field, f.before, f.after) for f in change.fields] == [
        ("status", "current", "rescinded")
    ]


def test_what_a_file_lacks_stays_on_the_list_and_is_named() -> None:
    coming = replace(HOUSE_LIST, entries=(E1,))
    made = next_edition(HOUSE_LIST, coming)
    assert made.entries == HOUSE_LIST.entries
    assert made.edition == 413
    kinds = [change.kind for change in difference(HOUSE_LIST.entries, coming.entries)]
    assert kinds == ["absent"] * (len(HOUSE_LIST.entries) - 1)


def test_a_number_written_otherwise_is_the_same_entry() -> None:
    respelled = replace(E1, approval_number="TC 84A 9981", models=("VX-910", "VX-911"))
    assert len(with_changes((E1, E2), [respelled])) == 2


def test_fictional_and_live_lists_do_not_mix() -> None:
    marked = replace(E1, source="FICTIONAL demo")
    with pytest.raises(BadList, match="FICTIONAL"):
        next_edition(HOUSE_LIST, replace(HOUSE_LIST, entries=(marked,)))
    with pytest.raises(BadList, match="live list"):
        next_edition(HOUSE_LIST, replace(HOUSE_LIST, entries=(marked,), fictional=True))
    demo = HolderList("demo", (marked,), 1, fictional=True)
    live = next_edition(demo, HolderList("mine", (E2,)))
    assert (live.entries, live.edition, live.fictional) == ((E2,), 2, False)


@settings(max_examples=60)
@given(lists(), lists())
def test_the_difference_put_in_gives_the_second_list_and_what_was_absent(
    one: HolderList, other: HolderList
) -> None:
    changes = difference(one.entries, other.entries)
    made = with_changes(one.entries, [c.after for c in changes if c.after is not None])
    assert set(other.entries) <= set(made)
    absent = {change.before for change in changes if change.kind == "absent"}
    assert set(made) == set(other.entries) | absent
    assert {change.kind for change in difference(made, made)} == set()


@settings(max_examples=60)
@given(lists(), st.data())
def test_the_digest_sees_any_change(held: HolderList, data: st.DataObject) -> None:
    assert digest(held) == digest(replace(held))
    at = data.draw(st.integers(0, len(held.entries) - 1))
    field = data.draw(st.sampled_from(["holder", "source", "approval_number", "checked_by"]))
    changed = replace(held.entries[at], **{field: getattr(held.entries[at], field) + "x"})
    entries = (*held.entries[:at], changed, *held.entries[at + 1 :])
    assert digest(replace(held, entries=entries)) != digest(held)
