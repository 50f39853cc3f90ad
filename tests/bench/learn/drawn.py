"""Drawn lines to learn from: those of tests/renderer, in all its surfaces, on all cores.

python -m tests.bench.learn.drawn COUNT OUT
"""

from __future__ import annotations

import argparse
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

import cv2
import numpy as np

from tests.renderer.line import line_strip

from .pack import Pack, Sample

#: Seeds for learning; the benchmarks and the calibration use others.
SEED = 20_000_000
_TALL = 64
_WIDEST = 1200
LEAST_X = 10.0
#: Strips of the renderer are 1.25 to 2 capitals high, and small letters 0.73 of a capital.
_X = 48 / 1.65 * 0.73


def line(seed: int) -> Sample | None:
    """A line with room above and below, or None where it is too small, too long or illegible."""
    strip = line_strip(seed)
    if not strip.legible or strip.x_height_px < LEAST_X or strip.image.shape[1] > _WIDEST:
        return None
    room = _TALL - strip.image.shape[0]
    tall = cv2.copyMakeBorder(strip.image, room // 2, room - room // 2, 0, 0, cv2.BORDER_REFLECT)
    source = f"drawn/{strip.process}"
    return Sample(source, strip.text, _X, strip.x_height_px, np.asarray(tall, np.uint8))


def main() -> None:
    """Entry point."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("count", type=int, help="how many seeds; three in five give a line")
    parser.add_argument("out", type=Path, help="files to write, without ending")
    given = parser.parse_args()
    pack = Pack(given.out)
    with ProcessPoolExecutor() as pool:
        for sample in pool.map(line, range(SEED, SEED + given.count), chunksize=50):
            if sample is not None:
                pack.add(sample)
    pack.close()
    print(f"{pack.count} drawn lines", flush=True)


if __name__ == "__main__":
    main()
