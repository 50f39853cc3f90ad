"""A print beside the user's list: what agrees, what contradicts, what is only a question.

The list is invented; the situations are those of buyers and pharmacists (common practice).
"""

import datetime as dt
from collections.abc import Sequence
from dataclasses import asdict, replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inkwitness.check.contract import HolderMatchOut
from inkwitness.holders.match import match, near_numbers
from inkwitness.holders.numbers import normal_form
from inkwitness.holders.values import HolderEntry, HolderList, HolderMatch
from inkwitness.marks.values import Mark
from tests.holders.house_list import BEHIND, E1, E4, E7, HOUSE_LIST, KEYS, ON, eu, mark, us


def ask(
    marks: Sequence[Mark],
    *schemes: str,
    on: dt.date = ON,
    days: int = 30,
    held: HolderList | None = HOUSE_LIST,
) -> HolderMatch:
    claimed = schemes or ("us-niosh",)
    return match(
        marks, claimed, held, on=on, max_age_days=days, list_keys=KEYS, behind_class=BEHIND
    )


def states(found: HolderMatch) -> dict[str, str]:
    return {field.field: field.state for field in found.fields}


def test_a_print_that_agrees_in_every_field_says_so_and_shows_the_age_of_the_list() -> None:
    found = ask(us("TC-84A-9981", "VEXHOLM", "VX-910", "N95"))
    assert (found.state, found.question) == ("listed_agrees", False)
    assert states(found) == {"manufacturer": "agrees", "model": "agrees", "filter_class": "agrees"}
    assert (found.list_name, found.list_edition, found.list_age_days) == ("HOUSE-LIST", 412, 6)
    assert found.list_too_old is False


def test_the_answer_has_the_shape_of_the_contract() -> None:
    for marks in (us("TC-84A-9981", "VEXHOLM"), us("TC-84A-9987")):
        found = ask(marks)
        assert HolderMatchOut.model_validate(asdict(found)).state == found.state


def test_a_number_that_belongs_to_another_class_and_model_contradicts() -> None:
    found = ask(us("TC-84A-9982", "", "SK-70", "N95"))
    assert (found.state, found.question) == ("listed_differs", False)
    assert states(found) == {
        "manufacturer": "not_read",
        "model": "differs",
        "filter_class": "differs",
    }


def test_a_private_label_with_its_model_is_no_difference() -> None:
    found = ask(us("TC-84A-9918", "Lumbrel Care", "LC-22", "N95"))
    assert (found.state, found.question) == ("listed_agrees", False)
    assert next(f for f in found.fields if f.field == "manufacturer").note == "private_label"


def test_a_private_label_with_a_model_that_is_not_its_own_is_a_question() -> None:
    found = ask(us("TC-84A-9918", "Lumbrel Care", "QM 22", "N95"))
    assert (found.state, found.question) == ("listed_differs", True)


def test_a_name_that_is_not_on_the_entry_is_a_question_to_the_holder() -> None:
    found = ask(us("TC-84A-9918", "Orsaline Health", "OH-1", "N95"))
    assert (found.state, found.question) == ("listed_differs", True)
    assert {f.note for f in found.fields if f.state == "differs"} == {"ask_the_holder"}


def test_another_class_contradicts_whatever_name_is_printed() -> None:
    found = ask(us("TC-84A-9918", "Orsaline Health", "OH-1", "P100"))
    assert (found.state, found.question) == ("listed_differs", False)


def test_another_model_under_the_holders_own_name_contradicts() -> None:
    found = ask(us("TC-84A-9981", "Vexholm Filtration Works", "VX-940", "N95"))
    assert (found.state, found.question) == ("listed_differs", False)


def test_signs_between_the_parts_of_a_model_are_no_difference() -> None:
    found = ask(us("TC-84A-9981", "VEXHOLM", "vx 910", "N95"))
    assert found.state == "listed_agrees"
    assert next(f for f in found.fields if f.field == "model").note == "written_differently"


def test_a_conflict_never_rests_on_a_doubtful_mark() -> None:
    doubtful_number = us("TC-84A-9982", "", "SK-70", "N95", approval_number="doubtful")
    assert ask(doubtful_number).question is True
    doubtful_class = us("TC-84A-9981", "VEXHOLM", "VX-910", "P100", filter_class="doubtful")
    assert ask(doubtful_class).state == "listed_differs"
    assert ask(doubtful_class).question is True


@pytest.mark.parametrize("name", ["manufacturer", "model", "filter_class"])
def test_a_doubtful_mark_agrees_with_nothing_even_where_its_letters_are_as_listed(
    name: str,
) -> None:
    """Decision of this project: what rests on a doubtful mark is a question, never an answer."""
    print_ = us("TC-84A-9981", "VEXHOLM", "VX-910", "N95")
    found = ask([replace(one, standing="doubtful") if one.mark == name else one for one in print_])
    assert states(found)[name] == "doubtful"
    assert set(states(found).values()) == {"doubtful", "agrees"}
    assert HolderMatchOut.model_validate(asdict(found)).fields


def test_a_doubtful_second_name_is_not_shown_beside_agreement() -> None:
    """Two photos of one unit: the facepiece's name is read, the box's is doubtful."""
    second = mark("manufacturer", "VEXH0LM", "doubtful")
    for marks in ([*us("TC-84A-9981", "VEXHOLM"), second], [second, *us("TC-84A-9981", "VEXHOLM")]):
        name = next(f for f in ask(marks).fields if f.field == "manufacturer")
        assert (name.state, name.printed) == ("agrees", "VEXHOLM")


def test_a_doubtful_name_as_listed_does_not_cover_a_read_one_that_is_not() -> None:
    found = ask(
        [*us("TC-84A-9981", "Orsaline Health"), mark("manufacturer", "VEXHOLM", "doubtful")]
    )
    assert (found.state, found.question) == ("listed_differs", True)
    assert states(found)["manufacturer"] == "doubtful"


def test_a_doubtful_body_number_agrees_with_nothing() -> None:
    marks = [*eu("Brisdaal", "BD-3", "FFP3"), mark("body_number", "9871", "doubtful")]
    found = ask(marks, "eu-en149")
    assert (found.state, states(found)["body_number"]) == ("listed_agrees", "doubtful")


def test_a_doubtful_model_still_finds_its_entry_as_a_question() -> None:
    """EN 149 prints nothing like an approval number: name and model are what is looked up."""
    marks = [mark("manufacturer", "Brisdaal"), mark("model", "BD-3", "doubtful")]
    found = ask(marks, "eu-en149")
    assert (found.state, found.question) == ("listed_agrees", True)
    assert states(found)["model"] == "doubtful"


def test_a_mark_that_a_person_called_illegible_is_not_read_and_differs_from_nothing() -> None:
    illegible = [mark(name, "", "doubtful") for name in ("manufacturer", "model", "filter_class")]
    found = ask([*us("TC-84A-9981"), *illegible])
    assert (found.state, set(states(found).values())) == ("listed_agrees", {"not_read"})
    assert ask([mark("approval_number", "", "doubtful")]).state == "nothing_to_look_up"


def test_a_doubtful_number_shows_its_other_readings_that_are_on_the_list() -> None:
    found = ask([mark("approval_number", "TC-84A-9931", "doubtful", "TC-84A-9981")])
    assert (found.state, found.question) == ("near", True)
    assert found.near[0].approval_number == "TC-84A-9981"


def test_a_rescinded_number_keeps_its_date() -> None:
    found = ask(us("TC-84A-9890", "Ostrevane Safety", "OV-5", "N95"))
    assert (found.state, found.status, found.question) == ("listed_ended", "rescinded", False)
    assert "rescinded 2030-11-04" in {field.listed for field in found.fields}


def test_a_certificate_past_its_last_day_is_a_question_and_before_it_is_not() -> None:
    print_ = eu("Brisdaal", "BD-3", "FFP3", "9871")
    assert ask(print_, "eu-en149").state == "listed_agrees"
    last = E7.valid_until
    assert last is not None
    assert ask(print_, "eu-en149", on=last).state == "listed_agrees"
    after = ask(print_, "eu-en149", on=last + dt.timedelta(days=1))
    assert (after.state, after.status, after.question) == ("listed_ended", "expired", True)


def test_a_number_without_its_suffix_is_near_and_not_equal() -> None:
    found = ask(us("TC-84A-9898", "Tamberlow", "TM-95", "N95"))
    assert (found.state, found.question, found.holder) == ("near", True, "")
    letters = next(hit.letters for hit in found.near if hit.approval_number == "TC-84A-9898n")
    assert [(pair.printed, pair.listed) for pair in letters if pair.differs] == [(None, "N")]


def test_near_numbers_are_shown_letter_by_letter() -> None:
    found = ask(us("TC-84A-99B1"))
    hit = found.near[0]
    assert found.state == "near"
    assert "".join(pair.printed or "" for pair in hit.letters) == "TC-84A-99B1"
    assert "".join(pair.listed or "" for pair in hit.letters) == "TC-84A-9981"
    assert [pair.printed for pair in hit.letters if pair.differs] == ["B"]


def test_two_bodies_of_one_certificate_are_no_difference_and_a_third_is_a_question() -> None:
    """Regulation (EU) 2016/425: the number printed is that of production control (annexes VII,
    VIII), which need not be the body of the type examination (annex V)."""
    assert ask(eu("Halcyra", "HR-F2", "FFP2", "9862"), "eu-en149").state == "listed_agrees"
    other = ask(eu("Halcyra", "HR-F2", "FFP2", "9844"), "eu-en149")
    assert (other.state, other.question) == ("listed_differs", True)
    assert {f.note for f in other.fields if f.state == "differs"} == {"ask_the_body"}


def test_en149_is_looked_up_by_name_and_model_since_no_number_is_printed() -> None:
    assert ask(eu("Nordfelle", "NF-2", "FFP2"), "eu-en149").state == "not_listed"
    assert ask(eu("", "HR-F2", "FFP2"), "eu-en149").state == "nothing_to_look_up"
    assert ask(eu("Halcyra", "HR-F3"), "eu-en149").state == "near"
    assert ask(eu("Nordfelle", "HR-F2"), "eu-en149").state == "not_listed"
    assert ask(eu("Halcira Respire", "HR-F2"), "eu-en149").state == "near"


@pytest.mark.parametrize(
    ("marks", "schemes", "held", "state"),
    [
        (us("TC-84A-1111"), ("us-niosh",), HOUSE_LIST, "not_listed"),
        (us("TC-84A-9981"), ("cn-gb2626",), HOUSE_LIST, "no_list_for_scheme"),
        (us("TC-84A-9981"), ("us-niosh",), None, "no_list_for_scheme"),
        (us("TC-84A-9981"), (), HOUSE_LIST, "nothing_to_look_up"),
        ([mark("approval_number", "", "absent")], ("us-niosh",), HOUSE_LIST, "nothing_to_look_up"),
    ],
)
def test_where_nothing_can_be_found_the_state_says_why(
    marks: list[Mark], schemes: tuple[str, ...], held: HolderList | None, state: str
) -> None:
    assert match(marks, schemes, held, on=ON, list_keys=KEYS).state == state


def test_absence_from_an_old_list_says_nothing_and_presence_is_still_compared() -> None:
    later = ON + dt.timedelta(days=25)
    assert ask(us("TC-84A-1111"), on=later).state == "list_too_old"
    differs = ask(us("TC-84A-9981", "VEXHOLM", "VX-910", "P100"), on=later)
    assert (differs.state, differs.list_too_old, differs.list_age_days) == (
        "listed_differs",
        True,
        31,
    )
    assert ask(us("TC-84A-9981"), on=ON + dt.timedelta(days=24)).list_too_old is False
    assert ask(us("TC-84A-9981"), days=5).list_too_old is True


def test_an_entry_that_was_checked_too_long_ago_is_old_in_a_list_that_is_not() -> None:
    entry = replace(E1, checked_on=dt.date(2030, 12, 1))
    found = ask(us("TC-84A-9981"), held=replace(HOUSE_LIST, entries=(entry,)))
    assert (found.state, found.list_too_old) == ("listed_agrees", True)
    unknown = replace(HOUSE_LIST, checked_on=None, entries=(replace(E1, checked_on=None),))
    assert ask(us("TC-84A-9981"), held=unknown).list_too_old is True


def test_of_several_claims_the_most_telling_answer_is_given() -> None:
    both = [*us("TC-84A-9982", "VEXHOLM", "VX-940"), mark("filter_class", "N95")]
    assert ask(both, "eu-en149", "us-niosh").state == "listed_differs"
    two_numbers = [*us("TC-84A-9981"), *us("TC-84A-9890")]
    assert ask(two_numbers).state == "listed_ended"


def test_a_status_that_nobody_knows_is_a_question() -> None:
    entry = replace(E1, status="unknown")
    found = ask(us("TC-84A-9981"), held=replace(HOUSE_LIST, entries=(entry,)))
    assert (found.state, found.question) == ("listed_differs", True)


def test_a_fictional_list_says_so_in_every_answer() -> None:
    found = ask(us("TC-84A-9981"), held=replace(HOUSE_LIST, fictional=True))
    assert found.fictional is True


def test_typed_numbers_are_answered_with_what_is_near_and_never_with_what_is_equal() -> None:
    hits = near_numbers("TC-84A-9981", HOUSE_LIST)
    assert E1.approval_number not in {hit.approval_number for hit in hits}
    assert "TC-84A-9982" in {hit.approval_number for hit in hits}


_letters = st.text(st.sampled_from("0123458ABCGIOSTZ-/ ."), min_size=1, max_size=10)


@given(printed=_letters, listed=_letters, doubtful=st.booleans())
def test_no_pair_of_different_normal_forms_is_ever_a_match(
    printed: str, listed: str, doubtful: bool
) -> None:
    entry = HolderEntry("us-niosh", "Vexholm", listed, status="current")
    held = HolderList("one", (entry,), 1, ON)
    found = ask([mark("approval_number", printed, "doubtful" if doubtful else "read")], held=held)
    same = normal_form(printed) == normal_form(listed) != ""
    assert found.state.startswith("listed_") == same
    assert (found.holder == "Vexholm") == same


@given(printed=_letters, listed=_letters)
def test_no_pair_of_different_models_is_ever_a_match_where_the_model_is_the_key(
    printed: str, listed: str
) -> None:
    entry = HolderEntry("eu-en149", "Halcyra", models=(listed,), status="current")
    found = ask(eu("Halcyra", printed), "eu-en149", held=HolderList("one", (entry,), 1, ON))
    same = normal_form(printed) == normal_form(listed) != ""
    assert found.state.startswith("listed_") == same


@given(_letters)
def test_an_ended_entry_is_never_an_agreement(number: str) -> None:
    entry = replace(E4, approval_number=number)
    found = ask(us(number), held=HolderList("one", (entry,), 1, ON))
    assert found.state in ("listed_ended", "nothing_to_look_up")


@pytest.mark.parametrize(
    ("marks", "scheme", "key"),
    [
        (us("TC-84A-9981", "VEXHOLM"), "us-niosh", "TC-84A-9981"),
        (eu("Halcyra", "HR-F2", "FFP2", "9862"), "eu-en149", "Halcyra HR-F2 9862"),
        (eu("Halcyra", "", "FFP2", "9862"), "eu-en149", ""),
        ([], "us-niosh", ""),
    ],
)
def test_without_a_list_it_is_still_said_what_to_look_up_on_the_authoritys_own(
    marks: list[Mark], scheme: str, key: str
) -> None:
    """A release waits for that look-up, whether or not one keeps a list."""
    for held in (None, replace(HOUSE_LIST, entries=())):
        found = match(marks, [scheme], held, on=ON, list_keys=KEYS)
        assert (found.state, found.looked_up) == ("no_list_for_scheme", key)
