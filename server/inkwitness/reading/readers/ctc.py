"""Connectionist temporal classification: the alphabet, the best string, the forward algorithm.

Source: Graves et al., "Connectionist Temporal Classification", ICML 2006, sections 3 and 4.1.
"""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

#: The printable characters of ASCII, from the space to the tilde.
_ASCII = "".join(chr(code) for code in range(0x20, 0x7F))
#: Letters of other scripts that stand in marks, beside ASCII; the rest is one column together.
_OTHERS = (
    "€∈Єє®°ºÉéÜüÖöÄäÃãÇçÓóÍíÁáÊêÕõ≥×·"
    "批号产品生日期制造有效执行标准规格型级特医用械注准进许国労検年月日失至保质储存个儿童"
    "제조번호년월일사용기한유효간모델명특급의약외품보건방진어린이개"
    "製番造区分ロット"
)
#: Columns 1.. of every CharSteps, in order.
ALPHABET = _ASCII + "".join(dict.fromkeys(_OTHERS))


def decode_best(
    best: NDArray[np.intp], probability: NDArray[np.float32], letters: Sequence[str]
) -> tuple[str, tuple[tuple[int, int], ...], float]:
    """The string of the most likely class at each step, repeats and blanks taken out.

    `letters[0]` is the blank. Returns text, the step range of each character, and the mean
    probability over the characters (0 for an empty string).
    """
    text: list[str] = []
    spans: list[tuple[int, int]] = []
    sure: list[float] = []
    step = 0
    while step < len(best):
        end = step + 1
        while end < len(best) and best[end] == best[step]:
            end += 1
        if best[step] != 0:
            text.append(letters[best[step]])
            spans.append((step, end))
            sure.append(float(probability[step:end].max()))
        step = end
    # A letter of the list may be two code points long; spans stay one a character.
    wide = [span for letter, span in zip(text, spans, strict=True) for _ in letter]
    return "".join(text), tuple(wide), float(np.mean(sure)) if sure else 0.0
