"""Why a line of a made photo was not read: not found, badly straightened, or misread.

Each line of the truth is compared with the line found at its place. Where the text differs, the
same line is cut out along its true polygon and read again: right then means that the cut was to
blame, wrong again that the recogniser was.
"""

from __future__ import annotations

import json
from collections import Counter
from pathlib import Path

import numpy as np

from inkwitness.photo.decode import decode
from inkwitness.reading.augmentations import MARGIN, TALL, augmented
from inkwitness.reading.read import read
from inkwitness.reading.readers.engines import Readers, load_readers
from inkwitness.reading.straighten import Pyramid, line_image_of
from inkwitness.reading.values import Line
from tests.bench.scored.truth import bare


def causes(folder: Path, every: int = 1, readers: Readers | None = None) -> list[dict[str, object]]:
    """One record a legible line: difficulty, truth, text read, cause."""
    ready = readers or load_readers(with_second=False)
    records: list[dict[str, object]] = []
    for file in sorted(folder.glob("*.json"))[::every]:
        truth = json.loads(file.read_text(encoding="utf-8"))
        photo = decode(file.with_name(truth["file"]).read_bytes(), truth["file"])
        reading = read(photo, ready)
        lines = [line for area in reading.areas for line in area.lines]
        pyramid = Pyramid(photo.pixels)
        for wanted in truth["lines"]:
            if not wanted.get("legible", not wanted.get("occluded")):
                continue
            cause, text = _cause(wanted, lines, pyramid, ready)
            records.append({"file": truth["file"], "difficulty": truth["difficulty"],
                            "truth": wanted["text"], "read": text, "cause": cause,
                            "x_height": wanted["x_height_px"]})  # fmt: skip
    return records


def table(records: list[dict[str, object]]) -> str:
    """Causes by difficulty, in Markdown."""
    rows = ["| lines | " + " | ".join(_CAUSES) + " |", "|---" * (1 + len(_CAUSES)) + "|"]
    for level in ("easy", "medium", "hard"):
        counts = Counter(str(r["cause"]) for r in records if r["difficulty"] == level)
        total = sum(counts.values())
        shares = " | ".join(f"{counts[c] / total:.1%}" if total else "-" for c in _CAUSES)
        rows.append(f"| {level} ({total}) | {shares} |")
    return "\n".join(rows)


_CAUSES = ("right", "not found", "badly straightened", "misread")


def _cause(
    wanted: dict[str, object], lines: list[Line], pyramid: Pyramid, readers: Readers
) -> tuple[str, str]:
    ring = np.array(wanted["polygon"])
    half = len(ring) // 2
    middle = (ring[:half] + ring[half:][::-1]) / 2
    height = float(np.median(np.linalg.norm(ring[:half] - ring[half:][::-1], axis=1)))
    near = [line for line in lines if _covers(line, middle, height)]
    aim = bare(str(wanted["text"]))
    texts = [line.text for line in near]
    if any(aim in bare(text) for text in texts) or aim in bare("".join(texts)):
        return "right", " / ".join(texts)
    if not near:
        return "not found", ""
    # The true polygon runs from the top of capitals to below the line: about 1.1 capitals.
    image = line_image_of(pyramid, _longer(middle, 0.4 * height), height / 1.1, image_height=TALL,
                     margin=MARGIN * TALL / 48)  # fmt: skip
    view = readers.recogniser.recognise([augmented(image, "colour")])[0]
    return ("badly straightened" if aim in bare(view.text) else "misread"), " / ".join(texts)


def _covers(line: Line, middle: np.ndarray, height: float) -> bool:
    ring = np.array(line.polygon)
    half = len(ring) // 2
    own = (ring[:half] + ring[half:][::-1]) / 2
    at = np.linspace(0, len(middle) - 1, 80)
    dense = np.column_stack([np.interp(at, np.arange(len(middle)), middle[:, k]) for k in (0, 1)])
    gaps = np.linalg.norm(own[:, None] - dense[None], axis=2).min(axis=1)
    return bool((gaps < 0.6 * height).mean() > 0.5)


def _longer(middle: np.ndarray, reach: float) -> np.ndarray:
    first, last = middle[0] - middle[1], middle[-1] - middle[-2]
    return np.vstack([middle[0] + first / np.linalg.norm(first) * reach, middle,
                      middle[-1] + last / np.linalg.norm(last) * reach])  # fmt: skip
