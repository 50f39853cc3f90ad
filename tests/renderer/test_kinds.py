"""Kinds of layout as data: what is composed of them says truly what it shows."""

import numpy as np
import pytest

from tests.renderer.photo import render_kind
from tests.renderer.printed import names
from tests.renderer.printed.flat import flat_picture
from tests.renderer.printed.kinds import NAMES, compose_kind, kinds

SMALL = {"longest": 520, "zoom": 1.2, "x_target": 9.0, "head": False, "units": 1}
EVERY = pytest.mark.parametrize("kind", list(kinds()))


@EVERY
def test_every_mark_stands_on_the_line_that_it_names(kind: str) -> None:
    for seed in range(5):
        what = compose_kind(kinds()[kind], seed)
        assert what.printed
        for mark in what.printed:
            assert mark.value in what.lines[mark.line].text
            values = {value for line in what.lines for value in line.values.values()}
            assert mark.value in values


@EVERY
def test_print_that_is_no_mark_is_print_and_no_mark(kind: str) -> None:
    what = compose_kind(kinds()[kind], 1)
    forms = {form for mark in what.printed for form in mark.forms}
    for text in what.others:
        assert any(text in line.text for line in what.lines)
        assert text not in forms


@EVERY
def test_names_are_made_anew_from_every_seed(kind: str) -> None:
    first, again, other = (compose_kind(kinds()[kind], seed) for seed in (1, 1, 2))
    assert first == again
    free = [mark for mark in first.printed if mark.mark in (*NAMES, "body_number")]
    assert not free or first.lines != other.lines


@EVERY
def test_a_kind_with_a_fault_says_what_should_be_found(kind: str) -> None:
    one = kinds()[kind]
    assert bool(one.fault) == bool(one.about) == bool(one.expect)
    assert one.expect in ("", "caution", "missing", "conflict")
    assert {*one.labelled} <= {*NAMES}
    printed = {mark.mark for mark in compose_kind(one, 1).printed}
    assert {*one.labelled, *one.unnamed} <= printed


def test_kinds_have_names_of_every_shape_with_and_without_a_label() -> None:
    """Shapes in which names and models are printed: common practice, no source."""
    prints = [(kind, compose_kind(kind, 1)) for kind in kinds().values()]
    named = {(mark.mark, mark.named) for _, what in prints for mark in what.printed}
    assert {(name, label) for name in NAMES for label in (True, False)} <= named
    makers = [m.value for _, what in prints for m in what.printed if m.mark == "manufacturer"]
    models = [m.value for _, what in prints for m in what.printed if m.mark == "model"]
    assert sum(len(maker) == 2 for maker in makers) >= 10
    assert sum(model.isdigit() for model in models) >= 10
    assert any(model.endswith("+") for model in models)
    assert any(maker.islower() for maker in makers)
    assert {kind.surface for kind, _ in prints} == {"facepiece", "pouch", "inner_box"}


def test_every_shape_is_made_and_a_wrong_one_refused() -> None:
    rng = np.random.default_rng(3)
    for shape in sorted(names.SHAPES):
        forms = names.make(rng, shape, "VEXHOLM")
        assert all(forms)
        assert len(set(forms)) == len(forms)
    with pytest.raises(ValueError, match="no shape 'round'"):
        names.make(rng, "round")


def test_a_pattern_draws_only_its_signs() -> None:
    rng = np.random.default_rng(3)
    assert names.filled(rng, "@-##?", "Vexholm")[:3] == "VE-"
    for _ in range(50):
        year, week = names.filled(rng, "YYYY-WWW", years=(2027, 2028)).split("-W")
        assert year in ("2027", "2028")
        assert 1 <= int(week) <= 52
        assert 1000 <= int(names.filled(rng, "####")) <= 9999


def test_the_truth_of_a_photograph_states_every_mark_and_what_is_none() -> None:
    what = compose_kind(kinds()["us-warning-first"], 7)
    truth = render_kind(7, what, "hard", **SMALL).truth
    assert truth["kind"] == "us-warning-first"
    assert [entry["mark"] for entry in truth["printed"]] == [mark.mark for mark in what.printed]
    assert truth["others"] == list(what.others)
    unnamed = {entry["mark"] for entry in truth["printed"] if not entry["named"]}
    assert unnamed == {"manufacturer", "model"}


def test_a_turned_line_stands_upright_on_the_picture() -> None:
    what = compose_kind(kinds()["us-warning-first"], 7)
    truth = render_kind(7, what, "easy", roll=0.0, tilt=0.0, shape="carton", process="flexo",
                        head=False, units=1, longest=700).truth  # fmt: skip
    turned = truth["lines"][[line.dress for line in what.lines].index("turned")]
    wide, high = np.ptp(np.array(turned["polygon"]), axis=0)
    assert high > 1.5 * wide


def test_a_flat_picture_is_ink_on_an_even_ground() -> None:
    what = compose_kind(kinds()["us-block"], 1)
    picture = flat_picture(what)
    assert np.array_equal(picture, flat_picture(what))
    assert picture[:50].std() < 10
    assert picture.min() < 60
