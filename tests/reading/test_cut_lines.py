"""Lines that a closer look cuts: what is left of KN95 is N95, another class."""

from pathlib import Path

import pytest

from inkwitness.photo.decode import decode
from inkwitness.reading import find
from inkwitness.reading.read import read
from inkwitness.reading.readers.engines import load_readers
from tests.renderer.photo import render_photo
from tests.renderer.writing import write_photo


@pytest.fixture(scope="module")
def on_an_arc(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A drawn pouch, upside down, with Averlune, KN95 and GB 2626-2006 on an arc."""
    file = tmp_path_factory.mktemp("arc") / "arc.jpg"
    write_photo(render_photo(9_800_318, "easy"), file)
    return file


def lines(file: Path) -> dict[str, bool]:
    """The text of each line, and whether it may go on at an end."""
    reading = read(decode(file.read_bytes(), file.name), load_readers(with_second=False))
    return {line.text: any(line.cut) for area in reading.areas for line in area.lines}


def test_print_of_which_the_first_look_saw_half_is_read_whole(on_an_arc: Path) -> None:
    assert lines(on_an_arc) == {"Averlune": False, "KN95": False, "GB 2626-2006": False}


def test_a_line_that_stays_cut_says_so(on_an_arc: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(find, "_MOST_GROWN", 0)
    assert lines(on_an_arc)["N95"]
