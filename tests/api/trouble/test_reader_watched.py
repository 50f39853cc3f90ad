"""The reader outlives what happens to the disk and the database, and to itself."""

import sqlite3
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from inkwitness.api.app import create_app
from inkwitness.api.deps import Services
from inkwitness.records import database
from tests.api.conftest import HEADERS, NOW, png, settings, wait_for
from tests.api.trouble.faults import FULL, IOERR, Injector, faulty
from tests.api.trouble.test_jobs import _post


def _open(folder: Path, **more: Any) -> TestClient:
    more.setdefault("look_around_seconds", 0.2)
    return TestClient(create_app(settings(folder, **more), clock=lambda: NOW), headers=HEADERS)


def _services(client: TestClient) -> Services:
    found: Services = client.app.state.services  # type: ignore[attr-defined]
    return found


def test_a_write_lock_held_for_long_delays_reading_and_does_not_end_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(database, "BUSY_SECONDS", 2)
    with _open(tmp_path) as client:
        raw = sqlite3.connect(
            tmp_path / "data" / "inkwitness.sqlite", timeout=60, isolation_level=None
        )
        sent = [_post(client, "slow_start.png") for _ in range(3)]
        raw.execute("BEGIN IMMEDIATE")
        refused = client.post(
            "/api/photos",
            data={"id": sent[0]["photo_id"], "unit_id": sent[0]["unit_id"]},
            files={"file": ("slow_start.png", png(), "image/png")},
        )
        assert refused.status_code == 503
        assert refused.json()["error"]["code"] == "busy"
        assert int(refused.headers["Retry-After"]) >= 1
        raw.execute("ROLLBACK")
        raw.close()
        assert [wait_for(client, one["job_id"])["state"] for one in sent] == ["done"] * 3


@pytest.mark.parametrize("message", [FULL, IOERR])
def test_photos_taken_before_the_storage_fails_are_read_when_it_is_well_again(
    tmp_path: Path, message: str
) -> None:
    with _open(tmp_path) as client:
        engine = _services(client).store.database.engine
        first = _post(client, "plain.png")
        with faulty(engine, Injector(message, at=1, lasting=True)) as injector:
            while injector.failed < 3:
                time.sleep(0.01)
                answer = client.post("/api/jobs/" + first["job_id"] + "/again")
                assert answer.status_code == 503
            with_trouble = _services(client).runner.health()
        others = [_post(client, "plain.png") for _ in range(5)]
        states = {wait_for(client, one["job_id"])["state"] for one in (first, *others)}
        healthy = _services(client).runner.health()
    assert states == {"done"}
    assert (with_trouble.alive, healthy.alive, healthy.trouble) == (1, 1, "")


@pytest.mark.filterwarnings("ignore::pytest.PytestUnhandledThreadExceptionWarning")
def test_a_readers_thread_that_ends_is_begun_anew_and_the_photo_is_given_up_and_said_so(
    tmp_path: Path,
) -> None:
    with _open(tmp_path, reader="tests.api.fake_checker:build_leaving") as client:
        bad = _post(client, "leaves.png")
        good = _post(client, "plain.png")
        assert wait_for(client, good["job_id"])["state"] == "done"
        failed = wait_for(client, bad["job_id"])
        health = _services(client).runner.health()
    assert failed["error"]["code"] == "reader_stopped"
    assert health.alive == health.wanted == 1
    assert health.restarts >= 1


def test_a_photo_that_has_no_job_gets_one(tmp_path: Path) -> None:
    with _open(tmp_path) as client:
        taken = _post(client, "plain.png")
        wait_for(client, taken["job_id"])
    with sqlite3.connect(tmp_path / "data" / "inkwitness.sqlite") as raw:
        raw.execute("DELETE FROM jobs")
    raw.close()
    with _open(tmp_path) as client:
        again = _post(client, "plain.png")
        assert wait_for(client, again["job_id"])["state"] == "done"
        with sqlite3.connect(tmp_path / "data" / "inkwitness.sqlite") as raw:
            rows = raw.execute("SELECT photo_id FROM jobs").fetchall()
        raw.close()
    assert {row[0] for row in rows} == {taken["photo_id"], again["photo_id"]}


_PARENT = """
import sys, time
from inkwitness.jobs.apart import Process
import os
if __name__ == "__main__":
    process = Process()
    print(process.run(60, os.getpid), flush=True)
    time.sleep(600)
"""


def test_a_parent_killed_alone_leaves_no_process_behind(tmp_path: Path) -> None:
    script = tmp_path / "parent.py"
    script.write_text(_PARENT, encoding="utf-8")
    with subprocess.Popen([sys.executable, str(script)], stdout=subprocess.PIPE) as parent:
        assert parent.stdout is not None
        child = int(parent.stdout.readline())
        assert Path(f"/proc/{child}").exists()
        parent.kill()
        parent.wait()
    for _ in range(3000):
        if _ended(child):
            break
        time.sleep(0.01)
    else:
        pytest.fail("the process outlived its parent")


def _ended(process: int) -> bool:
    try:
        return "Z" in Path(f"/proc/{process}/stat").read_text()
    except (FileNotFoundError, ProcessLookupError):  # it went while it was looked at, or before
        return True
