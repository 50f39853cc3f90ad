"""A folder of photos is brought in whole, and goes on where it ended."""

from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from inkwitness.cli.main import app
from inkwitness.records import units
from inkwitness.records.store import look_at_store
from tests.api.conftest import png


@pytest.fixture
def roll(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Two boxes with two photos each, a file that is no photo, and what systems leave behind."""
    for name, value in (
        ("INKWITNESS_READER", "tests.api.fake_checker:build"),
        ("INKWITNESS_JUDGE", "tests.api.fake_checker:build_judge"),
        ("INKWITNESS_WORKERS", "0"),
        ("INKWITNESS_HELPERS", "0"),
    ):
        monkeypatch.setenv(name, value)
    folder = tmp_path / "roll"
    colours = iter(("red", "green", "blue", "white"))
    for box in ("box 1", "box 2"):
        (folder / box).mkdir(parents=True)
        for name in ("front.png", "missing.png"):
            (folder / box / name).write_bytes(png(colour=next(colours)))
    (folder / ".hidden.png").write_bytes(png(colour="black"))
    (folder / "Thumbs.db").write_bytes(b"x")
    (folder / "link.png").symlink_to(folder / "box 1" / "front.png")
    return folder


def bring(roll: Path, *more: str) -> Result:
    words = ["import", str(roll), "--by", "Samira Kholvane", "--data", str(roll.parent / "data")]
    # a thread of its own: in that of the browser's tests a loop runs already
    with ThreadPoolExecutor(1) as thread:
        return thread.submit(CliRunner().invoke, app, [*words, *more]).result()


def kept(roll: Path) -> list[units.UnitSummary]:
    store = look_at_store(roll.parent / "data")
    with store.database.reading() as conn:
        found = units.page(conn, limit=100)
    store.close()
    return found


def test_each_file_is_a_unit_and_is_read(roll: Path) -> None:
    done = bring(roll)
    assert done.exit_code == 0, done.output
    assert sorted(unit.label for unit in kept(roll)) == [
        "box 1/front.png",
        "box 1/missing.png",
        "box 2/front.png",
        "box 2/missing.png",
    ]
    assert {unit.outcome for unit in kept(roll)} == {"no_conflict_found", "missing"}


def test_or_each_folder_is_one_and_has_the_worst_of_its_photos(roll: Path) -> None:
    bring(roll, "--per", "folder")
    found = kept(roll)
    assert sorted(unit.label for unit in found) == ["box 1", "box 2"]
    assert [len(unit.state.photos) for unit in found] == [2, 2]
    assert {unit.outcome for unit in found} == {"missing"}


def test_run_again_it_goes_on_where_it_ended(roll: Path) -> None:
    """A photo is known by its bytes: it is kept once, and its folder's unit is the same."""
    bring(roll, "--per", "folder", "--no-read")
    (roll / "box 1" / "back.png").write_bytes(png(colour="yellow"))
    done = bring(roll, "--per", "folder")
    assert "Kept now: 1, kept before: 4" in done.output
    found = kept(roll)
    assert sorted(len(unit.state.photos) for unit in found) == [2, 3]
    assert all(photo.outcome for unit in found for photo in unit.state.photos)


def test_the_same_picture_in_two_folders_makes_them_no_one_unit(roll: Path) -> None:
    (roll / "box 2" / "again.png").write_bytes((roll / "box 1" / "front.png").read_bytes())
    for _ in range(2):
        done = bring(roll, "--per", "folder", "--no-read")
    assert "Kept now: 0, kept before: 5" in done.output
    assert [len(unit.state.photos) for unit in kept(roll)] == [2, 2]


def test_a_file_that_is_no_photo_is_named_and_the_others_are_kept(roll: Path) -> None:
    (roll / "notes.txt").write_text("no photo", encoding="utf-8")
    done = bring(roll, "--no-read")
    assert done.exit_code == 2
    assert "notes.txt" in done.output
    assert len(kept(roll)) == 4


def test_a_folder_that_is_not_there_is_said(tmp_path: Path) -> None:
    done = CliRunner().invoke(app, ["import", str(tmp_path / "none"), "--by", "Samira"])
    assert done.exit_code != 0
    assert "no folder" in getattr(done.exception, "message", "")
