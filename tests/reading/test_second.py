"""The second reader is asked where its program is found, and is not missed in silence."""

import os
from pathlib import Path

import cv2
import numpy as np
import pytest
from PIL import Image, ImageDraw, ImageFont

from inkwitness.photo.values import Pixels
from inkwitness.reading.readers import tesseract
from inkwitness.reading.readers.engines import load_readers
from inkwitness.reading.readers.second import NoSecondReader, TesseractReader, load_second_reader

DEJAVU = "/usr/share/fonts/truetype/dejavu/DejaVuSans.ttf"


def line_image_with(text: str, ink: tuple[int, int, int], ground: tuple[int, int, int]) -> Pixels:
    picture = Image.new("RGB", (420, 48), ground)
    font = ImageFont.truetype(DEJAVU, 26)
    ImageDraw.Draw(picture).text((16, 24), text, ink, font, anchor="lm")
    return np.asarray(cv2.GaussianBlur(np.array(picture), (0, 0), 0.8), np.uint8)


def test_without_the_program_nobody_stands_in_for_it(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setenv("PATH", str(tmp_path))
    readers = load_readers()
    assert isinstance(readers.second, NoSecondReader)
    assert [one.name for one in readers.ids] == ["ppocr"]
    assert readers.second.read_lines([np.zeros((48, 90, 3), np.uint8)]) == [None]


def test_each_line_of_a_montage_keeps_its_own_answer() -> None:
    """Dark on light, light on dark, and an empty line between."""
    reader = load_second_reader()
    assert isinstance(reader, TesseractReader)
    answers = reader.read_lines(
        [
            line_image_with("TC-84A-4406", (30, 30, 40), (225, 228, 222)),
            np.full((48, 420, 3), 200, np.uint8),
            line_image_with("LOT 2231", (235, 235, 235), (30, 32, 38)),
        ]
    )
    said = ["" if one is None else one.text for one in answers]
    assert "4406" in said[0]
    assert said[1] == ""
    assert "2231" in said[2]


def test_a_program_that_hangs_is_ended_and_its_answers_are_missing(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    reader = load_second_reader()
    hangs = tmp_path / "tesseract"
    noted = tmp_path / "process"
    hangs.write_text(f"#!/bin/sh\necho $$ > {noted}\nexec sleep 600\n", encoding="utf-8")
    hangs.chmod(0o755)
    monkeypatch.setenv("PATH", f"{tmp_path}:{os.environ['PATH']}")
    monkeypatch.setattr(tesseract, "LONGEST_SECONDS", 5)
    with pytest.raises(tesseract.ReaderStopped):
        reader.read_lines([line_image_with("LOT 2231", (30, 30, 40), (225, 228, 222))])
    # kill(2) with signal 0: whether there is such a process
    with pytest.raises(ProcessLookupError):
        os.kill(int(noted.read_text()), 0)
