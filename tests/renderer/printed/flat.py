"""A print drawn flat: clean ink on an even ground, seen from straight above.

As easy as a picture gets, so that what goes wrong with it is not the letters.
"""

from __future__ import annotations

import cv2
import numpy as np
import numpy.typing as npt

from tests.renderer.printed.content import Print
from tests.renderer.printed.faces import Style
from tests.renderer.printed.layout import Setting, make_plate
from tests.renderer.scene import widest

_PPMM = 12.0  # pixels a millimetre
_CAP_MM = 3.0
_MARGIN = 110  # px
_PAPER, _INK = np.array((238, 244, 245), np.float32), np.array((44, 36, 34), np.float32)
_PLAIN, _BOLD = Style("liberation"), Style("liberation-bold")
_SETTING = Setting(_PLAIN, _BOLD, _BOLD, _PLAIN, _PLAIN, 0.75, "centre", 0.0, False, False, 9)


def flat_picture(what: Print) -> npt.NDArray[np.uint8]:
    """The print as a picture (h, w, 3), BGR; the same print always gives the same bytes."""
    rng = np.random.default_rng(1)
    plate = make_plate(rng, what, _SETTING, _CAP_MM, _PPMM, _CAP_MM * widest(what))
    ink = np.pad(plate.ink, _MARGIN)
    ink = cv2.GaussianBlur(ink, (0, 0), 0.7)[..., None]
    return np.asarray(np.round(_PAPER + (_INK - _PAPER) * ink), np.uint8)
