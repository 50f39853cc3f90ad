"""What a list of units, and the table of a consignment's report, show of a check."""

from dataclasses import replace

import pytest

from inkwitness.holders.values import HolderMatch
from inkwitness.marks.values import Mark, Standing
from inkwitness.records.checks import heading

LISTED = HolderMatch("listed_agrees", looked_up="TC-84A-9981", holder="Vexholm Works")


def mark(name: str, printed: str, standing: Standing) -> Mark:
    return Mark(
        mark=name,
        printed=printed,
        value=printed,
        standing=standing,
        probability=0.9,
        readers=("pretend",),
        line=0,
    )


def marks(number: Standing, name: Standing) -> dict[str, Mark]:
    return {
        "approval_number": mark("approval_number", "TC-84A-9981", number),
        "manufacturer": mark("manufacturer", "VEXHOLM", name),
    }


def test_a_list_shows_the_number_that_was_read_and_the_holder_it_is_listed_for() -> None:
    shown = heading(marks("read", "doubtful"), LISTED)
    assert (shown["approval_number"], shown["holder"]) == ("TC-84A-9981", "Vexholm Works")


@pytest.mark.parametrize("standing", ["doubtful", "absent"])
def test_a_number_that_is_doubtful_is_not_shown_where_no_doubt_can_be_seen(
    standing: Standing,
) -> None:
    """Decision of this project: a wrong approval number shown as read is the worst mistake."""
    shown = heading(marks(standing, standing), LISTED)
    assert (shown["approval_number"], shown["holder"]) == ("", "")


def test_a_name_that_was_read_stands_alone_where_the_list_has_no_holder() -> None:
    unlisted = HolderMatch("near", looked_up="TC-84A-9981")
    shown = heading(marks("doubtful", "read"), unlisted)
    assert (shown["approval_number"], shown["holder"]) == ("", "VEXHOLM")


@pytest.mark.parametrize("standing", ["read", "doubtful"])
def test_print_that_only_its_place_names_is_no_title(standing: Standing) -> None:
    """Decision of this project: it is no unit's title until a person says what it is."""
    guess = mark("manufacturer", "MISUSE MAY RESULT", standing)
    found = {"manufacturer": replace(guess, named_by="place")}
    shown = heading(found, HolderMatch("nothing_to_look_up"))
    assert (shown["approval_number"], shown["holder"]) == ("", "")
