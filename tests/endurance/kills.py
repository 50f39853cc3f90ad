"""Kills the server's whole process group under load, again and again, and looks at what is kept.

`python -m tests.endurance.kills --kills 60`. Everything that was acknowledged before a kill must be
there after it, with the bytes that were sent, and be read in the end; the audit must find nothing,
with the heads that were kept on the way too.
"""

import argparse
import hashlib
import http.client
import itertools
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
from tests.api.fake_checker import NUMBER
from tests.ports import free_port

ROOT = Path(__file__).parents[2]
PAPER = {"kind": "declaration", "title": "EU Declaration of Conformity", "product": "HR-F2"}


@dataclass
class Told:
    """What the server acknowledged: photos by id and attached files, with the SHA-256 of their
    bytes; photos that were taken back; and other rows, by id, with their table.

    A photo that was to be taken back and of which nothing was heard is in none of them.
    """

    photos: dict[str, str] = field(default_factory=dict)
    attached: set[str] = field(default_factory=set)
    taken_back: dict[str, str] = field(default_factory=dict)
    rows: dict[str, str] = field(default_factory=dict)

    @property
    def writes(self) -> int:
        """How many writes were acknowledged."""
        return len(self.photos) + len(self.taken_back) + len(self.rows)


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


def _send(port: int, told: Told, path: str, table: str, **said: str | int) -> str:
    row = new_id()
    _post(port, path, json.dumps({"id": row, **said}).encode(), "application/json")
    told.rows[row] = table
    return row


def _post_form(
    port: int, path: str, fields: dict[str, str], file: tuple[str, str, bytes]
) -> dict[str, Any]:
    """Fields and one file (its field's name, its own, its bytes): RFC 7578."""
    kept = "".join(
        f'--x\r\nContent-Disposition: form-data; name="{name}"\r\n\r\n{value}\r\n'
        for name, value in fields.items()
    )
    field_name, name, data = file
    kept += f'--x\r\nContent-Disposition: form-data; name="{field_name}"; filename="{name}"\r\n\r\n'
    body = kept.encode() + data + b"\r\n--x--\r\n"
    return _post(port, path, body, "multipart/form-data; boundary=x")


_SHADES = itertools.count()


def _picture() -> bytes:
    return png(colour=f"#{next(_SHADES):06x}")


def _upload(port: int, told: Told) -> dict[str, str]:
    picture, ids = _picture(), {"id": new_id(), "unit_id": new_id()}
    taken = _post_form(port, "/photos", ids, ("file", "plain.png", picture))
    told.photos[ids["id"]] = hashlib.sha256(picture).hexdigest()
    return {**ids, "job_id": taken["job_id"]}


def _one_unit(port: int, told: Told) -> None:
    """A photo with what a person says of it, its goods with a paper, and one that is taken back."""
    unit = _upload(port, told)
    _send(port, told, f"/units/{unit['unit_id']}/decisions", "decisions", disposition="hold")
    said: dict[str, str] = {"mark": "approval_number", "printed": NUMBER, "from": "typed"}
    _send(port, told, "/confirmations", "confirmations", photo_id=unit["id"], **said)
    goods = _send(port, told, "/consignments", "consignments", label="FICTIONAL")
    paper = {"id": new_id(), "consignment_id": goods, "paper": json.dumps(PAPER)}
    page = _picture()
    _post_form(port, "/papers", paper, ("files", "page.png", page))
    told.rows[paper["id"]] = "documents"
    told.attached.add(hashlib.sha256(page).hexdigest())
    badge = _upload(port, told)
    for _ in range(400):
        with urllib.request.urlopen(
            f"http://127.0.0.1:{port}/api/jobs/{badge['job_id']}", timeout=30
        ) as answer:
            if json.load(answer)["state"] == "done":
                break
        time.sleep(0.05)
    gone = told.photos.pop(badge["id"])
    _send(port, told, f"/photos/{badge['id']}/remove", "removals", reason="a badge is in it")
    told.taken_back[badge["id"]] = gone


def _load(port: int, told: Told, stop: threading.Event) -> None:
    while not stop.is_set():
        try:
            _one_unit(port, told)
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
        rows = {
            table: {row[0] for row in conn.exec_driver_sql(f"SELECT id FROM {table}")}
            for table in set(told.rows.values())
        }
        heads.append(head_of(conn))
    for id_, sha256 in told.photos.items():
        if kept.get(id_) != sha256 or store.files.state(sha256) != "intact":
            wrong.append(f"photo {id_} was acknowledged and is not kept")
    for sha256 in told.attached:
        if store.files.state(sha256) != "intact":
            wrong.append(f"attached file {sha256} was acknowledged and is not kept")
    for id_, sha256 in told.taken_back.items():
        if id_ not in kept or store.files.state(sha256) != "missing":
            wrong.append(f"photo {id_} was taken back: its row has to be there, its bytes not")
    wrong += [
        f"{id_} of {table} was acknowledged and is not kept"
        for id_, table in told.rows.items()
        if id_ not in rows[table]
    ]
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
    print(f"{asked.kills} kills, {told.writes} acknowledged writes, {len(wrong)} lost or broken")
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
