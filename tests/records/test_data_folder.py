"""One server a folder, for its owner alone; backup while it is in use, and the way back."""

import os
import shutil
import stat
import subprocess
import sys
import threading
from contextlib import closing
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from inkwitness.access import codes, devices, people
from inkwitness.access.errors import NotAllowed
from inkwitness.access.store import open_access
from inkwitness.api.app import create_app
from inkwitness.errors import BadInput, StorageTrouble
from inkwitness.network.authority import open_authority
from inkwitness.photo import files
from inkwitness.records.chain import WriteContext, local_actor
from inkwitness.records.integrity import backups
from inkwitness.records.integrity.audit import audit
from inkwitness.records.store import DATABASE, new_id, open_store
from inkwitness.rulebook import policy
from inkwitness.use_cases import look_ups, photos, retention
from inkwitness.use_cases.look_ups import Asked, Attachment
from inkwitness.use_cases.photos import Sent
from tests.api.conftest import HEADERS, NOW, png, settings, wait_for


def test_a_second_server_on_the_folder_says_so_and_stops(tmp_path: Path) -> None:
    first = open_store(tmp_path / "data", alone=True)
    with pytest.raises(StorageTrouble, match=f"process {os.getpid()}"):
        open_store(tmp_path / "data", alone=True)
    first.close()
    open_store(tmp_path / "data", alone=True).close()


def test_the_lock_of_a_server_that_was_killed_is_free(tmp_path: Path) -> None:
    code = (
        "import sys, time; from pathlib import Path; "
        "from inkwitness.records.store import open_store; "
        "kept = open_store(Path(sys.argv[1]), alone=True); print('open', flush=True); "
        "time.sleep(600)"
    )
    command = [sys.executable, "-c", code, str(tmp_path / "data")]
    with subprocess.Popen(command, stdout=subprocess.PIPE) as other:
        assert other.stdout is not None
        other.stdout.readline()
        with pytest.raises(StorageTrouble):
            open_store(tmp_path / "data", alone=True)
        other.kill()
    open_store(tmp_path / "data", alone=True).close()


def test_a_folder_that_cannot_be_written_to_is_said_at_the_start(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "file").write_text("no folder", encoding="utf-8")
    with pytest.raises(StorageTrouble, match="cannot be written to"):
        open_store(tmp_path / "file", alone=True)


@pytest.mark.skipif(os.geteuid() != 0, reason="an account without rights is taken on here")
def test_an_account_without_rights_is_told_so_at_the_start(tmp_path: Path) -> None:
    tmp_path.chmod(0o755)
    folder = tmp_path / "data"
    open_store(folder).close()
    folder.chmod(0o555)
    code = (
        "import os, sys; from pathlib import Path; "
        "from inkwitness.records.store import open_store; "
        "from inkwitness.errors import StorageTrouble\n"
        "os.setgid(65534); os.setuid(65534)\n"
        "try: open_store(Path(sys.argv[1]), alone=True)\n"
        "except StorageTrouble as error: print(error.kind)"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, str(folder)], capture_output=True, text=True, check=False
    )
    # root's folders above may hide the folder from that account, which is as good a reason
    assert done.stdout.strip() in ("read_only", "storage"), done.stderr


def test_database_photos_and_folder_are_for_the_owner_alone(tmp_path: Path) -> None:
    options = settings(tmp_path)
    with TestClient(create_app(options, clock=lambda: NOW), headers=HEADERS) as client:
        taken = client.post(
            "/api/photos",
            data={"id": new_id(), "unit_id": new_id()},
            files={"file": ("plain.png", png())},
        )
        wait_for(client, taken.json()["job_id"])
        client.get("/api/records")
        modes = {
            str(path.relative_to(options.data)): oct(stat.S_IMODE(path.stat().st_mode))
            for path in options.data.rglob("*")
            if path.is_file()
        }
        folders = {
            stat.S_IMODE(path.stat().st_mode) for path in options.data.rglob("*") if path.is_dir()
        }
    assert set(modes.values()) == {"0o600"}, modes
    assert any(name.endswith("-wal") for name in modes)
    assert folders == {0o700}
    assert stat.S_IMODE(options.data.stat().st_mode) == 0o700


def test_a_backup_made_while_photos_come_in_is_whole_and_can_be_served(tmp_path: Path) -> None:
    options = settings(tmp_path)
    stop = threading.Event()
    with TestClient(create_app(options, clock=lambda: NOW), headers=HEADERS) as client:

        def send() -> dict[str, str]:
            ids = {"id": new_id(), "unit_id": new_id()}
            answer = client.post("/api/photos", data=ids, files={"file": ("plain.png", png())})
            assert answer.status_code == 202
            return {**ids, **answer.json()}

        def keep_sending() -> None:
            while not stop.is_set():
                send()

        before = [send() for _ in range(3)]
        for one in before:
            wait_for(client, one["job_id"])
        sender = threading.Thread(target=keep_sending)
        sender.start()
        try:
            made = backups.back_up(options.data, tmp_path / "backup")
        finally:
            stop.set()
            sender.join()
        assert made.found == []
    back = settings(tmp_path / "other")
    restored = backups.restore(tmp_path / "backup", back.data)
    assert restored.head.head == made.head.head
    with TestClient(create_app(back, clock=lambda: NOW), headers=HEADERS) as client:
        for one in before:
            unit = client.get(f"/api/units/{one['unit_id']}").json()
            assert [photo["file"] for photo in unit["photos"]] == ["intact"]
            assert len(unit["checks"]) == 1


def test_a_backup_that_is_not_whole_is_not_restored(tmp_path: Path) -> None:
    options = settings(tmp_path)
    with TestClient(create_app(options, clock=lambda: NOW), headers=HEADERS) as client:
        ids = {"id": new_id(), "unit_id": new_id()}
        client.post("/api/photos", data=ids, files={"file": ("plain.png", png())})
    backups.back_up(options.data, tmp_path / "backup")
    (one,) = (tmp_path / "backup" / "photos" / "sent").glob("*/*")
    one.write_bytes(b"another")
    with pytest.raises(StorageTrouble, match="is changed"):
        backups.restore(tmp_path / "backup", tmp_path / "restored")
    with pytest.raises(BadInput, match="not empty"):
        backups.restore(tmp_path / "backup", options.data)


def _seen(folder: Path) -> dict[str, tuple[bytes, int]]:
    return {
        str(path.relative_to(folder)): (path.read_bytes(), path.stat().st_mtime_ns)
        for path in folder.rglob("*")
        if path.is_file()
    }


def _modes(folder: Path) -> set[str]:
    return {oct(stat.S_IMODE(path.stat().st_mode)) for path in (folder, *folder.rglob("*"))}


@pytest.fixture
def backup(tmp_path: Path) -> Path:
    """A backup of a folder with one photo and a policy of its own."""
    store = open_store(tmp_path / "data")
    sent = Sent(photo_id=new_id(), unit_id=new_id(), name="plain.png")
    photos.keep(store, sent, png(), WriteContext(local_actor("Ines Okparo"), NOW))
    store.close()
    (tmp_path / "data" / policy.FILE).write_text("settings: []", encoding="utf-8")
    backups.back_up(tmp_path / "data", tmp_path / "backup")
    return tmp_path / "backup"


def test_a_restore_only_reads_the_backup_and_gives_nobody_else_a_look(
    backup: Path, tmp_path: Path
) -> None:
    for path in (backup, *backup.rglob("*")):  # as a stick may have it
        path.chmod(0o755 if path.is_dir() else 0o644)
    before, during = _seen(backup), set[str]()
    # https://www.sqlite.org/fileformat.html, 1.3.3: 1 needs no log beside it, which a disk that
    # cannot be written to could not have
    assert before[DATABASE][0][18:20] == b"\x01\x01"
    mask = os.umask(0)
    try:
        backups.restore(backup, tmp_path / "new", lambda folder: during.update(_modes(folder)))
    finally:
        os.umask(mask)
    assert during == _modes(tmp_path / "new") == {"0o700", "0o600"}
    assert _seen(backup) == before
    assert (tmp_path / "new" / policy.FILE).read_text(encoding="utf-8") == "settings: []"
    assert not (tmp_path / "new.part").exists()


def test_a_restore_that_is_cut_off_is_no_folder_that_a_server_would_open(
    backup: Path, tmp_path: Path
) -> None:
    new = tmp_path / "new"

    def cut_off(folder: Path) -> None:
        assert not new.exists()
        assert (folder / DATABASE).is_file()
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        backups.restore(backup, new, cut_off)
    assert not [path for path in tmp_path.iterdir() if path.name.startswith("new")]
    # killed alone it leaves what nobody opens and says so
    (tmp_path / "new.part").mkdir()
    (tmp_path / "new.part" / "half").touch()
    with pytest.raises(BadInput, match=r"new\.part"):
        backups.restore(backup, new)


def test_a_backup_that_cannot_be_made_leaves_no_half_of_one(backup: Path, tmp_path: Path) -> None:
    (one,) = (tmp_path / "data" / "photos" / "sent").glob("*/*")
    one.unlink()
    (tmp_path / "empty").mkdir()
    for target in ("other", "empty"):
        with pytest.raises(StorageTrouble, match="missing"):
            backups.back_up(tmp_path / "data", tmp_path / target)
    assert not [*(tmp_path / "empty").iterdir()]
    assert not [path for path in tmp_path.iterdir() if path.name.startswith("other")]


def test_leftovers_of_a_power_cut_are_removed_at_the_start(tmp_path: Path) -> None:
    open_store(tmp_path / "data").close()
    left = tmp_path / "data" / files.PHOTOS / "parts" / "half.part"
    left.parent.mkdir(parents=True)
    left.write_bytes(b"half")
    open_store(tmp_path / "data", alone=True).close()
    assert not left.exists()
    shutil.rmtree(tmp_path / "data")


def test_what_no_row_names_is_put_aside_at_the_start_and_can_still_be_taken_back(
    tmp_path: Path,
) -> None:
    store = open_store(tmp_path / "data")
    context = WriteContext(local_actor("Ines Okparo"), NOW)
    sent = Sent(photo_id=new_id(), unit_id=new_id(), name="plain.png")
    photos.keep(store, sent, png(), context)
    with store.database.writing() as conn:
        shot = store.files.keep_sent(b"a screenshot")
        attachment = Attachment(shot, "s.png", "image/png", 12)
        asked = Asked("us-niosh", "TC-84A-9981", "FICTIONAL list")
        told = {"looked_up_at": NOW, "attachments": [attachment]}
        look_ups.keep(conn, new_id(), asked, "listed_same", context, **told)  # type: ignore[arg-type]
    named = {path for path in store.files.folder.rglob("*") if path.is_file()}
    lost = store.files.keep_sent(png(colour="red"))
    store.files.keep_served(b"its copy")
    store.files.keep_strips(new_id(), {0: b"a line of a reading that was cut off"})
    for path in store.files.folder.rglob("*"):
        os.utime(path, (0, 0))
    store.files.keep_sent(b"a file whose row another command is about to write")
    store.close()
    store = open_store(tmp_path / "data", alone=True)
    files = {path for path in store.files.folder.rglob("*") if path.is_file()}
    assert named < files
    aside = {path for path in files if "unnamed" in path.parts}
    assert len(aside) == 3
    assert len(files - named - aside) == 1, "the new file is left alone"
    done = audit(store.database, store.files)
    assert done.found == []
    assert any(note.startswith("3 files that no row names") for note in done.notes)
    # sent again and taken back, no second one is left
    again = Sent(photo_id=new_id(), unit_id=new_id(), name="plain.png")
    photos.keep(store, again, png(colour="red"), context)
    retention.take_back(store, new_id(), again.photo_id, "a badge is in it", context)
    assert not [path for path in store.files.folder.rglob(lost) if path.is_file()]
    store.close()


def test_what_was_put_aside_under_an_older_database_is_put_back_under_the_right_one(
    backup: Path, tmp_path: Path
) -> None:
    folder = tmp_path / "data"
    for path in (folder / files.PHOTOS).rglob("*"):
        os.utime(path, (0, 0))
    before = _seen(folder / files.PHOTOS)
    (folder / DATABASE).rename(tmp_path / "right")
    open_store(folder, alone=True).close()
    assert not [*(folder / files.PHOTOS / "sent").glob("*/*")]
    (tmp_path / "right").replace(folder / DATABASE)
    store = open_store(folder, alone=True)
    assert _seen(folder / files.PHOTOS) == before
    assert audit(store.database, store.files).found == []
    store.close()


def test_a_backup_holds_the_accounts_and_not_the_keys_and_a_restore_signs_everybody_out(
    tmp_path: Path,
) -> None:
    data = tmp_path / "data"
    open_store(data).close()
    open_authority(data / "network", NOW)
    with closing(open_access(data)) as access, access.writing() as conn:
        person = people.add(conn, "Ines Okparo", ["screener"], NOW, by=None)
        devices.join(conn, person.id, "phone", NOW, by="code")
        code, _ = codes.make(conn, "join", NOW, person_id=person.id)
    copy = tmp_path / "copy"
    for command, folder in (("backup", data), ("restore", tmp_path / "new")):
        asked = ["records", command, str(copy), "--data", str(folder)]
        done = subprocess.run(
            [sys.executable, "-m", "inkwitness", *asked],
            capture_output=True,
            text=True,
            check=False,
        )
        assert done.returncode == 0, done.stderr
        assert not (copy / "network").exists()
    assert "Devices signed out: 1." in done.stdout
    assert stat.S_IMODE((copy / "access.sqlite").stat().st_mode) == 0o600
    with closing(open_access(tmp_path / "new")) as access, access.writing() as conn:
        assert [one.name for one in people.everybody(conn)] == ["Ines Okparo"]
        assert devices.known(conn, NOW) == []
        with pytest.raises(NotAllowed):
            codes.use(conn, "join", code, NOW)
