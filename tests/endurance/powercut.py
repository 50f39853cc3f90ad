"""Cuts the power at moments of a run, on a disk that forgets all that was not flushed.

`python -m tests.endurance.powercut --cuts 200`. The application runs with a layer under it
(`powercut.c`, built with the system's C compiler) that notes every write, flush and change of a
name. From these notes the disk of a moment is built: files have the bytes that were flushed, and
perhaps some that were not; folders have the names that were flushed (POSIX.1-2017, fsync). Then the
data folder is opened, audited, and everything acknowledged before that moment must be there.
"""

import argparse
import json
import os
import random
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

from sqlalchemy.exc import SQLAlchemyError

from inkwitness.errors import InkwitnessError
from inkwitness.records.integrity.audit import audit
from inkwitness.records.store import open_store

ROOT = Path(__file__).parents[2]
_RUN = """
import hashlib, json, os, sys
from pathlib import Path
from starlette.testclient import TestClient
from inkwitness.api.app import create_app
from inkwitness.records.store import new_id
from tests.api.conftest import HEADERS, NOW, png, settings, wait_for
with TestClient(create_app(settings(Path(sys.argv[1])), clock=lambda: NOW), headers=HEADERS) as app:
    for number in range(int(sys.argv[2])):
        picture = png(colour=f"#{number:06x}")
        ids = {"id": new_id(), "unit_id": new_id()}
        taken = app.post("/api/photos", data=ids, files={"file": ("plain.png", picture)})
        assert taken.status_code == 202
        sha256 = hashlib.sha256(picture).hexdigest()
        os.chroot(json.dumps({"table": "photos", "id": ids["id"], "sha256": sha256}))
        wait_for(app, taken.json()["job_id"])
        os.chroot(json.dumps({"table": "jobs", "id": taken.json()["job_id"]}))
        hold = {"id": new_id(), "disposition": "hold"}
        path = f"/api/units/{ids['unit_id']}/decisions"
        assert app.post(path, json=hold).status_code == 201
        os.chroot(json.dumps({"table": "decisions", "id": hold["id"]}))
"""


def look(folder: Path, told: list[dict[str, str]]) -> list[str]:
    """What is lost or broken in a data folder once it is opened again."""
    try:
        store = open_store(folder, alone=True)
    except (InkwitnessError, SQLAlchemyError, OSError) as error:
        return [f"the folder cannot be opened: {type(error).__name__}: {error}"]
    wrong = [one.says for one in audit(store.database, store.files).found]
    with store.database.reading() as conn:
        for one in told:
            wanted = f"SELECT count(*) FROM {one['table']} WHERE id = ?"
            if one["table"] == "jobs":
                wanted += " AND state = 'done'"
            if not conn.exec_driver_sql(wanted, (one["id"],)).scalar():
                wrong.append(f"{one['table']} {one['id']} was acknowledged and is gone")
            state = store.files.state(one["sha256"]) if "sha256" in one else "intact"
            if state != "intact":
                wrong.append(f"photo {one['id']}: its bytes are {state}")
    store.close()
    return wrong


@dataclass(eq=False)
class File:
    """What a file holds on the disk, and what was written and not flushed, in order."""

    safe: bytearray = field(default_factory=bytearray)
    pending: list[tuple[int, bytes | None]] = field(default_factory=list)

    def after(self, applied: list[tuple[int, bytes | None]]) -> bytes:
        held = bytearray(self.safe)
        for where, data in applied:
            if data is None:
                del held[where:]
                held.extend(bytes(where - len(held)))
            else:
                held.extend(bytes(max(0, where - len(held))))
                held[where : where + len(data)] = data
        return bytes(held)

    def flush(self) -> None:
        self.safe = bytearray(self.after(self.pending))
        self.pending = []


@dataclass
class Disk:
    """Names and files as the program sees them, and the names that were flushed."""

    names: dict[str, File] = field(default_factory=dict)
    safe: dict[str, File] = field(default_factory=dict)
    folders: set[str] = field(default_factory=set)
    told: list[dict[str, str]] = field(default_factory=list)

    def happens(self, kind: str, a: int, one: str, two: str, data: bytes) -> None:
        if kind == "write":
            self.names.setdefault(one, File()).pending.append((a, data))
        elif kind == "cut":
            self.names.setdefault(one, File()).pending.append((a, None))
        elif kind == "rename" and one in self.names:
            self.names[two] = self.names.pop(one)
        elif kind == "unlink":
            self.names.pop(one, None)
        elif kind == "said":
            self.told.append(json.loads(one))
        elif kind == "flush" and one in self.names:
            self.names[one].flush()
        elif kind == "flush":
            self._flush_folder(one)

    def _flush_folder(self, folder: str) -> None:
        inside = {name for name in self.safe if name.rpartition("/")[0] == folder}
        for name in inside - set(self.names):
            del self.safe[name]
        for name, file in self.names.items():
            if name.rpartition("/")[0] == folder:
                self.safe[name] = file
            elif name.startswith(folder + "/"):
                self.folders.add(folder + "/" + name[len(folder) + 1 :].split("/")[0])

    def build(self, top: str, target: Path, chance: random.Random, *, some: bool) -> None:
        """The disk once the power is back; with `some`, part of what was not flushed is there."""
        for name, file in self.safe.items():
            folder = name.rpartition("/")[0]
            while folder != top and folder in self.folders:
                folder = folder.rpartition("/")[0]
            if folder != top or name.endswith("-shm"):
                continue  # a folder above it was never flushed into its own
            kept = [one for one in file.pending if some and chance.random() < 0.5]
            path = target / os.path.relpath(name, top)
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(file.after(kept))


def _events(log: Path) -> Iterator[tuple[str, int, str, str, bytes]]:
    with log.open("rb") as notes:
        while line := notes.readline():
            kind, a, b, one, two = line.decode().rstrip("\n").split("\t")
            yield kind, int(a), one, two, notes.read(int(b)) if kind == "write" else b""


def run(cuts: int, photos: int, seed: int) -> list[str]:
    """What was lost or broken at so many cuts; empty where nothing was."""
    top = Path(tempfile.mkdtemp(prefix="powercut-"))
    layer, log, folder = top / "layer.so", top / "log", top / "run"
    source = Path(__file__).with_suffix(".c")
    compiler = shutil.which("cc") or "gcc"
    subprocess.run(
        [compiler, "-O1", "-shared", "-fPIC", "-o", str(layer), str(source), "-ldl"], check=True
    )
    folder.mkdir()
    env = {**os.environ, "PYTHONPATH": f"{ROOT / 'server'}:{ROOT}"}
    watched = {"LD_PRELOAD": str(layer), "POWERCUT_FOLDER": str(folder), "POWERCUT_LOG": str(log)}
    subprocess.run(
        [sys.executable, "-c", _RUN, str(folder), str(photos)], env={**env, **watched}, check=True
    )
    events = list(_events(log))
    chance = random.Random(seed)
    # every cut lies after the first acknowledgement: before it there is nothing to lose
    first = next(number for number, one in enumerate(events) if one[0] == "said")
    moments = sorted(chance.sample(range(first, len(events)), min(cuts, len(events) - first)))
    disk, wrong = Disk(), []
    for number, one in enumerate(events):
        disk.happens(*one)
        if number not in moments:
            continue
        target = top / "cut"
        disk.build(str(folder), target, chance, some=bool(number % 2))
        where = f"cut after event {number} of {len(events)}"
        wrong += [f"{where}: {what}" for what in look(target / "data", disk.told)]
        shutil.rmtree(target)
    print(f"{len(moments)} power cuts, {len(disk.told)} acknowledged, {len(wrong)} lost or broken")
    shutil.rmtree(top)
    return wrong


def main() -> None:
    """Run and tell; exit code 1 where anything was lost."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--cuts", type=int, default=200)
    options.add_argument("--photos", type=int, default=12)
    options.add_argument("--seed", type=int, default=1)
    asked = options.parse_args()
    wrong = run(asked.cuts, asked.photos, asked.seed)
    for one in wrong[:10]:
        print(one)
    sys.exit(1 if wrong else 0)


if __name__ == "__main__":
    main()
