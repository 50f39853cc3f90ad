"""Photo files: kept means that the bytes are on the disk, under folders that name them."""

import errno
import hashlib
import os
import stat
from pathlib import Path
from typing import Any

import pytest

from inkwitness.errors import NotFound
from inkwitness.photo.files import PhotoFiles

DATA = b"what came" * 1000


@pytest.fixture
def files(tmp_path: Path) -> PhotoFiles:
    return PhotoFiles(tmp_path / "photos")


@pytest.mark.parametrize("left", [b"", DATA[:100], b"x" * len(DATA)])
def test_a_file_of_that_name_with_other_bytes_is_not_taken_for_kept(
    files: PhotoFiles, left: bytes
) -> None:
    sha256 = hashlib.sha256(DATA).hexdigest()
    path = files.path_of("sent", sha256)
    path.parent.mkdir(parents=True)
    path.write_bytes(left)
    assert files.keep_sent(DATA) == sha256
    assert files.sent(sha256) == DATA
    # what was there may tell something, so it is put aside
    (aside,) = (one for one in path.parent.iterdir() if one != path)
    assert aside.read_bytes() == left


def test_the_same_bytes_again_change_nothing(files: PhotoFiles) -> None:
    path = files.path_of("sent", files.keep_sent(DATA))
    before = path.stat()
    files.keep_sent(DATA)
    assert (path.stat().st_ino, path.stat().st_mtime_ns) == (before.st_ino, before.st_mtime_ns)


def test_files_and_folders_are_for_the_owner_alone(files: PhotoFiles) -> None:
    path = files.path_of("sent", files.keep_sent(DATA))
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    for folder in (path.parent, path.parents[1], files.folder):
        assert stat.S_IMODE(folder.stat().st_mode) == 0o700


def _flushed(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Names of what is flushed from now on, and of what is moved, in order."""
    seen: list[str] = []
    fsync, replace = os.fsync, Path.replace

    def watched(opened: int) -> None:
        seen.append(str(Path(f"/proc/self/fd/{opened}").readlink()))
        fsync(opened)

    def moved(self: Path, target: Any) -> Path:
        seen.append(f"move {target}")
        return replace(self, target)

    monkeypatch.setattr(os, "fsync", watched)
    monkeypatch.setattr(Path, "replace", moved)
    return seen


def test_the_file_is_flushed_before_it_is_moved_and_every_folder_after(
    files: PhotoFiles, monkeypatch: pytest.MonkeyPatch
) -> None:
    # POSIX.1-2017 fsync(), and Linux fsync(2): a new name is safe once its folder is flushed
    seen = _flushed(monkeypatch)
    path = files.path_of("sent", files.keep_sent(DATA))
    move = seen.index(f"move {path}")
    assert any(name.endswith(".part") for name in seen[:move])
    after = seen[move:]
    # the data folder too: it names the folder of photos
    folders = (path.parent, path.parents[1], files.folder, files.folder.parent)
    assert [str(folder) for folder in folders if str(folder) not in after] == []


def test_bytes_that_are_there_are_flushed_again_before_they_count_as_kept(
    files: PhotoFiles, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = files.path_of("sent", files.keep_sent(DATA))
    seen = _flushed(monkeypatch)
    files.keep_sent(DATA)
    assert {str(path), str(path.parent)} <= set(seen)


@pytest.mark.parametrize("number", [errno.ENOSPC, errno.EIO, errno.EDQUOT])
def test_a_write_that_fails_leaves_neither_the_file_nor_a_part(
    files: PhotoFiles, monkeypatch: pytest.MonkeyPatch, number: int
) -> None:
    def fails(_opened: int) -> None:
        raise OSError(number, os.strerror(number))

    files.keep_sent(b"another")
    monkeypatch.setattr(os, "fsync", fails)
    with pytest.raises(OSError, match=os.strerror(number)):
        files.keep_sent(DATA)
    monkeypatch.undo()
    assert list(files.folder.glob("parts/*")) == []
    with pytest.raises(NotFound):
        files.sent(hashlib.sha256(DATA).hexdigest())
    assert files.sent(files.keep_sent(DATA)) == DATA


def test_what_was_being_written_when_the_power_went_is_removed(files: PhotoFiles) -> None:
    path = files.path_of("sent", files.keep_sent(DATA))
    (files.folder / "parts" / "left.part").write_bytes(b"half")
    path.with_name(f"{path.name}.older-way.part").write_bytes(b"half")
    assert files.remove_parts() == 2
    assert files.remove_parts() == 0
    assert files.sent(path.name) == DATA


def test_the_picture_of_a_line_is_told_from_another_by_its_hash(files: PhotoFiles) -> None:
    made = files.keep_strips("reading-1", {0: b"line 0", 3: b"line 3"})
    assert made[3] == hashlib.sha256(b"line 3").hexdigest()
    assert files.strip_state("reading-1", 3, made[3]) == "intact"
    files.strip_path("reading-1", 3).write_bytes(b"another")
    assert files.strip_state("reading-1", 3, made[3]) == "changed"
    assert files.strip_state("reading-1", 9, made[3]) == "missing"
