"""Strips of print with what they say, packed into two files: pictures, and a JSON line for each."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

Picture = NDArray[np.uint8]

#: Quality of the packed pictures: they are made far smaller and worse before they are learned from.
_QUALITY = 88


@dataclass(frozen=True)
class Sample:
    """A straight strip of print: BGR, as high as a line of a photo is kept (64 rows).

    `x` is the height of its small letters in the strip (pixels), `x_photo` in the photo that it was
    cut from. `text` is what stands there; empty where only the network itself says it.
    """

    source: str
    text: str
    x: float
    x_photo: float
    strip: Picture


class Pack:
    """Writes samples."""

    def __init__(self, stem: Path) -> None:
        stem.parent.mkdir(parents=True, exist_ok=True)
        self._pictures = stem.with_suffix(".bin").open("wb")
        self._index = stem.with_suffix(".jsonl").open("w", encoding="utf-8")
        self.count = 0

    def add(self, sample: Sample, **more: Any) -> None:
        """Keep one; `more` goes into its JSON line."""
        _, coded = cv2.imencode(".webp", sample.strip, [cv2.IMWRITE_WEBP_QUALITY, _QUALITY])
        kept = {**asdict(sample), **more, "at": self._pictures.tell(), "size": len(coded)}
        del kept["strip"]
        self._pictures.write(coded.tobytes())
        self._index.write(json.dumps(kept, ensure_ascii=False) + "\n")
        self.count += 1

    def close(self) -> None:
        """Finish both files."""
        self._pictures.close()
        self._index.close()


def unpacked(stem: Path) -> Iterator[tuple[Sample, dict[str, Any]]]:
    """The samples of a pack, each with its whole JSON line."""
    pictures = stem.with_suffix(".bin").read_bytes()
    for line in stem.with_suffix(".jsonl").read_text("utf-8").splitlines():
        kept = json.loads(line)
        coded = np.frombuffer(pictures, np.uint8, kept["size"], kept["at"])
        strip = cv2.imdecode(coded, cv2.IMREAD_COLOR)
        if strip is None:
            raise ValueError(f"{stem}: the picture at {kept['at']} cannot be decoded")
        yield (
            Sample(
                kept["source"],
                kept["text"],
                kept["x"],
                kept["x_photo"],
                np.asarray(strip, np.uint8),
            ),
            kept,
        )
