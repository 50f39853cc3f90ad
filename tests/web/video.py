"""A camera that shows a sample picture: a short film for Chromium's fake camera."""

import io
from pathlib import Path

from PIL import Image


def make_video(out: Path, picture: Path, *, frames: int = 20, long_side: int = 1600) -> Path:
    """Motion JPEG: JPEG pictures one after another, which Chromium takes for a camera's film."""
    with Image.open(picture) as opened:
        shown = opened.convert("RGB")
    shown.thumbnail((long_side, long_side))
    # The picture's sides must be even for the camera's pixel format.
    shown = shown.crop((0, 0, shown.width // 2 * 2, shown.height // 2 * 2))
    data = io.BytesIO()
    shown.save(data, "JPEG", quality=92)
    out.write_bytes(data.getvalue() * frames)
    return out
