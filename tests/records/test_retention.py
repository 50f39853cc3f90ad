"""A photo that is taken back: its bytes are gone, and who, when, why and its hash stay.

How long photos are kept is a setting of the house; a hold on the goods, or somebody's word that
they are evidence, goes before it (reference of the project: common practice, local law decides).
"""

import datetime as dt
import os
import subprocess
import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from inkwitness import phrases
from inkwitness.api.app import create_app
from inkwitness.errors import BadInput, Removed
from inkwitness.jobs import queue
from inkwitness.photo.files import PhotoFiles
from inkwitness.photo.served import served_copy
from inkwitness.records import chain, removals
from inkwitness.records.chain import WriteContext, local_actor
from inkwitness.records.consignments import Refused
from inkwitness.records.integrity import backups
from inkwitness.records.integrity.audit import audit
from inkwitness.records.store import Store, new_id, open_store
from inkwitness.records.tables import photos as photos_table
from inkwitness.reports.pack import contents
from inkwitness.use_cases import photos, retention
from inkwitness.use_cases.photos import Sent
from inkwitness.use_cases.retention import Periods
from tests.api.conftest import HEADERS, NOW, png, settings, wait_for

Send = Callable[..., dict[str, Any]]
EN = phrases.shipped().of("en")
CONTEXT = WriteContext(local_actor("Ines Okparo"), NOW)
WHY = "a badge with a name is in it"


def remove(client: TestClient, photo_id: str, reason: str = WHY) -> Any:
    return client.post(f"/api/photos/{photo_id}/remove", json={"id": new_id(), "reason": reason})


def hold(client: TestClient, unit_id: str, kind: str = "hold") -> None:
    asked = {"id": new_id(), "disposition": kind, "reason": "the holder answered"}
    assert client.post(f"/api/units/{unit_id}/decisions", json=asked).status_code == 201


def store_of(client: TestClient) -> Store:
    found: Store = client.app.state.services.store  # type: ignore[attr-defined]
    return found


def bytes_of(client: TestClient) -> list[str]:
    files = store_of(client).files.folder
    return sorted(path.parts[-2] for path in files.rglob("*") if path.is_file())


def test_the_bytes_go_and_hash_name_and_reason_stay(client: TestClient, send: Send) -> None:
    taken, other = send(), send(data=png(colour="red"))
    before = len(bytes_of(client))
    answer = remove(client, taken["photo_id"])
    assert answer.status_code == 201, answer.text
    assert (answer.json()["by"], answer.json()["reason"]) == ("Ines Okparo", WHY)
    assert before - len(bytes_of(client)) == 3, "as it came, the copy that is shown, its one line"
    # 410 Gone: RFC 9110, 15.5.11
    for path in ("picture", "picture?width=16", "lines/0"):
        told = client.get(f"/api/photos/{taken['photo_id']}/{path}")
        assert (told.status_code, told.json()["error"]["code"]) == (410, "removed")
        assert f"Ines Okparo on 2031-03-18: {WHY}" in told.json()["error"]["message"]
    unit = client.get(f"/api/units/{taken['unit_id']}").json()
    assert (unit["photos"][0]["file"], len(unit["checks"])) == ("removed", 1)
    by = {"by": "Ines Okparo", "at": "2031-03-18T09:00:00Z", "reason": WHY}
    assert unit["photos"][0]["removed"] == by
    assert unit["photos"][0]["sha256"] == answer.json()["sha256"]
    assert client.get(f"/api/photos/{other['photo_id']}/picture").status_code == 200
    # once more is the same
    assert remove(client, taken["photo_id"], "another reason").json() == answer.json()


def test_the_audit_says_by_whom_and_finds_nothing_wrong_and_a_backup_is_whole(
    client: TestClient, send: Send, tmp_path: Path
) -> None:
    taken = send()
    remove(client, taken["photo_id"])
    done = audit(store_of(client).database, store_of(client).files)
    assert done.found == []
    assert any(f"{taken['photo_id']}: its bytes were removed by Ines" in one for one in done.notes)
    assert client.get("/api/records").json()["found"] == []
    made = backups.back_up(store_of(client).files.folder.parent, tmp_path / "copy")
    assert made.found == []
    assert backups.restore(tmp_path / "copy", tmp_path / "back").head.head == made.head.head


@pytest.mark.parametrize("form", ["json", "pdf"])
def test_a_report_is_made_all_the_same_and_says_so(
    client: TestClient, send: Send, form: str
) -> None:
    taken = send()
    remove(client, taken["photo_id"])
    answer = client.get(f"/api/units/{taken['unit_id']}/report?format={form}")
    assert answer.status_code == 200, answer.text
    if form == "json":
        assert WHY in answer.text


def test_a_phone_that_repeats_itself_brings_nothing_back_and_nobody_sends_it_anew(
    client: TestClient, send: Send
) -> None:
    taken = send(id=(photo_id := new_id()), unit_id=(unit_id := new_id()))
    remove(client, photo_id)
    left = bytes_of(client)
    ids = {"id": photo_id, "unit_id": unit_id}
    again = client.post("/api/photos", data=ids, files={"file": ("plain.png", png())})
    assert (again.status_code, again.json()["job_id"]) == (202, taken["job_id"])
    anew = {"id": new_id(), "unit_id": new_id()}
    other = client.post("/api/photos", data=anew, files={"file": ("plain.png", png())})
    assert (other.status_code, other.json()["error"]["code"]) == (410, "removed")
    assert bytes_of(client) == left


@pytest.mark.parametrize("when", ["before the file is written", "after the file is written"])
def test_an_upload_that_meets_a_removal_is_not_acknowledged_and_leaves_nothing(
    client: TestClient, send: Send, monkeypatch: pytest.MonkeyPatch, when: str
) -> None:
    taken = send()
    keep_sent = PhotoFiles.keep_sent

    def meets(files: PhotoFiles, data: bytes) -> str:
        monkeypatch.setattr(PhotoFiles, "keep_sent", keep_sent)
        if when == "before the file is written":
            assert remove(client, taken["photo_id"]).status_code == 201
            return keep_sent(files, data)
        made = keep_sent(files, data)
        assert remove(client, taken["photo_id"]).status_code == 201
        return made

    monkeypatch.setattr(PhotoFiles, "keep_sent", meets)
    ids = {"id": new_id(), "unit_id": new_id()}
    answer = client.post("/api/photos", data=ids, files={"file": ("plain.png", png())})
    assert (answer.status_code, answer.json()["error"]["code"]) == (410, "removed")
    assert client.get(f"/api/units/{ids['unit_id']}").status_code == 404
    assert bytes_of(client) == []
    assert audit(store_of(client).database, store_of(client).files).found == []


def test_a_hold_or_a_word_that_it_is_evidence_goes_before(client: TestClient, send: Send) -> None:
    taken = send()
    hold(client, taken["unit_id"])
    refused = remove(client, taken["photo_id"])
    assert (refused.status_code, "on hold" in refused.text) == (409, True)
    hold(client, taken["unit_id"], "lift_hold")
    asked = {"id": new_id(), "unit_id": taken["unit_id"], "reason": "the authority asked for them"}
    kept = client.post("/api/retention/keeps", json=asked)
    assert kept.status_code == 201, kept.text
    assert "the authority asked" in remove(client, taken["photo_id"]).text
    told = client.get("/api/retention").json()
    assert [one["keep_id"] for one in told["kept"]] == [kept.json()["keep_id"]]
    ended = client.post(
        f"/api/retention/keeps/{kept.json()['keep_id']}/end",
        json={"id": new_id(), "reason": "released in writing"},
    )
    assert ended.status_code == 201
    assert remove(client, taken["photo_id"]).status_code == 201
    told = client.get("/api/retention").json()
    assert (told["kept"], [one["reason"] for one in told["removed"]]) == ([], [WHY])


@pytest.mark.parametrize("reason", ["", "  x "])
def test_without_a_reason_nothing_goes(client: TestClient, send: Send, reason: str) -> None:
    taken = send()
    assert remove(client, taken["photo_id"], reason).status_code == 422
    assert client.get(f"/api/photos/{taken['photo_id']}/picture").status_code == 200


def test_photos_of_the_same_bytes_go_together_and_one_on_hold_keeps_both(
    client: TestClient, send: Send
) -> None:
    first, second = send(), send()
    hold(client, second["unit_id"])
    assert remove(client, first["photo_id"]).status_code == 409
    hold(client, second["unit_id"], "lift_hold")
    assert remove(client, first["photo_id"]).status_code == 201
    assert client.get(f"/api/photos/{second['photo_id']}/picture").status_code == 410
    assert audit(store_of(client).database, store_of(client).files).found == []


def test_a_photo_removed_while_a_backup_is_made_is_in_none_of_it(
    client: TestClient, send: Send, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    first, second = send(), send(data=png(colour="red"))
    copy = backups._copy

    def meets(original: Path, copied: Path) -> None:
        monkeypatch.setattr(backups, "_copy", copy)
        copy(original, copied)  # one file of it is there already
        assert remove(client, first["photo_id"]).status_code == 201

    monkeypatch.setattr(backups, "_copy", meets)
    folder = store_of(client).files.folder.parent
    made = backups.back_up(folder, tmp_path / "copy")
    assert (made.found, made.head.rows["removals"]) == ([], 1)
    told = client.get(f"/api/units/{second['unit_id']}").json()["photos"][0]
    (sent,) = (tmp_path / "copy" / "photos" / "sent").glob("*/*")
    assert sent.name == told["sha256"]


def attach(client: TestClient, data: bytes, id_: str = "") -> Any:
    """Keep a look-up at a list with a file: a picture of what it showed."""
    form = {
        "id": id_ or new_id(),
        "looked_up": "us-niosh TC-84A-9981",
        "list_name": "FICTIONAL list",
        "answer": "listed_same",
    }
    return client.post("/api/holders/look-ups", data=form, files=[("files", ("s.png", data))])


def test_what_was_attached_stays_when_a_photo_of_the_same_bytes_goes(
    client: TestClient, send: Send, tmp_path: Path
) -> None:
    taken, look_up_id = send(), new_id()
    assert attach(client, png(), look_up_id).status_code == 201
    assert remove(client, taken["photo_id"]).status_code == 201
    assert client.get(f"/api/photos/{taken['photo_id']}/picture").status_code == 410
    store = store_of(client)
    with store.database.reading() as conn:
        assert removals.left(conn, store.files) == [], "nothing that a start would remove"
        pack = contents._Gatherer(conn, store.files, EN, originals=True)
        given = list(pack.photo(chain.get(conn, photos_table, taken["photo_id"])))
    assert given == [], "as the photo's original it goes into no pack"
    assert any(f"removed by Ines Okparo, 2031-03-18: {WHY}" in one for one in pack.left_out)
    assert client.get(f"/api/holders/look-ups/{look_up_id}/files/0").content == png()
    assert attach(client, png(), look_up_id).status_code == 201, "a phone that repeats itself"
    assert audit(store.database, store.files).found == []
    made = backups.back_up(store.files.folder.parent, tmp_path / "copy")
    assert made.found == []


def test_bytes_that_were_taken_back_are_not_attached_again(client: TestClient, send: Send) -> None:
    taken = send()
    remove(client, taken["photo_id"])
    refused = attach(client, png())
    assert (refused.status_code, refused.json()["error"]["code"]) == (410, "removed")
    assert bytes_of(client) == []


def test_an_attached_file_that_an_earlier_version_removed_stops_no_backup(
    client: TestClient, send: Send, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    taken = send()
    attach(client, png())
    with monkeypatch.context() as earlier:
        earlier.setattr(removals, "is_attached", lambda *_: False)
        remove(client, taken["photo_id"])
    made = backups.back_up(store_of(client).files.folder.parent, tmp_path / "copy")
    assert made.found == []
    assert any(f"removed by Ines Okparo on 2031-03-18: {WHY}" in note for note in made.notes)


def _kept(store: Store, colour: str = "white", at: dt.datetime = NOW) -> tuple[str, str]:
    sent = Sent(photo_id=new_id(), unit_id=new_id(), name="plain.png")
    photos.keep(store, sent, png(colour=colour), WriteContext(CONTEXT.actor, at))
    return sent.photo_id, sent.unit_id


def test_a_photo_that_is_being_read_is_left_and_one_that_waits_is_not_read(tmp_path: Path) -> None:
    store = open_store(tmp_path / "data")
    photo_id, _ = _kept(store)
    with store.database.writing() as conn:
        job = queue.begin(conn, queue.of_photo(conn, photo_id), NOW)
    with pytest.raises(Refused, match="being read"):
        retention.take_back(store, new_id(), photo_id, WHY, CONTEXT)
    with store.database.writing() as conn:
        queue.put_back(conn, job, NOW, counts=False)
    retention.take_back(store, new_id(), photo_id, WHY, CONTEXT)
    with store.database.reading() as conn:
        job = queue.of_photo(conn, photo_id)
        with pytest.raises(Removed, match=WHY):
            removals.refuse(conn, photo_id)
    assert job.failure is not None
    assert (job.state, job.failure.code) == ("failed", "removed")
    store.close()


def test_a_start_finishes_what_was_cut_off_and_bytes_put_back_are_found(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    store = open_store(tmp_path / "data", alone=True)
    photo_id, _ = _kept(store)
    with monkeypatch.context() as cut_off:
        cut_off.setattr(removals, "unlink", lambda *_: None)
        retention.take_back(store, new_id(), photo_id, WHY, CONTEXT)
    (path,) = (store.files.folder / "sent").glob("*/*")
    data = path.read_bytes()
    store.close()
    store = open_store(tmp_path / "data", alone=True)
    assert not path.exists()
    path.write_bytes(data)
    (found,) = audit(store.database, store.files).found
    assert (found.kind, found.what) == ("file_back", photo_id)
    assert f"removed by Ines Okparo on 2031-03-18: {WHY}" in found.says
    store.close()


def test_each_kind_has_its_period_and_a_hold_suspends_it(tmp_path: Path) -> None:
    options = settings(tmp_path, keep_settled_days=730, keep_open_days=2190)
    with TestClient(create_app(options, clock=lambda: NOW), headers=HEADERS) as client:
        units = {}
        for number, name in enumerate(("plain.png", "conflict.png", "missing.png")):
            ids = {"id": new_id(), "unit_id": new_id()}
            picture = ("file", (name, png(colour=f"#00000{number}"), "image/png"))
            taken = client.post("/api/photos", data=ids, files=[picture]).json()
            wait_for(client, taken["job_id"])
            units[name] = ids["unit_id"]
        hold(client, units["missing.png"])
        assert client.get("/api/retention").json()["due"] == []
    store = open_store(options.data)

    def due_after(days: int) -> dict[str, str]:
        with store.database.reading() as conn:
            found = retention.due(conn, NOW.date() + dt.timedelta(days=days), options.periods)
        return {one.unit_id: one.stays.said(EN) if one.stays else "" for one in found}

    assert due_after(729) == {}
    assert due_after(730) == {units["plain.png"]: ""}
    assert set(due_after(2190)) == set(units.values())
    assert "on hold" in due_after(2190)[units["missing.png"]]
    made = retention.remove_due(store, options.periods, NOW + dt.timedelta(days=2190))
    assert {one.context.actor.name for one in made} == {
        "the retention period of 730 days",
        "the retention period of 2190 days",
    }
    assert set(due_after(2190)) == {units["missing.png"]}
    assert audit(store.database, store.files).found == []
    assert retention.remove_due(store, Periods(), NOW + dt.timedelta(days=9999)) == []
    store.close()


def test_the_command_line_says_what_is_due_and_removes_only_when_told(tmp_path: Path) -> None:
    store = open_store(tmp_path / "data")
    old = dt.datetime(2020, 1, 1, tzinfo=dt.UTC)
    photo_id, _ = _kept(store, at=old)
    kept_id, unit_id = _kept(store, "red", at=old)
    with store.database.writing() as conn:
        retention.keep(conn, new_id(), CONTEXT, "evidence", unit_id=unit_id)
    store.close()

    def told(*more: str, code: int = 0) -> str:
        command = [sys.executable, "-m", "inkwitness", "records", *more]
        done = subprocess.run(
            [*command, "--data", str(tmp_path / "data")],
            env={**os.environ, "INKWITNESS_KEEP_OPEN_DAYS": "30"},
            capture_output=True,
            text=True,
            check=False,
        )
        assert done.returncode == code, done.stderr
        return done.stdout + done.stderr

    first = told("due")
    assert f"{photo_id}  open, since 2020-01-01  due" in first
    assert f"{kept_id}  open, since 2020-01-01  Ines Okparo had them kept" in first
    assert "2 photos are due, 1 of them stay; the bytes of 0 were removed." in first
    # what was kept last is of 2031, which is ahead of this machine's clock, or long before it
    assert "--on" in told("due", "--remove", code=2)
    assert "the bytes of 1 were removed." in told("due", "--remove", "--on", "2031-03-18")
    assert "1 photos are due, 1 of them stay" in told("due")


def test_a_clock_that_went_back_makes_no_photo_older_than_the_one_before_it(
    tmp_path: Path,
) -> None:
    store = open_store(tmp_path / "data")
    lost = dt.datetime(1970, 1, 1, tzinfo=dt.UTC)
    first, _ = _kept(store, "blue", at=lost)  # nothing was kept before it
    _kept(store, at=NOW)
    _kept(store, "red", at=lost)
    for days, wanted in ((29, {first}), (30, set(_ids(store)))):
        with store.database.reading() as conn:
            found = retention.due(conn, NOW.date() + dt.timedelta(days=days), Periods(30, 30))
        assert {one.photo_id for one in found} == wanted
        (unknown,) = [one for one in found if one.photo_id == first]
        assert "the clock stood at 1970-01-01" in (unknown.stays.said(EN) if unknown.stays else "")
    made = retention.remove_due(store, Periods(30, 30), NOW + dt.timedelta(days=30))
    assert first not in {one.content["photo_id"] for one in made}
    assert len(made) == 2
    store.close()


def test_photos_that_share_a_copy_through_a_third_go_together(
    tmp_path: Path,
) -> None:
    store = open_store(tmp_path / "data")
    made = served_copy(png())
    # one version made this copy of the white one, an earlier version the other: the black one's
    for_white, other = replace(made, data=b"a copy"), replace(made, data=b"another copy")
    ids = []
    for colour, copy in (("white", for_white), ("white", other), ("black", other)):
        sent = Sent(photo_id=new_id(), unit_id=new_id(), name="plain.png")
        photos.keep(store, sent, png(colour=colour), CONTEXT, copy)
        ids.append(sent.photo_id)
    retention.take_back(store, new_id(), ids[0], WHY, CONTEXT)
    with store.database.reading() as conn:
        assert [removals.of_photo(conn, one) is not None for one in ids] == [True] * 3
    assert audit(store.database, store.files).found == []
    store.close()


def _ids(store: Store) -> list[str]:
    with store.database.reading() as conn:
        return [photo.id for photo in chain.entries(conn, photos_table)]


@pytest.mark.parametrize(("days", "odd"), [(-1, True), (0, False), (30, False), (31, True)])
def test_by_a_clock_that_jumped_nothing_is_removed_unless_a_person_says_the_day(
    tmp_path: Path, days: int, odd: bool
) -> None:
    store = open_store(tmp_path / "data")
    _kept(store)
    with store.database.reading() as conn:
        if odd:
            with pytest.raises(BadInput, match="2031-03-18"):
                retention.refuse_odd_clock(conn, NOW + dt.timedelta(days=days))
        else:
            retention.refuse_odd_clock(conn, NOW + dt.timedelta(days=days))
    store.close()
