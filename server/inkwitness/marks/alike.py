"""Letters and digits of a maker's own code that have nearly the same ink.

No grammar decides between 1 and I in a lot or a model, so the steps are asked for the other one
too. Readers take letters among digits for digits, hardly the other way round. A code of digits
alone may begin with a letter; within it a letter is not looked for.
"""

import math
from collections.abc import Sequence

import numpy as np

from inkwitness.marks.evidence import Piece, letters_of, likelihoods
from inkwitness.marks.text import ready

_OTHER = {"0": "O", "1": "I", "8": "B", "6": "G", "U": "V", "V": "U"}
#: Asked about where the other sign is likelier than this beside the one read (mean over the views
#: of the logarithm). Of 641 codes that 900 made photos would show as read, 81 are asked about, 14
#: of the 20 wrong ones among them.
_LIKELY = math.log(1 / 3000)
_LEAST = 1e-12


def alike_at(pieces: Sequence[Piece], printed: str) -> tuple[int, ...]:
    """Positions in `printed` at which its ink may well be the other sign of a pair."""
    code = ready(printed)
    signs = [at for at, sign in enumerate(code.text) if sign.isalnum()]
    if all(code.text[at].isdigit() for at in signs):
        signs = signs[:1]
    others = [(at, _OTHER[code.text[at]]) for at in signs if code.text[at] in _OTHER]
    if not others:
        return ()
    texts = [code.text[:at] + other + code.text[at + 1 :] for at, other in others]
    shares = [likelihoods(letters_of(piece), [code.text, *texts]) for piece in pieces]
    told = np.log(np.maximum(np.array(shares), _LEAST)).mean(axis=0)
    likely = told[1:] - told[0] > _LIKELY
    places = {code.origin[at] for (at, _), asked in zip(others, likely, strict=True) if asked}
    return tuple(sorted(places))
