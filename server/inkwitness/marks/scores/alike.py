"""Letters and digits of a maker's own code that have nearly the same ink.

No grammar decides between 1 and I in a lot or a model, so the steps are asked for the other one
too. Readers take letters among digits for digits, hardly the other way round. A code of digits
alone may begin with a letter; within it a letter is not looked for.
"""

import math
from collections.abc import Sequence

import numpy as np

from inkwitness.marks.scores.evidence import Piece, letters_of, likelihoods
from inkwitness.marks.text import LOOK_ALIKE, ready

_OTHER = {"0": "O", "1": "I", "8": "B", "6": "G", "U": "V", "V": "U"}
#: Asked about where the other sign is likelier than this beside the one read (mean over the views
#: of the logarithm). Of 641 codes that 900 made photos would show as read, 81 are asked about, 14
#: of the 20 wrong ones among them.
_LIKELY = math.log(1 / 3000)
_LEAST = 1e-12


def alike_at(pieces: Sequence[Piece], printed: str) -> tuple[int, ...]:
    """Positions in `printed` at which its ink may well be a letter for a digit, or another letter.

    A first O or zero always may, unless a letter follows.
    """
    code = ready(printed)
    signs = [at for at, sign in enumerate(code.text) if sign.isalnum()]
    digits_alone = all(code.text[at].isdigit() for at in signs)
    places = _likely_other(pieces, code.text, signs[:1] if digits_alone else signs)
    if code.text[signs[0]] in LOOK_ALIKE[0] and not all(
        code.text[at].isalpha() for at in signs[:2]
    ):
        places.add(signs[0])
    return tuple(sorted(code.origin[at] for at in places))


def _likely_other(pieces: Sequence[Piece], text: str, signs: Sequence[int]) -> set[int]:
    """Those of the signs for which the steps leave room for the other one of the pair."""
    others = [at for at in signs if text[at] in _OTHER]
    if not others:
        return set()
    texts = [text[:at] + _OTHER[text[at]] + text[at + 1 :] for at in others]
    shares = [likelihoods(letters_of(piece), [text, *texts]) for piece in pieces]
    told = np.log(np.maximum(np.array(shares), _LEAST)).mean(axis=0)
    return {at for at, other in zip(others, told[1:], strict=True) if other - told[0] > _LIKELY}
