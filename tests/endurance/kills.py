"""Kills the server's whole process group under load, again and again, and looks at what is kept.

`python -m tests.endurance.kills --kills 60`. Everything that was acknowledged before a kill must be
there after it, with the bytes that were sent, and be read in the end; the audit must find nothing,
with the heads that were kept on the way too.
"""

import argparse
import hashlib
import http.client
import json
import os
import random
import shutil
import signal
import subprocess
import sys
import tempfile
import threading
import time
import urllib.request
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from inkwitness.records.integrity.audit import audit
from inkwitness.records.integrity.heads import Head, head_of
from inkwitness.records.store import look_at_store, new_id
from tests.api.conftest import png
from tests.ports import free_port

ROOT = Path(__file__).parents[2]


@dataclass
class Told:
    """What the server acknowledged: photos by id with their bytes' hash, and other rows by id."""

    photos: dict[str, str] = field(default_factory=dict)
    rows: dict[str, str] = field(default_factory=dict)


def _start(folder: Path, port: int) -> "subprocess.Popen[bytes]":
    env = {
        **os.environ,
        "INKWITNESS_READER": "tests.api.fake_checker:build",
        "INKWITNESS_JUDGE": "tests.api.fake_checker:build_judge",
        "PYTHONPATH": f"{ROOT / 'server'}:{ROOT}",
    }
    command = [sys.executable, "-m", "inkwitness", "serve", "--data", str(folder)]
    with (folder.parent / "server.log").open("ab") as log:
        process = subprocess.Popen(
            [*command, "--port", str(port)],
            env=env,
            cwd=ROOT,
            stdout=log,
            stderr=log,
            start_new_session=True,
        )
    for _ in range(1200):
        if process.poll() is not None:
            break
        try:
            with urllib.request.urlopen(f"http://127.0.0.1:{port}/api/about", timeout=5):
                return process
        except OSError:
            time.sleep(0.05)
    raise SystemExit(f"the server did not start: {(folder.parent / 'server.log').read_text()}")


def _post(port: int, path: str, body: bytes, kind: str) -> dict[str, Any]:
    request = urllib.request.Request(
        f"http://127.0.0.1:{port}/api{path}",
        data=body,
        headers={"X-Actor": "Ines", "Content-Type": kind},
    )
    with urllib.request.urlopen(request, timeout=30) as answer:
        got: dict[str, Any] = json.load(answer)
    return got


def _upload(port: int, told: Told) -> None:
    picture = png(colour=f"#{os.urandom(3).hex()}")
    ids = {"id": new_id(), "unit_id": new_id()}
    fields = "".join(
        f'--x\r\nContent-Disposition: form-data; name="{name}"\r\n\r\n{value}\r\n'
        for name, value in ids.items()
    )
    head = '--x\r\nContent-Disposition: form-data; name="file"; filename="plain.png"\r\n\r\n'
    body = (fields + head).encode() + picture + b"\r\n--x--\r\n"
    _post(port, "/photos", body, "multipart/form-data; boundary=x")
    told.photos[ids["id"]] = hashlib.sha256(picture).hexdigest()
    hold = {"id": new_id(), "disposition": "hold"}
    path = f"/units/{ids['unit_id']}/decisions"
    _post(port, path, json.dumps(hold).encode(), "application/json")
    told.rows[hold["id"]] = "decisions"


def _load(port: int, told: Told, stop: threading.Event) -> None:
    while not stop.is_set():
        try:
            _upload(port, told)
        except (OSError, http.client.HTTPException, ValueError):
            # not acknowledged: the server was being killed, or not there
            stop.wait(0.05)


def _missing(folder: Path, told: Told, heads: list[Head]) -> list[str]:
    store = look_at_store(folder)
    wrong = [one.says for one in audit(store.database, store.files).found]
    for head in heads:
        wrong += [one.says for one in audit(store.database, store.files, kept=head).found]
    with store.database.reading() as conn:
        kept: dict[str, str] = dict(
            conn.exec_driver_sql("SELECT id, sha256 FROM photos").fetchall()
        )
        decided = {row[0] for row in conn.exec_driver_sql("SELECT id FROM decisions")}
        heads.append(head_of(conn))
    for id_, sha256 in told.photos.items():
        if kept.get(id_) != sha256 or store.files.state(sha256) != "intact":
            wrong.append(f"photo {id_} was acknowledged and is not kept")
    wrong += [f"{id_} was acknowledged and is not kept" for id_ in told.rows if id_ not in decided]
    store.close()
    return wrong


def main() -> None:
    """Run and tell; exit code 1 where anything was lost."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--kills", type=int, default=60)
    options.add_argument("--seed", type=int, default=1)
    asked = options.parse_args()
    chance = random.Random(asked.seed)
    top = Path(tempfile.mkdtemp(prefix="kills-"))
    folder, told = top / "data", Told()
    heads: list[Head] = []
    wrong: list[str] = []
    for number in range(asked.kills):
        port = free_port()
        process = _start(folder, port)
        stop = threading.Event()
        loads = [threading.Thread(target=_load, args=(port, told, stop)) for _ in range(4)]
        for one in loads:
            one.start()
        before = len(told.rows)
        for _ in range(1200):
            if len(told.rows) > before:
                break
            time.sleep(0.05)
        time.sleep(chance.uniform(0.0, 2.0))
        os.killpg(process.pid, signal.SIGKILL)
        process.wait()
        stop.set()
        for one in loads:
            one.join()
        wrong += _missing(folder, told, heads if number % 10 == 9 else [])
        if wrong:
            break
    unread = _read_the_rest(folder, told)
    wrong += [f"{unread} photos stay unread"] if unread else []
    count = len(told.photos) + len(told.rows)
    print(f"{asked.kills} kills, {count} acknowledged writes, {len(wrong)} lost or broken")
    for said in wrong[:20]:
        print(said)
    if not wrong:
        shutil.rmtree(top)
    sys.exit(1 if wrong else 0)


def _read_the_rest(folder: Path, told: Told) -> int:
    """Photos that are not read once the server was left alone; those begun too often count too."""
    port = free_port()
    process = _start(folder, port)
    unread = len(told.photos)
    for _ in range(1200):
        with urllib.request.urlopen(f"http://127.0.0.1:{port}/api/ready", timeout=30) as answer:
            unread = json.load(answer)["waiting"]
        if not unread:
            break
        time.sleep(0.25)
    process.terminate()
    process.wait()
    store = look_at_store(folder)
    with store.database.reading() as conn:
        wanted = "SELECT count(*) FROM jobs WHERE state != 'done'"
        unread = int(conn.exec_driver_sql(wanted).scalar_one())
    store.close()
    return unread


if __name__ == "__main__":
    main()
