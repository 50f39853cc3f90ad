"""Jobs: read in processes of their own, taken up after a stop, given up with a reason."""

import io
import os
import sqlite3
import time
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from inkwitness.api.app import create_app
from inkwitness.jobs.runner import Runner
from inkwitness.records.chain import WriteContext, local_actor
from inkwitness.records.store import new_id, open_store
from inkwitness.use_cases import photos
from inkwitness.use_cases.photos import Sent
from tests.api.conftest import HEADERS, NOW, png, settings, wait_for


def _post(client: TestClient, name: str) -> dict[str, Any]:
    form = {"id": new_id(), "unit_id": new_id()}
    answer = client.post("/api/photos", data=form, files={"file": (name, io.BytesIO(png()))})
    taken: dict[str, Any] = answer.json()
    return taken


def _open(folder: Path, **more: Any) -> TestClient:
    return TestClient(create_app(settings(folder, **more), clock=lambda: NOW), headers=HEADERS)


def test_a_photo_is_read_in_another_process(tmp_path: Path) -> None:
    with _open(tmp_path, workers=1, reader="tests.api.fake_checker:build_telling") as client:
        job = wait_for(client, _post(client, "plain.png")["job_id"])
        check = client.get(f"/api/checks/{job['check_id']}").json()["check"]
    (note,) = check["notes"]
    assert note.startswith("process ")
    assert note != f"process {os.getpid()}"


def test_a_photo_that_brings_the_process_down_is_given_up_and_the_next_is_read(
    tmp_path: Path,
) -> None:
    with _open(tmp_path, workers=1) as client:
        bad, good = _post(client, "dies.png"), _post(client, "plain.png")
        failed = wait_for(client, bad["job_id"])
        assert failed["state"] == "failed"
        assert failed["error"]["code"] == "reader_stopped"
        assert failed["check_id"] is None
        assert wait_for(client, good["job_id"])["state"] == "done"


def test_a_photo_that_takes_too_long_is_given_up(tmp_path: Path) -> None:
    with _open(tmp_path, workers=1, reader_seconds=8) as client:
        slow, good = _post(client, "slow.png"), _post(client, "plain.png")
        assert wait_for(client, slow["job_id"])["error"]["code"] == "reader_stopped"
        assert wait_for(client, good["job_id"])["state"] == "done"


def test_what_was_being_read_at_a_stop_is_read_at_the_next_start(tmp_path: Path) -> None:
    with _open(tmp_path, workers=1) as client:
        slow, waiting = _post(client, "slow.png"), _post(client, "plain.png")
        while client.get(f"/api/jobs/{slow['job_id']}").json()["state"] != "reading":
            pass
    with sqlite3.connect(tmp_path / "data" / "inkwitness.sqlite") as raw:
        left = dict(raw.execute("SELECT id, state FROM jobs"))
        # as after a power cut: nobody put it back
        raw.execute(
            "UPDATE jobs SET state = 'reading', attempts = 1 WHERE photo_id = ?",
            (waiting["photo_id"],),
        )
    raw.close()
    assert left == {slow["job_id"]: "waiting", waiting["job_id"]: "waiting"}
    with _open(tmp_path, workers=1, reader_seconds=8) as client:
        assert wait_for(client, waiting["job_id"])["state"] == "done"
        assert wait_for(client, slow["job_id"])["state"] == "failed"


@pytest.mark.parametrize(
    ("name", "code", "says"),
    [
        ("no_reader.png", "reader_missing", "make setup"),
        ("bug.png", "internal", "report it"),
    ],
)
def test_a_failed_job_says_why(tmp_path: Path, name: str, code: str, says: str) -> None:
    with _open(tmp_path) as client:
        job = wait_for(client, _post(client, name)["job_id"])
    assert job["state"] == "failed"
    assert job["error"]["code"] == code
    assert says in job["error"]["message"]


def test_a_job_that_lacked_a_reader_is_tried_again_at_the_next_start(tmp_path: Path) -> None:
    with _open(tmp_path) as client:
        job = wait_for(client, _post(client, "no_reader.png")["job_id"])
        assert job["error"]["code"] == "reader_missing"
    with _open(tmp_path, reader="tests.api.fake_checker:build_with_reader") as client:
        job = wait_for(client, job["job_id"])
    assert job["state"] == "done"
    assert job["error"] is None


def test_a_failed_job_is_read_again_when_a_person_asks_and_a_done_one_is_left(
    tmp_path: Path,
) -> None:
    with _open(tmp_path) as client:
        failed = _post(client, "no_reader.png")["job_id"]
        done = _post(client, "plain.png")["job_id"]
        wait_for(client, failed)
        check_id = wait_for(client, done)["check_id"]
        again = client.post(f"/api/jobs/{failed}/again")
        assert (again.status_code, again.json()["state"]) == (202, "waiting")
        assert wait_for(client, failed)["error"]["code"] == "reader_missing"
        left = client.post(f"/api/jobs/{done}/again").json()
        assert (left["state"], left["check_id"]) == ("done", check_id)
    with _open(tmp_path, reader="tests.api.fake_checker:build_with_reader") as client:
        assert wait_for(client, failed)["state"] == "done"


def test_those_who_send_take_turns_however_many_one_of_them_has_sent(tmp_path: Path) -> None:
    """Fair between those who send: start-time fair queueing (Goyal et al., 1996; from memory)."""
    store, read = open_store(tmp_path / "data"), list[str]()
    for name, count in (("Ines", 4), ("Rae", 1), ("Ada", 2)):
        for _ in range(count):
            sent = Sent(photo_id=new_id(), unit_id=new_id(), name="plain.png")
            photos.keep(store, sent, png(), WriteContext(local_actor(name), NOW))
    runner = Runner(
        store,
        tmp_path / "data",
        reader="tests.api.fake_checker:build",
        keep=lambda job, *_: read.append(job.actor.name),
        clock=lambda: NOW,
        workers=0,
    )
    runner.start()
    while len(read) < 7:
        time.sleep(0.02)
    runner.stop()
    store.close()
    assert read == ["Ines", "Rae", "Ada", "Ines", "Ada", "Ines", "Ines"]


def test_an_unknown_job_is_not_found(tmp_path: Path) -> None:
    with _open(tmp_path) as client:
        assert client.get(f"/api/jobs/{new_id()}").status_code == 404
