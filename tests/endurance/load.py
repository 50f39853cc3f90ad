"""Keeps the server at capacity for as long as asked, and says whether it got slower or larger.

`python -m tests.endurance.load --minutes 60`. Some people at once photograph, wait for the reading,
confirm, look at the unit, list what there is and decide; each begins the next as soon as the last
is answered. The second and the last sixth of the time are compared: the 95th percentile of all
answers may be 1.2 times as long, and the memory of the server's processes 5 % more. The stand-in
reads the photos, so that what is measured is the server and not the networks. Answers 429 and 503
are waited for as `Retry-After` says and counted, any other one that is not 2xx is a fault.
"""

import argparse
import json
import os
import shutil
import signal
import sys
import tempfile
import threading
import time
import urllib.error
import urllib.request
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from inkwitness.records.integrity.audit import audit
from inkwitness.records.store import look_at_store, new_id
from tests.api.conftest import png
from tests.api.fake_checker import NUMBER
from tests.endurance.kills import _start
from tests.ports import free_port

MOST_SLOWER, MOST_LARGER = 1.2, 1.05
PARTS = 6
#: With fewer answers in a part its 95th percentile says little: 10 of them lie above it.
LEAST = 200


@dataclass
class Seen:
    """Each answer: when it came, seconds it took, of what; and what else happened."""

    answers: list[tuple[float, float, str]] = field(default_factory=list)
    memory: list[tuple[float, int]] = field(default_factory=list)
    put_off: int = 0
    faults: list[str] = field(default_factory=list)


@dataclass
class Person:
    """Somebody who does one thing after another until the time is over."""

    port: int
    seen: Seen
    until: float

    def work(self) -> None:
        while time.monotonic() < self.until:
            try:
                self._one_unit()
            except (OSError, ValueError, KeyError) as error:
                self.seen.faults.append(f"{type(error).__name__}: {error}")
                if len(self.seen.faults) > 100:
                    return

    def _one_unit(self) -> None:
        ids = {"id": new_id(), "unit_id": new_id()}
        fields = "".join(
            f'--x\r\nContent-Disposition: form-data; name="{name}"\r\n\r\n{value}\r\n'
            for name, value in ids.items()
        )
        head = '--x\r\nContent-Disposition: form-data; name="file"; filename="plain.png"\r\n\r\n'
        picture = png(400, 300, colour=f"#{os.urandom(3).hex()}")
        body = (fields + head).encode() + picture + b"\r\n--x--\r\n"
        taken = self._ask("upload", "/photos", body, "multipart/form-data; boundary=x")
        while self._ask("job", f"/jobs/{taken['job_id']}")["state"] not in ("done", "failed"):
            time.sleep(0.05)
        word = {
            "id": new_id(),
            "photo_id": ids["id"],
            "item": 0,
            "mark": "approval_number",
            "printed": NUMBER,
            "from": "as_read",
            "read_as": NUMBER,
        }
        self._ask("confirm", "/confirmations", json.dumps(word).encode(), "application/json")
        self._ask("unit", f"/units/{ids['unit_id']}")
        self._ask("list", "/units?limit=50")
        hold = {"id": new_id(), "disposition": "hold"}
        path = f"/units/{ids['unit_id']}/decisions"
        self._ask("decide", path, json.dumps(hold).encode(), "application/json")
        self._ask("ready", "/ready")

    def _ask(self, what: str, path: str, body: bytes | None = None, kind: str = "") -> Any:
        headers = {"X-Actor": "Ines", **({"Content-Type": kind} if kind else {})}
        asked = urllib.request.Request(
            f"http://127.0.0.1:{self.port}/api{path}", data=body, headers=headers
        )
        while True:
            begun = time.monotonic()
            try:
                with urllib.request.urlopen(asked, timeout=120) as answer:
                    told = json.load(answer)
            except urllib.error.HTTPError as error:
                if error.code not in (429, 503):
                    raise
                self.seen.put_off += 1
                time.sleep(float(error.headers["Retry-After"]))
                continue
            now = time.monotonic()
            self.seen.answers.append((now, now - begun, what))
            return told


def _memory(group: int) -> int:
    """Bytes that the processes of a group hold alone or as their share (PSS, proc(5))."""
    total = 0
    for folder in Path("/proc").iterdir():
        if not folder.name.isdigit():
            continue
        try:
            if os.getpgid(int(folder.name)) != group:
                continue
            told = (folder / "smaps_rollup").read_text()
        except (OSError, ProcessLookupError):
            continue  # it ended meanwhile
        total += sum(int(line.split()[1]) for line in told.splitlines() if line[:4] == "Pss:")
    return total * 1024


def _percentile(found: list[float]) -> float:
    return sorted(found)[int(0.95 * (len(found) - 1))] if found else 0.0


def _part(seen: Seen, begun: float, seconds: float, part: int) -> tuple[float, float, int]:
    """p95 in seconds, mean memory in bytes, and how many answers, of one part of the time."""
    start, end = (begun + seconds * number / PARTS for number in (part, part + 1))
    took = [one for at, one, _ in seen.answers if start <= at < end]
    held = [one for at, one in seen.memory if start <= at < end]
    return _percentile(took), sum(held) / max(1, len(held)), len(took)


def run(minutes: float, people: int) -> bool:
    """Run, tell, and answer whether it stayed as quick and as small as it was."""
    top = Path(tempfile.mkdtemp(prefix="load-"))
    folder, port, seen = top / "data", free_port(), Seen()
    process = _start(folder, port)
    begun = time.monotonic()
    until = begun + minutes * 60
    at_work = [threading.Thread(target=Person(port, seen, until).work) for _ in range(people)]
    for one in at_work:
        one.start()
    while time.monotonic() < until:
        seen.memory.append((time.monotonic(), _memory(process.pid)))
        time.sleep(min(5.0, minutes * 60 / PARTS / 4))
    for one in at_work:
        one.join()
    process.send_signal(signal.SIGTERM)
    ended = process.wait(timeout=120)
    store = look_at_store(folder)
    found = [one.says for one in audit(store.database, store.files).found]
    store.close()
    parts = [_part(seen, begun, minutes * 60, part) for part in range(PARTS)]
    for number, (p95, memory, count) in enumerate(parts, start=1):
        print(f"part {number}: {count} answers, p95 {p95 * 1000:.0f} ms, {memory / 1e6:.0f} MB")
    for what in dict.fromkeys(one for _, _, one in seen.answers):
        took = [seconds for _, seconds, kind in seen.answers if kind == what]
        print(f"  {what}: {len(took)}, p95 {_percentile(took) * 1000:.0f} ms")
    few = min(parts[1][2], parts[-1][2]) < LEAST
    if few:
        print(f"under {LEAST} answers in the parts that are compared: take more minutes")
    slower = parts[-1][0] / max(parts[1][0], 1e-9)
    larger = parts[-1][1] / max(parts[1][1], 1)
    print(
        f"{minutes:g} minutes, {people} people, {len(seen.answers)} answers, {seen.put_off} put "
        f"off, {len(seen.faults)} faults, {len(found)} found by the audit, exit code {ended}; "
        f"last to second part: p95 {slower:.2f} times, memory {larger:.3f} times"
    )
    for one_fault in (*seen.faults[:5], *found[:5]):
        print(one_fault)
    well = (
        not few
        and not seen.faults
        and not found
        # the server ends by the signal itself once it has done what it began
        and ended in (0, -signal.SIGTERM)
        and slower <= MOST_SLOWER
        and larger <= MOST_LARGER
    )
    shutil.rmtree(top)
    return well


def main() -> None:
    """Exit code 1 where it got slower or larger than it may, did not stop, or lost anything."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--minutes", type=float, default=60)
    options.add_argument("--people", type=int, default=4)
    asked = options.parse_args()
    sys.exit(0 if run(asked.minutes, asked.people) else 1)


if __name__ == "__main__":
    main()
