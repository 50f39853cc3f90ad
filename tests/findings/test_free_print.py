"""Print that only its place names: it raises nothing, and excuses one name that is not seen.

Source of the expectations: the project's decisions on the name of a piece of ink and on *missing*.
"""

import datetime as dt
from collections.abc import Sequence
from dataclasses import replace
from itertools import permutations

from hypothesis import given, settings
from hypothesis import strategies as st

from inkwitness.findings.judge import judge, judge_unit, schemes_of
from inkwitness.findings.merge import unit_of
from inkwitness.findings.outcome import aspects_and_outcome
from inkwitness.findings.requires import COULD_BE_IT, FEWER
from inkwitness.findings.values import Circumstances, Finding, Item, Surface
from inkwitness.marks.read_marks import marks_of_text
from inkwitness.marks.values import Mark
from inkwitness.rulebook import load

BOOK = load()
ON = dt.date(2026, 11, 25)
#: A box that wants a maker, a model and an expiry date, and shows none.
BOX = ("EN 149:2001+A1:2009", "FFP2 NR", "CE 2999")
WANTED = ("manufacturer", "model", "expiry_date")
US = ("N95", "NIOSH", "TC-84A-9981", "LOT 25C114")


def free(line: int, *names: str, start: int = 0) -> tuple[Mark, ...]:
    """One piece of ink, offered under several names."""
    return tuple(
        Mark(
            name,
            f"INK{line}",
            f"INK{line}",
            "doubtful",
            0.5,
            line=line,
            span=(start, start + 4),
            named_by="place",
        )
        for name in names
    )


def item(
    lines: Sequence[str],
    *pieces: tuple[Mark, ...],
    surface: Surface = "facepiece",
    on: dt.date = ON,
) -> Item:
    read = marks_of_text(lines, BOOK.grammars, BOOK.vocabulary, unlabelled=False)
    offered = tuple(mark for piece in pieces for mark in piece)
    return Item((*read, *offered), Circumstances(on, surface, "yes"), tuple(lines))


def missed(found: Sequence[Finding]) -> list[Finding]:
    return [one for one in found if one.severity == "missing" and not one.question]


def asked(found: Sequence[Finding]) -> list[Finding]:
    return [one for one in found if one.rule == COULD_BE_IT]


# ---- one name each ------------------------------------------------------------------------------


@given(st.integers(0, 6))
def test_each_piece_excuses_one_name(count: int) -> None:
    """As many pieces as names: asked. Fewer: one finding names them all. None: each missing."""
    found = judge(
        item(BOX, *(free(9 + n, *WANTED) for n in range(count)), surface="inner_box"), BOOK
    )
    if count >= len(WANTED):
        assert missed(found) == []
        assert {one.marks[0] for one in asked(found)} == set(WANTED)
    elif count:
        (one,) = missed(found)
        assert (one.rule, one.marks) == (FEWER, WANTED)
    else:
        assert {one.marks for one in missed(found)} == {(name,) for name in WANTED}


offers = st.lists(
    st.sets(st.sampled_from([*WANTED, "lot"]), min_size=1).map(sorted), min_size=0, max_size=4
)


@settings(max_examples=60)
@given(offers)
def test_missing_is_said_where_and_only_where_print_runs_out(given_: list[list[str]]) -> None:
    """Against every way to give each name a piece of its own."""
    pieces = [free(9 + n, *names) for n, names in enumerate(given_)]
    found = judge(item(BOX, *pieces, surface="inner_box"), BOOK)
    enough = any(
        all(name in given_[at] for name, at in zip(WANTED, chosen, strict=True))
        for chosen in permutations(range(len(given_)), len(WANTED))
    )
    assert bool(missed(found)) is not enough
    never = {name for name in WANTED if not any(name in names for names in given_)}
    alone = {one.marks[0] for one in missed(found) if one.rule != FEWER}
    assert alone == never
    said = {name for one in (*missed(found), *asked(found)) for name in one.marks}
    assert said == set(WANTED)


def test_same_ink_under_several_names_is_one_piece() -> None:
    once = judge(item(US, free(9, "manufacturer", "model")), BOOK)
    (one,) = missed(once)
    assert one.marks == ("manufacturer", "model")
    assert "name of the maker or model" in BOOK.says(one.rule, dict(one.values))
    twice = judge(item(US, free(9, "manufacturer", "model"), free(9, "model", start=6)), BOOK)
    assert missed(twice) == []


def test_two_schemes_that_want_the_maker_want_one_name() -> None:
    lines = (*US, "MODEL VX-9", "GB 2626-2019 KN95")
    found = judge(item(lines, free(9, "manufacturer")), BOOK)
    assert missed(found) == []
    assert {dict(one.values)["rule"] for one in asked(found)} == {
        "us-holder-name-absent",
        "cn-holder-name-absent",
    }


def test_examination_number_on_a_line_of_its_own_is_asked_about() -> None:
    """TM and digits without the sign around it look like a model (dossier on rules found wrong)."""
    lines = ("OSTREVANE", "MODEL KM-2", "DS2")
    number, other = (
        tuple(replace(mark, printed=ink, value=ink) for mark in free(9, "model"))
        for ink in ("TM812", "KX812")
    )
    held = {"jp-pass-mark-absent"}
    assert held <= {one.rule for one in missed(judge(item(lines, other), BOOK))}
    found = judge(item(lines, number), BOOK)
    assert held <= {dict(one.values)["rule"] for one in asked(found)}


def test_print_that_cannot_be_the_mark_excuses_nothing() -> None:
    """Only a name, a model, a lot and a date in digits stand without a label."""
    found = judge(item(("VEXHOLM", "N95", "NIOSH"), free(9, "manufacturer", "model")), BOOK)
    assert "us-tc-number-absent" in {one.rule for one in missed(found)}


def test_print_on_the_box_excuses_nothing_on_the_mask() -> None:
    mask = item(US, free(9, "model"))
    box = item((*US, "SEE INSERT"), free(9, "manufacturer"), surface="carton")
    (one,) = missed(judge_unit([mask, box], BOOK))
    assert one.rule == "us-holder-name-absent"


def test_ink_that_a_person_named_is_free_no_longer() -> None:
    maker, model = free(9, "manufacturer", "model")
    said = replace(maker, standing="read", confirmed=True, named_by="person", printed="VEXHOLM")
    found = judge(item(US, (said, model)), BOOK)
    assert [one.rule for one in missed(found)] == ["us-model-absent"]
    assert asked(found) == []


def test_what_is_only_recommended_is_not_asked_for_while_print_is_left() -> None:
    lines = ("N95", "NIOSH", "TC-84A-9981")
    assert "us-lot-absent" in {one.rule for one in judge(item(lines), BOOK)}
    assert "us-lot-absent" not in {one.rule for one in judge(item(lines, free(9, "lot")), BOOK)}


# ---- it raises nothing --------------------------------------------------------------------------

kinds = st.sampled_from(
    ["manufacturer", "model", "lot", "manufacture_date", "expiry_date", "approval_number",
     "filter_class", "standard", "agency", "claims", "uncovered_scheme"]
)  # fmt: skip
values = st.sampled_from(
    ["KN95", "GB 2626-2006", "NOISH", "TC-84A-0000", "1999-01", "2030-01", "FDA APPROVED", "GOST"]
)


@settings(max_examples=60)
@given(st.lists(st.tuples(kinds, values), max_size=5), st.sampled_from([US, BOX, ()]))
def test_print_named_by_its_place_claims_and_raises_nothing(
    extra: list[tuple[str, str]], lines: tuple[str, ...]
) -> None:
    plain = item(lines)
    guesses = tuple(
        Mark(name, value, value, "doubtful", 0.5, line=9 + n, span=(0, 9), named_by="place")
        for n, (name, value) in enumerate(extra)
    )
    with_free = replace(plain, marks=(*plain.marks, *guesses))
    assert schemes_of([with_free], BOOK) == schemes_of([plain], BOOK)
    before, after = judge(plain, BOOK), judge(with_free, BOOK)
    own = {COULD_BE_IT, FEWER}
    assert {one for one in after if one.rule not in own} <= set(before)
    graver = [one for one in before if one.severity in ("conflict", "caution")]
    assert [one for one in after if one.severity in ("conflict", "caution")] == graver
    states = [
        aspects_and_outcome(found, judged.marks)[0]
        for found, judged in ((before, plain), (after, with_free))
    ]
    assert states[0]["reading"] == states[1]["reading"]


def test_free_print_on_two_surfaces_is_compared_with_nothing() -> None:
    mask = item((*US, "MODEL VX-9"))
    box = item(US, free(9, "model"), surface="carton")
    rules = {one.rule for one in unit_of([mask, box], BOOK).findings}
    assert "x-facepiece-and-box-differ" not in rules


# ---- marks of their own surface -----------------------------------------------------------------

KN = ("PELLANOR INDUSTRIAL", "MODEL SR-08", "GB 2626-2019 KN95")
FFP = ("HALCYRA RESPIRE", "MODEL HR-F2", *BOX, "EXP 2029/04")


def named(lines: Sequence[str], surface: Surface) -> Item:
    read = marks_of_text(lines, BOOK.grammars, BOOK.vocabulary)
    return Item(read, Circumstances(ON, surface, "yes"), tuple(lines))


def test_mask_of_one_scheme_is_not_asked_for_the_marks_of_its_box() -> None:
    found = judge_unit([named(KN, "facepiece"), named(FFP, "inner_box")], BOOK)
    assert missed(found) == []
    assert "x-surfaces-claim-other-schemes" in {one.rule for one in found}


def test_blank_mask_is_asked_for_the_marks_that_its_box_claims() -> None:
    found = judge_unit([named(("VEXHOLM",), "facepiece"), named(FFP, "inner_box")], BOOK)
    (said,) = [one for one in missed(found) if one.rule == "eu-class-absent"]
    assert dict(said.values)["surface"] == "facepiece"


# ---- what cannot be told ------------------------------------------------------------------------


def outcome(*lines: str, on: dt.date = ON) -> str:
    read = named(lines, "facepiece")
    read = replace(read, circumstances=replace(read.circumstances, on=on))
    return aspects_and_outcome(judge(read, BOOK), read.marks)[1]


def test_print_in_which_nothing_is_known_cannot_be_told() -> None:
    """Dossier on rules found wrong: these came out as no conflict."""
    for lines in (
        ("DUST MASK", "NON-TOXIC DUST ONLY"),
        ("SURGICAL MASK", "3 PLY", "BFE 95 %"),
        ("ASTM F3502-21", "LEVEL 2"),
        ("CWA 17553:2020",),
        ("JIS T 9001",),
        ("CNS 14774",),
        ("EN ISO 17420",),
        ("PPE-R/02.075",),
        ("HALCYRA", "FFP2 NR", "SANS 50149:2003"),
    ):
        assert outcome(*lines) == "cannot_tell", lines


def test_covered_standard_beside_one_that_is_not_is_judged() -> None:
    full = ("MANUFACTURED BY HALCYRA RESPIRE", "MODEL HR-F2", *BOX, "EAC")
    assert outcome(*full) == "no_conflict_found"


def test_ear_loops_beside_niosh_are_a_question_in_construction() -> None:
    """Guidance says so, not the regulation (the project's decisions)."""
    read = named(("MANUFACTURED BY VEXHOLM FILTRATION", "MODEL VX-910", *US), "facepiece")
    loops = frozenset({"ear_loops"})
    worn = replace(read, circumstances=replace(read.circumstances, declared=loops))
    aspects, worst = aspects_and_outcome(judge(worn, BOOK), worn.marks, declared=loops)
    assert (aspects["construction"], aspects["marks"]) == ("cannot_tell", "no_conflict_found")
    assert worst == "cannot_tell"
