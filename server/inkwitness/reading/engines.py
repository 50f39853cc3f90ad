"""The neural networks behind small protocols, and the only place that knows their files.

The detector says for each pixel how likely it lies inside a line of print; the recogniser says for
each step along a straightened line which character stands there. Both are the ONNX models that
the `rapidocr` wheel carries (PP-OCRv6 small); nothing is fetched at run time.
"""

import importlib.metadata
import importlib.util
import os
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Protocol

import cv2
import numpy as np
import onnxruntime
from numpy.typing import NDArray

from inkwitness.errors import ReaderMissing
from inkwitness.photo.values import Pixels
from inkwitness.reading.ctc import ALPHABET, RawView, decode_best
from inkwitness.reading.script_reader import ScriptReader, load_script_readers
from inkwitness.reading.second import NoSecondReader, SecondReader, load_second_reader
from inkwitness.reading.values import CharSteps, ReaderId

#: Height of a straightened line as the recogniser was trained to see it.
STRIP_HEIGHT = 48
_BATCH_PIXELS = 48 * 2400
_NARROWEST = 96
#: Strips are filled up to a multiple of this width (pixels): strips of one width go together.
_STEP = 32


class Detector(Protocol):
    """Says where print is."""

    def text_map(self, pixels: Pixels) -> NDArray[np.float32]:
        """Probability of print for each pixel of a BGR picture (same height and width)."""
        ...


class Recogniser(Protocol):
    """Says what stands on straightened lines."""

    def recognise(self, strips: Sequence[Pixels]) -> list[RawView]:
        """For each strip (STRIP_HEIGHT high, BGR): character probabilities and the best text."""
        ...


@dataclass(frozen=True, slots=True)
class Readers:
    """All readers of a process, loaded once."""

    detector: Detector
    recogniser: Recogniser
    second: SecondReader
    ids: tuple[ReaderId, ...]
    scripts: tuple[ScriptReader, ...] = ()


def load_readers(*, with_second: bool = True) -> Readers:
    """Load the models (about half a second) and look for the second and the named readers.

    Raises ReaderMissing where the wheel with the models is not installed.
    """
    folder = _model_folder()
    detector = OnnxDetector(folder / "PP-OCRv6_det_small.onnx")
    recogniser = OnnxRecogniser(folder / "PP-OCRv6_rec_small.onnx")
    second = load_second_reader() if with_second else NoSecondReader()
    first = ReaderId("ppocr", f"PP-OCRv6 small, rapidocr {importlib.metadata.version('rapidocr')}")
    ids = (first,) if second.id is None else (first, second.id)
    scripts = load_script_readers() if with_second else ()
    return Readers(detector, recogniser, second, ids, scripts)


class OnnxDetector:
    """PP-OCRv6 detector (differentiable binarisation)."""

    def __init__(self, file: Path) -> None:
        self._session = _session(file)

    def text_map(self, pixels: Pixels) -> NDArray[np.float32]:
        """See Detector. The network needs sides that divide by 32: the rest is padded."""
        height, width = pixels.shape[:2]
        padded = cv2.copyMakeBorder(pixels, 0, -height % 32, 0, -width % 32, cv2.BORDER_REPLICATE)
        (answer,) = self._session.run(None, {"x": _normalised(np.asarray(padded, np.uint8))[None]})
        found: NDArray[np.float32] = answer[0, 0, :height, :width]
        return found


class OnnxRecogniser:
    """PP-OCRv6 recogniser (connectionist temporal classification over 18,710 classes)."""

    def __init__(self, file: Path) -> None:
        self._session = _session(file)
        listed = self._session.get_modelmeta().custom_metadata_map["character"].splitlines()
        self._letters = ("", *listed, " ")
        self._columns = _columns(self._letters)

    def recognise(self, strips: Sequence[Pixels]) -> list[RawView]:
        """See Recogniser. What a strip says does not depend on the strips it is asked with."""
        alike: dict[int, list[int]] = {}
        for index, strip in enumerate(strips):
            alike.setdefault(max(_NARROWEST, strip.shape[1] + -strip.shape[1] % _STEP), []).append(
                index
            )
        views: dict[int, RawView] = {}
        for width, indices in alike.items():
            most = max(1, _BATCH_PIXELS // (STRIP_HEIGHT * width))
            for start in range(0, len(indices), most):
                batch = indices[start : start + most]
                views.update(zip(batch, self._run([strips[i] for i in batch], width), strict=True))
        return [views[i] for i in range(len(strips))]

    def _run(self, strips: Sequence[Pixels], width: int) -> list[RawView]:
        stack = np.zeros((len(strips), 3, STRIP_HEIGHT, width), np.float32)
        for i, strip in enumerate(strips):
            stack[i, :, :, : strip.shape[1]] = _normalised(strip)
        (answer,) = self._session.run(None, {"x": stack})
        steps_per_pixel = answer.shape[1] / width
        return [
            self._view(one[: max(1, int(np.ceil(strip.shape[1] * steps_per_pixel)))])
            for one, strip in zip(answer, strips, strict=True)
        ]

    def _view(self, probabilities: NDArray[np.float32]) -> RawView:
        """Fold the classes into the alphabet (see ctc.ALPHABET) and keep the best string."""
        best = probabilities.argmax(axis=1)
        folded = np.zeros((len(probabilities), len(ALPHABET) + 2), np.float64)
        for column, classes in self._columns:
            folded[:, column] = probabilities[:, classes].sum(axis=1)
        folded[:, -1] = np.maximum(1.0 - folded[:, :-1].sum(axis=1), 1e-9)
        folded = np.maximum(folded, 1e-9)
        folded /= folded.sum(axis=1, keepdims=True)
        text, spans, confidence = decode_best(
            best, probabilities[np.arange(len(best)), best], self._letters
        )
        steps = CharSteps(ALPHABET, np.log(folded).astype(np.float32))
        return RawView(text, spans, confidence, steps)


class Remembering:
    """A recogniser that is asked once about each strip: closer looks meet the same strips again."""

    def __init__(self, recogniser: Recogniser) -> None:
        self._recogniser = recogniser
        self._known: dict[tuple[int, bytes], RawView] = {}

    def recognise(self, strips: Sequence[Pixels]) -> list[RawView]:
        """See Recogniser."""
        keys = [(strip.shape[1], strip.tobytes()) for strip in strips]
        new = {
            key: strip for key, strip in zip(keys, strips, strict=True) if key not in self._known
        }
        self._known.update(zip(new, self._recogniser.recognise(list(new.values())), strict=True))
        return [self._known[key] for key in keys]


def _columns(letters: Sequence[str]) -> list[tuple[int, NDArray[np.intp]]]:
    """For each column of the folded alphabet the classes that fold into it."""
    classes: dict[int, list[int]] = {0: [0]}
    for number, letter in enumerate(letters):
        plain = unicodedata.normalize("NFKC", letter) if letter else ""
        plain = "-" if plain in _DASHES else plain
        at = ALPHABET.find(plain) if len(plain) == 1 else -1
        if at >= 0:
            classes.setdefault(1 + at, []).append(number)
    return [(column, np.array(numbers)) for column, numbers in classes.items()]


_DASHES = frozenset("‐‑‒–—―−﹣－⁃")


def _normalised(pixels: Pixels) -> NDArray[np.float32]:
    """Channels first, -1 to 1, as both networks were trained."""
    scaled = pixels.astype(np.float32)
    scaled *= 1 / 127.5
    scaled -= 1.0
    return scaled.transpose(2, 0, 1)


def _session(file: Path) -> onnxruntime.InferenceSession:
    if not file.is_file():
        raise ReaderMissing(f"The model {file.name} is missing. Run `make setup` again.")
    options = onnxruntime.SessionOptions()
    options.intra_op_num_threads = int(os.environ.get("INKWITNESS_THREADS", "0"))
    options.log_severity_level = 3
    return onnxruntime.InferenceSession(
        str(file), sess_options=options, providers=["CPUExecutionProvider"]
    )


def _model_folder() -> Path:
    found = importlib.util.find_spec("rapidocr")
    if found is None or found.origin is None:
        raise ReaderMissing("The package rapidocr is missing. Run `make setup` again.")
    return Path(found.origin).parent / "models"
