"""Writes a augmented photograph as a JPEG file, with a truth file beside it."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import numpy as np
from PIL import Image

from .photo import Made

# What a viewer does for each EXIF orientation (CIPA DC-008, tag 0x0112), undone before writing.
_UNDO = {3: Image.Transpose.ROTATE_180, 6: Image.Transpose.ROTATE_90, 8: Image.Transpose.ROTATE_270}


def write_photo(made: Made, path: Path, extra: dict[str, Any] | None = None) -> None:
    """Write `made` to `path` (.jpg or .png) and its truth, with `extra`, to the same name .json."""
    picture = Image.fromarray(np.ascontiguousarray(made.image[..., ::-1]))
    orientation = int(made.truth["exif_orientation"])
    exif = Image.Exif()
    if orientation in _UNDO:
        picture = picture.transpose(_UNDO[orientation])
        exif[0x0112] = orientation
    if path.suffix == ".png":
        picture.save(path, exif=exif)
    else:
        picture.save(path, quality=int(made.truth["jpeg_quality"]), subsampling=2, exif=exif)
    truth = {"file": path.name, **made.truth, **(extra or {})}
    path.with_suffix(".json").write_text(
        json.dumps(truth, indent=1, ensure_ascii=False) + "\n", encoding="utf-8"
    )
