"""The list may search, never read: what an entry says is looked for in the lines, and asked about.

The situations are those of print without a label (common practice, no source); the list is
invented. What a piece of ink is, is a doubt of its own: decision of this project.
"""

from collections.abc import Sequence
from dataclasses import asdict, replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inkwitness.check.contract import HolderMatchOut
from inkwitness.check.outward import match_out
from inkwitness.findings.outcome import aspects_and_outcome
from inkwitness.holders.compare import compare
from inkwitness.holders.match import match
from inkwitness.holders.values import HolderEntry, HolderList, HolderMatch, ReadLine, Searched
from inkwitness.marks.values import Alternative, Mark
from inkwitness.rulebook import shipped
from tests.holders.house_list import BEHIND, E1, E3, E6, HOUSE_LIST, KEYS, ON, eu, mark, us

NUMBER = us("TC-84A-9981", kind="N95")
BARE = replace(E1, models=("9100",))


def guess(name: str, printed: str, line: int = 0, *others: str) -> Mark:
    """A mark that only its place names, as a reading gives it."""
    alternatives = tuple(Alternative(other, other, 0.2) for other in others)
    return Mark(
        name,
        printed,
        printed,
        "doubtful",
        0.9,
        alternatives,
        line=line,
        id=f"0.{line}.{name}",
        named_by="place",
    )


def read(*texts: str, marks: Sequence[Mark] = ()) -> list[ReadLine]:
    return [
        ReadLine(text, number, 0, tuple(one for one in marks if one.line == number))
        for number, text in enumerate(texts)
    ]


def ask(
    marks: Sequence[Mark],
    lines: Sequence[ReadLine],
    scheme: str = "us-niosh",
    held: HolderList = HOUSE_LIST,
) -> HolderMatch:
    return match(marks, [scheme], held, on=ON, list_keys=KEYS, lines=lines, behind_class=BEHIND)


def one(found: HolderMatch, field: str) -> Searched:
    (hit,) = [hit for hit in found.searched if hit.field == field]
    return hit


def with_model(*models: str) -> HolderList:
    return replace(HOUSE_LIST, entries=(replace(E1, models=models),))


def test_the_model_of_the_number_is_found_in_print_without_a_label_and_asked_about() -> None:
    free = guess("model", "9100", 1)
    found = ask(
        [*NUMBER, free], read("VEXHOLM", "9100", marks=[free]), held=with_model("9100", "9200")
    )
    hit = one(found, "model")
    assert (hit.state, hit.listed, hit.printed, hit.line, hit.span) == (
        "printed",
        "9100",
        "9100",
        1,
        (0, 4),
    )
    assert (hit.mark_id, hit.approval_number) == (free.id, "TC-84A-9981")
    assert match_out(found, shipped()).searched[1].says == (
        "Your list has a model 9100 (TC-84A-9981), and 9100 is printed. Is this it?"
    )


def test_what_is_named_by_its_place_agrees_with_nothing_and_the_list_asks() -> None:
    for printed in ("VX-910", "ZZ-1"):
        free = guess("model", printed, 0)
        found = ask([*NUMBER, free], read(printed, marks=[free]))
        model = next(field for field in found.fields if field.field == "model")
        assert (model.state, model.printed) == ("not_read", "")
        assert (found.state, found.question) == ("listed_agrees", True)
        aspects, _ = aspects_and_outcome((), NUMBER, found.state, list_question=found.question)
        assert aspects["list"] == "cannot_tell"


def test_without_such_print_the_same_number_and_class_are_no_question() -> None:
    found = ask(NUMBER, read("NIOSH N95"))
    assert (found.state, found.question) == ("listed_agrees", False)
    assert {hit.state for hit in found.searched} == {"not_seen"}


def test_a_maker_by_place_counts_as_absent_so_a_labelled_model_still_contradicts() -> None:
    """It hides nothing, either: decision of this project."""
    free = guess("manufacturer", "Orsaline Health")
    marks = [*us("TC-84A-9981", "", "SK-70", "N95"), free]
    found = ask(marks, read("Orsaline Health", marks=[free]))
    assert (found.state, found.question) == ("listed_differs", False)
    assert {field.field: field.state for field in found.fields}["manufacturer"] == "not_read"


@pytest.mark.parametrize("name", ["Halcyra Respire", "Nordfelle"])
@pytest.mark.parametrize("model", ["HR-F2", "NF-2"])
def test_maker_and_model_by_place_alone_are_nothing_to_look_up(name: str, model: str) -> None:
    """EN 149 prints nothing like an approval number: name and model are the key of its list."""
    free = [guess("manufacturer", name, 0), guess("model", model, 1)]
    found = ask([*eu("", "", "FFP2"), *free], read(name, model, marks=free), "eu-en149")
    assert (found.state, found.fields) == ("nothing_to_look_up", ())
    seen = name.startswith("Halcyra") or model == "HR-F2"
    assert found.question is bool(found.searched) is seen
    aspects, _ = aspects_and_outcome((), free, found.state, list_question=found.question)
    assert aspects["list"] == ("cannot_tell" if seen else "not_looked_at")


def test_a_labelled_maker_with_a_model_by_place_is_searched_under_its_class_only() -> None:
    free = guess("model", "HR-F2", 1)
    marks = [*eu("Halcyra", "", "FFP2"), free]
    lines = read("Halcyra", "HR-F2", marks=[free])
    assert one(ask(marks, lines, "eu-en149"), "model").listed == "HR-F2"
    other_class = [*eu("Halcyra", "", "FFP3"), free]
    assert ask(other_class, lines, "eu-en149").searched == ()


@pytest.mark.parametrize(
    ("listed", "line", "state"),
    [
        ("VX-910", "vx 910", "printed"),
        ("VX-910", "Mod.: VX-910 / N95", "printed"),
        ("VX-910", "VX-91O", "near"),
        ("VX-910", "VX-9100", "not_seen"),
        ("QM-2210", "QM-2310", "near"),
        ("VX-910", "VX-940", "not_seen"),
        ("9100", "9100", "printed"),
        ("9100", "91OO", "near"),
        ("9100", "9200", "not_seen"),
        ("910", "911", "not_seen"),
        ("OV-5", "0V-5", "near"),
    ],
)
def test_a_model_is_printed_near_or_not_seen(listed: str, line: str, state: str) -> None:
    found = ask(NUMBER, read("NIOSH", line), held=with_model(listed))
    assert one(found, "model").state == state


@pytest.mark.parametrize(
    ("line", "state"),
    [
        ("VEXHOLM", "printed"),
        ("Vexholm Filtration Works Ltd", "printed"),
        ("made by VEXHOLM FILTRATION", "printed"),
        ("VEXH0LM", "near"),
        ("VEXHOIM", "near"),
        ("FILTRATION WORKS", "not_seen"),
        ("QUARRIMOND", "not_seen"),
    ],
)
def test_a_name_is_printed_near_or_not_seen(line: str, state: str) -> None:
    assert one(ask(NUMBER, read(line)), "manufacturer").state == state


def test_other_names_and_private_labels_are_searched_too() -> None:
    number = us("TC-84A-9918", kind="N95")
    found = ask(number, read("LUMBREL CARE", "LC-22"))
    assert [(hit.state, hit.listed) for hit in found.searched] == [
        ("printed", "Lumbrel Care"),
        ("printed", "LC-22"),
    ]
    assert one(found, "model").holder == E3.holder


def test_another_way_to_read_free_print_that_is_listed_is_near() -> None:
    free = guess("model", "KX-910", 0, "VX-910")
    found = ask([*NUMBER, free], read("KX-910", marks=[free]))
    assert (one(found, "model").state, one(found, "model").mark_id) == ("near", free.id)


def test_ink_that_its_label_names_as_something_else_is_not_searched() -> None:
    lot = Mark("lot", "9100", "9100", "read", 0.99, line=0, span=(4, 8), named_by="label")
    found = ask([*NUMBER, lot], read("LOT 9100", marks=[lot]), held=with_model("9100"))
    assert one(found, "model").state == "not_seen"


def test_a_field_that_agrees_is_not_searched() -> None:
    found = ask(us("TC-84A-9981", "VEXHOLM", "", "N95"), read("VEXHOLM", "VX-910"))
    assert [hit.field for hit in found.searched] == ["model"]


def test_a_number_that_is_not_listed_allows_no_entry_to_search() -> None:
    assert ask(us("TC-84A-1111"), read("VEXHOLM", "VX-910")).searched == ()


def test_without_a_number_four_digits_alone_point_to_no_entry() -> None:
    held = with_model("2026")
    class_ = [mark("filter_class", "N95")]
    assert ask(class_, read("N95", "2026"), held=held).searched == ()
    both = ask(class_, read("VEXHOLM 2026", "N95"), held=held)
    assert [hit.state for hit in both.searched] == ["printed", "printed"]
    assert (both.state, both.question) == ("nothing_to_look_up", True)


def test_a_holder_that_is_called_by_its_trade_is_not_found_in_a_warning() -> None:
    entry = HolderEntry("us-niosh", "Mask Company", "TC-84A-9981", models=("A-1",))
    found = ask(NUMBER, read("THIS MASK DOES NOT"), held=HolderList("one", (entry,), 1, ON))
    assert one(found, "manufacturer").state == "not_seen"


def test_a_maker_on_another_surface_agrees_only_where_its_name_is_whole() -> None:
    for printed, state in (("VEXHOLM FILTRATION WORKS", "agrees"), ("VEXHOLM", "doubtful")):
        name = mark("manufacturer", printed)
        (field, *_) = compare(E1, [name], [name]).fields
        assert (field.field.state, field.weight) == (state, "none")
        assert compare(E1, [name]).fields[0].field.state == "agrees"


def test_a_short_name_on_the_box_does_not_cover_another_name_on_the_facepiece() -> None:
    face, box = mark("manufacturer", "Orsaline Health"), mark("manufacturer", "VEXHOLM")
    found = compare(E1, [face, box], [box])
    assert (found.name_is, found.fields[0].weight) == ("other", "question")


def test_the_model_of_a_private_label_needs_no_name_of_it() -> None:
    found = ask(us("TC-84A-9918", "", "LC-22", "N95"), [])
    assert (found.state, found.question) == ("listed_agrees", False)


_texts = st.lists(
    st.text(st.sampled_from("VEXHOLM91008O0 -/.:"), min_size=1, max_size=14), max_size=4
)


@given(texts=_texts, model=st.sampled_from(["VX-910", "9100", "8O"]), guessed=st.booleans())
def test_searching_moves_no_state_no_field_and_no_mark(
    texts: list[str], model: str, guessed: bool
) -> None:
    """The decision on the list: it moves no probability and no standing."""
    free = [guess("model", texts[0])] if texts and guessed else []
    marks = [*NUMBER, *free]
    held = with_model(model)
    without = ask(marks, [], held=held)
    found = ask(marks, read(*texts, marks=free), held=held)
    assert without.searched == ()
    assert replace(found, searched=()) == without
    for hit in found.searched:
        line = texts[hit.line] if hit.line is not None else ""
        assert (hit.state == "not_seen") == (hit.span is None)
        if hit.span is not None:
            assert line[slice(*hit.span)] == hit.printed
    assert HolderMatchOut.model_validate(asdict(found)).searched is not None


@given(texts=_texts)
def test_print_by_place_alone_never_makes_a_state_of_a_listed_key(texts: list[str]) -> None:
    free = [guess(name, text) for text in texts for name in ("manufacturer", "model")]
    found = ask([*eu("", "", "FFP2"), *free], read(*texts, marks=free), "eu-en149")
    assert found.state == "nothing_to_look_up"
    held = replace(HOUSE_LIST, entries=(replace(E6, holder="VEXHOLM", models=("9100",)),))
    assert ask(free, read(*texts, marks=free), "eu-en149", held).state == "nothing_to_look_up"
