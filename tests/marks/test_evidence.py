"""How likely a string is over a piece of a line: the forward algorithm against plain enumeration.

Source: Graves, Fernández, Gomez, Schmidhuber, "Connectionist Temporal Classification", ICML 2006,
equation 3: the probability of a labelling is the sum over all paths that collapse to it.
"""

from itertools import groupby, product

import numpy as np
import pytest

from inkwitness.marks.scores.evidence import Letters, Piece, likeliest, likelihoods, transcriptions
from inkwitness.reading.values import CharSteps, View

SIGNS = ("", "A", "B", " ", "\ufffd")
DIGITS = " 0123456789"


def letters(seed: int, steps: int) -> Letters:
    """Steps whose every row sums to 1; nothing on the space, which is free at both ends."""
    table = np.random.default_rng(seed).dirichlet(np.full(len(SIGNS), 0.7), size=steps)
    table[:, 3] = 0.0
    return Letters(SIGNS, table / table.sum(axis=1, keepdims=True))


def collapsed(path: tuple[int, ...]) -> str:
    """Repeats merged, then blanks removed (the map B of the paper)."""
    return "".join(SIGNS[column] for column, _ in groupby(path))


def enumerated(seen: Letters) -> dict[str, float]:
    """Every string with the summed probability of all its paths."""
    found: dict[str, float] = {}
    for path in product(range(len(SIGNS)), repeat=len(seen.steps)):
        chance = float(np.prod([seen.steps[t, column] for t, column in enumerate(path)]))
        found[collapsed(path)] = found.get(collapsed(path), 0.0) + chance
    return found


@pytest.mark.parametrize("seed", range(4))
def test_forward_algorithm_is_the_sum_over_all_paths(seed: int) -> None:
    seen = letters(seed, steps=5)
    paths = enumerated(seen)
    for texts in (["A"], ["A", "B", "AB", "AA", "ABA", "AAB", "BB"], ["ABABAB", "B"]):
        wanted = [paths.get(text, 0.0) for text in texts]
        assert likelihoods(seen, texts) == pytest.approx(wanted, rel=1e-9)


def test_a_doubled_letter_needs_a_blank_between() -> None:
    two_steps = letters(0, steps=2)
    doubled, different = likelihoods(two_steps, ["AA", "AB"])
    assert doubled == 0.0
    assert different > 0.0


def test_a_letter_that_the_alphabet_lacks_is_impossible() -> None:
    seen = letters(0, steps=4)
    impossible, possible = likelihoods(seen, ["AZ", "A"])
    assert impossible == 0.0
    assert possible > 0.0
    assert likelihoods(seen, ["Z"]) == [0.0]


@pytest.mark.parametrize("seed", range(4))
def test_the_beam_finds_the_likeliest_string(seed: int) -> None:
    seen = letters(seed, steps=5)
    told = {text: chance for text, chance in enumerated(seen).items() if "\ufffd" not in text}
    best = max(told, key=lambda text: told[text])
    assert best in likeliest(seen)[:2]


def view(augmentation: str, shares: dict[str, float]) -> View:
    """One letter, one step: how much the view gives to each sign; the rest is other signs."""
    table = np.full((1, 2 + len(DIGITS)), 1e-6)
    for sign, share in shares.items():
        table[0, 1 + DIGITS.index(sign)] = share
    table[0, -1] = max(1e-6, 1 - table[0, :-1].sum())
    best = max(shares, key=lambda sign: shares[sign])
    steps = CharSteps(DIGITS, np.log(table).astype(np.float32))
    return View(augmentation, best, ((0, 1),), shares[best], steps)


def test_views_that_disagree_leave_doubt_where_each_alone_is_sure() -> None:
    one = view("colour", {"3": 0.97, "8": 0.02})
    other = view("local_contrast", {"8": 0.97, "3": 0.02})
    alone = transcriptions([Piece(one, 0, 1)], (), ())
    both = transcriptions([Piece(one, 0, 1), Piece(other, 0, 1)], (), ())
    assert alone[0].text == "3"
    assert alone[0].probability > 0.9
    assert {both[0].text, both[1].text} == {"3", "8"}
    assert both[0].probability < 0.6


def test_views_are_evidence_not_votes() -> None:
    """Two lukewarm views for 8 do not outvote one that is certain of 3 (common practice)."""
    sure = view("colour", {"3": 0.995, "8": 0.004})
    lukewarm = [view(name, {"8": 0.55, "3": 0.44}) for name in ("inverted", "flattened")]
    told = transcriptions([Piece(one, 0, 1) for one in (sure, *lukewarm)], (), ())
    assert told[0].text == "3"


def test_the_same_view_seven_times_is_little_news() -> None:
    """Renderings of one line image show the same ink: what seven of them say is not seven
    witnesses.

    Independent, seven views of 4 to 1 would make 16,384 to 1 (Bayes' rule, equal priors).
    """
    shares = {"3": 0.78, "8": 0.195}
    once = transcriptions([Piece(view("colour", shares), 0, 1)], (), ())
    often = transcriptions([Piece(view(str(n), shares), 0, 1) for n in range(7)], (), ())
    assert once[0].text == often[0].text == "3"
    assert once[0].probability < often[0].probability < 0.95


def test_what_nobody_scored_keeps_a_share() -> None:
    told = transcriptions([Piece(view("colour", {"3": 0.6, "8": 0.1}), 0, 1)], (), ())
    assert sum(one.probability for one in told) < 1.0
