"""The neural networks behind small protocols, and the only place that knows their files.

The detector says for each pixel how likely it lies inside a line of print; the recogniser says for
each step along a straightened line which character stands there. Both are the ONNX models that
the `rapidocr` wheel carries (PP-OCRv6 small); nothing is fetched at run time.
"""

import hashlib
import importlib.util
import os
import unicodedata
from collections.abc import Sequence
from concurrent.futures import Executor, ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from typing import Protocol

import cv2
import numpy as np
import onnxruntime
from numpy.typing import NDArray

from inkwitness.errors import ReaderMissing
from inkwitness.photo.values import Pixels
from inkwitness.reading.readers.ctc import ALPHABET, decode_best
from inkwitness.reading.readers.installed import first_reader
from inkwitness.reading.readers.script_reader import ScriptReader, load_script_readers
from inkwitness.reading.readers.second import NoSecondReader, SecondReader, load_second_reader
from inkwitness.reading.values import DASHES, IMAGE_HEIGHT, CharSteps, ReaderId, View

# inkwitness/__init__.py keeps its telemetry from starting; this holds where it had started before.
onnxruntime.disable_telemetry_events()

DETECTOR_MODEL = "PP-OCRv6_det_small.onnx"
RECOGNISER_MODEL = "PP-OCRv6_rec_small.onnx"
#: SHA-256 of each model that may be loaded: what was measured, and no other.
MODEL_SHA256 = {
    DETECTOR_MODEL: "090f04abcd9d9a7498bc4ebf677e4cb9bdce1fe4197ddb7e529f1ef44e1ff94f",
    RECOGNISER_MODEL: "6f327246b50388f3c176ae304bd95767ea6dc0c9ae92153ef8cbe210b3c14884",
}
#: Narrower line images are filled up to this width (pixels).
_NARROWEST = 96
#: Line images are filled up to a multiple of this width (pixels): the network sets up few sizes.
_STEP = 32


class Detector(Protocol):
    """Says where print is."""

    def probability_map(self, pixels: Pixels) -> NDArray[np.float32]:
        """Probability of print for each pixel of a BGR picture (same height and width)."""
        ...


class Recogniser(Protocol):
    """Says what stands on straightened lines."""

    def recognise(self, images: Sequence[Pixels]) -> list[View]:
        """For each line image (STRIP_HEIGHT high, BGR): character probabilities and the best
        text.
        """
        ...


@dataclass(frozen=True, slots=True)
class Readers:
    """All readers of a process, loaded once.

    The `detector` has all cores for one photo. For places of a photo, one core each works on
    several at once (`pool`) with the `close_detector`: that is half as long again as fast.
    """

    detector: Detector
    close_detector: Detector
    recogniser: Recogniser
    second: SecondReader
    ids: tuple[ReaderId, ...]
    pool: Executor
    scripts: tuple[ScriptReader, ...] = ()


def load_readers(*, with_second: bool = True) -> Readers:
    """Load the models (about half a second) and look for the second and the named readers.

    Raises ReaderMissing where the wheel with the models is not installed, or a model is not the one
    that was measured.
    """
    folder = _model_folder()
    cores = int(os.environ.get("INKWITNESS_THREADS", "0")) or len(os.sched_getaffinity(0))
    pool = ThreadPoolExecutor(cores, thread_name_prefix="reading")
    detector = OnnxDetector(folder / DETECTOR_MODEL, cores)
    close = detector if cores == 1 else OnnxDetector(folder / DETECTOR_MODEL, 1)
    recogniser = OnnxRecogniser(folder / RECOGNISER_MODEL, pool)
    second = load_second_reader() if with_second else NoSecondReader()
    ids = (first_reader(),) if second.id is None else (first_reader(), second.id)
    scripts = load_script_readers() if with_second else ()
    return Readers(detector, close, recogniser, second, ids, pool, scripts)


class OnnxDetector:
    """PP-OCRv6 detector (differentiable binarisation)."""

    def __init__(self, file: Path, cores: int) -> None:
        self._session = _session(file, cores)

    def probability_map(self, pixels: Pixels) -> NDArray[np.float32]:
        """See Detector. The network needs sides that divide by 32: the rest is padded."""
        height, width = pixels.shape[:2]
        padded = cv2.copyMakeBorder(pixels, 0, -height % 32, 0, -width % 32, cv2.BORDER_REPLICATE)
        (answer,) = self._session.run(None, {"x": _normalised(np.asarray(padded, np.uint8))[None]})
        found: NDArray[np.float32] = answer[0, 0, :height, :width]
        return found


class OnnxRecogniser:
    """PP-OCRv6 recogniser (connectionist temporal classification over 18,710 classes).

    Each line image goes through the network by itself, on one core; the pool works on several at
    once.
    """

    def __init__(self, file: Path, pool: Executor) -> None:
        self._session = _session(file, 1)
        self._pool = pool
        listed = self._session.get_modelmeta().custom_metadata_map["character"].splitlines()
        # A tilde on a respirator is a dash whose dots stand unevenly.
        self._letters = ("", *("-" if letter in "~～" else letter for letter in listed), " ")
        self._columns = _columns(self._letters)

    def recognise(self, images: Sequence[Pixels]) -> list[View]:
        """See Recogniser. What a line image says does not depend on the line images it is asked
        with.
        """
        return list(self._pool.map(self._one, images))

    def _one(self, image: Pixels) -> View:
        width = max(_NARROWEST, image.shape[1] + -image.shape[1] % _STEP)
        filled = np.zeros((1, 3, IMAGE_HEIGHT, width), np.float32)
        filled[0, :, :, : image.shape[1]] = _normalised(image)
        (answer,) = self._session.run(None, {"x": filled})
        steps = int(np.ceil(image.shape[1] * answer.shape[1] / width))
        return self._view(answer[0, : max(1, steps)])

    def _view(self, probabilities: NDArray[np.float32]) -> View:
        """Fold the classes into the alphabet (see ctc.ALPHABET) and keep the best string."""
        best = probabilities.argmax(axis=1)
        folded = np.zeros((len(probabilities), len(ALPHABET) + 2), np.float64)
        for columns, classes in self._columns:
            folded[:, columns] = probabilities[:, classes].sum(axis=2)
        folded[:, -1] = np.maximum(1.0 - folded[:, :-1].sum(axis=1), 1e-9)
        folded = np.maximum(folded, 1e-9)
        folded /= folded.sum(axis=1, keepdims=True)
        text, spans, confidence = decode_best(
            best, probabilities[np.arange(len(best)), best], self._letters
        )
        steps = CharSteps(ALPHABET, np.log(folded).astype(np.float32))
        return View("", text, spans, confidence, steps)


class Remembering:
    """A recogniser that is asked once about each line image: closer looks meet the same line
    images again.
    """

    def __init__(self, recogniser: Recogniser) -> None:
        self._recogniser = recogniser
        self._known: dict[tuple[int, bytes], View] = {}

    def recognise(self, images: Sequence[Pixels]) -> list[View]:
        """See Recogniser."""
        keys = [(image.shape[1], image.tobytes()) for image in images]
        new = {
            key: image for key, image in zip(keys, images, strict=True) if key not in self._known
        }
        self._known.update(zip(new, self._recogniser.recognise(list(new.values())), strict=True))
        return [self._known[key] for key in keys]


def _columns(letters: Sequence[str]) -> list[tuple[NDArray[np.intp], NDArray[np.intp]]]:
    """The columns of the folded alphabet (n) and the classes that fold into each (n x count).

    Columns of as many classes stand together: a look-up for each column by itself takes three
    times as long.
    """
    classes: dict[int, list[int]] = {0: [0]}
    for number, letter in enumerate(letters):
        plain = unicodedata.normalize("NFKC", letter) if letter else ""
        plain = "-" if plain in DASHES else plain
        at = ALPHABET.find(plain) if len(plain) == 1 else -1
        if at >= 0:
            classes.setdefault(1 + at, []).append(number)
    by_count: dict[int, list[int]] = {}
    for column, numbers in classes.items():
        by_count.setdefault(len(numbers), []).append(column)
    return [
        (np.array(columns), np.array([classes[column] for column in columns]))
        for columns in by_count.values()
    ]


def _normalised(pixels: Pixels) -> NDArray[np.float32]:
    """Channels first, -1 to 1, as both networks were trained."""
    scaled = pixels.astype(np.float32)
    scaled *= 1 / 127.5
    scaled -= 1.0
    return scaled.transpose(2, 0, 1)


def _session(file: Path, cores: int) -> onnxruntime.InferenceSession:
    model = checked_model(file)
    options = onnxruntime.SessionOptions()
    options.intra_op_num_threads = cores
    options.log_severity_level = 3
    return onnxruntime.InferenceSession(
        model, sess_options=options, providers=["CPUExecutionProvider"]
    )


def checked_model(file: Path) -> bytes:
    """The bytes of a model, which are those of MODEL_SHA256. Raises ReaderMissing."""
    if not file.is_file():
        raise ReaderMissing("model_missing", model=file.name)
    model = file.read_bytes()
    if hashlib.sha256(model).hexdigest() != MODEL_SHA256[file.name]:
        raise ReaderMissing("model_other", model=str(file))
    return model


def _model_folder() -> Path:
    found = importlib.util.find_spec("rapidocr")
    if found is None or found.origin is None:
        raise ReaderMissing("rapidocr_missing")
    return Path(found.origin).parent / "models"
