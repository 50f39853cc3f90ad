"""The draw: repeatable from the record with nothing but a hash tool."""

import shutil
import subprocess

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inkwitness.sampling.draw import allocate, draw, draw_over_cartons, draw_over_lots, ticket
from inkwitness.sampling.frame import frame_hash, names
from tests.sampling.published import rows

VECTORS = rows("draw_vectors")
SEED = "consignment 2026-117;dice 4 1 6 2 5 3 3 6 1 2"


def _sha256sum(text: str) -> str:
    """SHA-256 by the coreutils program, which shares no code with Python's."""
    program = shutil.which("sha256sum")
    assert program is not None, "sha256sum (coreutils) is needed for this check"
    done = subprocess.run([program], input=text.encode(), capture_output=True, check=True)
    return done.stdout.decode().split()[0]


def test_draw_vectors():
    # 12 of 50 units, computed; see tables/README.md
    frame = names(["LOT-A/C001..C005/U01..U10"])
    found = draw(frame, len(VECTORS), SEED)
    assert [
        (row["seed"], int(row["rank"]), row["unit"], row["sha256_of_seed|unit"]) for row in VECTORS
    ] == [(found.seed, unit.rank, unit.unit, unit.sha256) for unit in found.units]


@pytest.mark.parametrize("row", VECTORS, ids=lambda row: row["unit"])
def test_a_ticket_is_what_a_hash_tool_says(row):
    assert row["sha256_of_seed|unit"] == _sha256sum(f"{row['seed']}|{row['unit']}")
    assert row["sha256_of_seed|unit"] == ticket(row["seed"], row["unit"])


def test_the_hash_of_the_list_is_that_of_a_text_file_with_one_name_a_line():
    frame = names(["C001..C003/U1..U2"])
    assert frame_hash(frame) == _sha256sum("".join(f"{unit}\n" for unit in frame))


def test_the_record_repeats_the_draw():
    frame = names(["C001..C100/U001..U400"])
    once, again = draw(frame, 297, SEED), draw(frame, 297, SEED)
    assert once == again
    assert (once.frame, len(once.units), len(once.reserve)) == (40_000, 297, 10)
    assert draw(frame, 297, SEED + "!").units != once.units


def test_the_order_of_the_list_does_not_matter_to_the_draw_but_to_its_hash():
    frame = names(["U01..U50"])
    forwards, backwards = draw(frame, 5, SEED), draw(frame[::-1], 5, SEED)
    assert forwards.units == backwards.units
    assert forwards.frame_sha256 != backwards.frame_sha256


@given(
    st.integers(1, 60),
    st.integers(1, 60),
    st.text(st.characters(codec="utf-8"), min_size=1).filter(
        lambda s: s.strip() and s.isprintable()
    ),
)
def test_a_larger_draw_keeps_the_earlier_units(n, m, seed):
    frame = names(["U01..U60"])
    few, many = sorted((n, m))
    small, large = draw(frame, few, seed), draw(frame, many, seed)
    assert small.units == large.units[:few]


def test_replacements_are_the_next_units_in_order():
    frame = names(["U01..U60"])
    assert draw(frame, 5, SEED, reserve=3).reserve == draw(frame, 8, SEED).units[5:]


def test_lots_are_drawn_in_proportion_and_none_is_forgotten():
    frame = names(["A/U001..U990", "B/U1..U8", "C/U1..U2"])
    found = draw_over_lots(frame, 50, SEED)
    drawn = [unit.group for unit in found.units]
    assert [drawn.count(lot) for lot in "ABC"] == [50, 1, 1]
    assert {unit.unit for unit in found.units if unit.group == "A"} == {
        unit.unit for unit in draw(names(["A/U001..U990"]), 50, SEED).units
    }


@given(st.lists(st.integers(1, 10_000), min_size=1, max_size=8), st.data())
def test_an_allocation_is_within_one_of_proportion_and_never_over_a_lot(sizes, data):
    total = sum(sizes)
    n = data.draw(st.integers(1, total))
    parts = allocate(sizes, n)
    assert sum(parts) >= n
    for size, part in zip(sizes, parts, strict=True):
        assert 1 <= part <= size
        assert abs(part * total - n * size) <= total


def test_cartons_first_then_units_within():
    found = draw_over_cartons(names(["C001..C020/U01..U40"]), 5, 3, SEED, reserve=1)
    # the first five cartons: computed by an independent script, 2026
    assert found.cartons == ("C008", "C017", "C001", "C019", "C016")
    assert [unit.group for unit in found.units] == [c for c in found.cartons for _ in range(3)]
    for carton in found.cartons:
        alone = draw(names([f"{carton}/U01..U40"]), 4, SEED).units
        assert [unit.unit for unit in alone[:3]] == [
            unit.unit for unit in found.units if unit.group == carton
        ]
        assert alone[3].unit in {unit.unit for unit in found.reserve}


def test_ranges_of_names():
    assert names(["A8..A11"]) == ("A8", "A9", "A10", "A11")
    assert names(["C001..C002/U1", "C009/U7"]) == ("C001/U1", "C002/U1", "C009/U7")
    assert names(["1..3"]) == ("1", "2", "3")
