"""A fault at every write: nothing half stored, nothing acknowledged lost, and the next try works.

`make faults` prints how many faults were injected.
"""

import errno
import hashlib
import itertools
import os
import shutil
from collections.abc import Callable, Iterator
from contextlib import ExitStack, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from alembic import command
from alembic.config import Config
from sqlalchemy import text
from sqlalchemy.exc import OperationalError
from starlette.testclient import TestClient

from inkwitness.api.app import create_app
from inkwitness.api.deps import Services
from inkwitness.jobs import runner
from inkwitness.records import database
from inkwitness.records.database import connect_database, open_database
from inkwitness.records.integrity.audit import audit
from inkwitness.records.integrity.heads import head_of
from inkwitness.records.store import new_id
from tests.api.conftest import HEADERS, NOW, png, settings, wait_for
from tests.api.trouble.faults import KINDS, Injector, faulty

Ask = Callable[[], Any]


@dataclass(frozen=True, slots=True)
class Live:
    """A running application, and one photo in it that was read."""

    client: TestClient
    services: Services
    photo_id: str
    unit_id: str

    def post(self, path: str, **body: Any) -> Any:
        return self.client.post(path, json={"id": new_id(), **body})

    def repeat(self, path: str, **body: Any) -> Ask:
        """The same request each time it is asked, as a phone sends it again."""
        same = {"id": new_id(), **body}
        return lambda: self.client.post(path, json=same)


@pytest.fixture(scope="module")
def live(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Live]:
    runner._FIRST_WAIT = 0.01
    app = create_app(settings(tmp_path_factory.mktemp("faults")), clock=lambda: NOW)
    with TestClient(app, headers=HEADERS) as client:
        ids = {"id": new_id(), "unit_id": new_id()}
        taken = client.post("/api/photos", data=ids, files={"file": ("plain.png", png())}).json()
        wait_for(client, taken["job_id"])
        yield Live(client, app.state.services, ids["id"], ids["unit_id"])


def _picture(live: Live) -> bytes:
    """A picture whose folder, named by the start of its hash, does not stand yet."""
    kept = live.services.store.files
    while True:
        picture = png(colour=f"#{os.urandom(3).hex()}")
        if not kept.path_of("sent", hashlib.sha256(picture).hexdigest()).parent.exists():
            return picture


def _upload(live: Live) -> Ask:
    ids = {"id": new_id(), "unit_id": new_id()}
    picture = _picture(live)
    return lambda: live.client.post("/api/photos", data=ids, files={"file": ("plain.png", picture)})


def _confirm(live: Live) -> Ask:
    said = {"photo_id": live.photo_id, "mark": "approval_number", "printed": "TC-84A-9981"}
    return live.repeat("/api/confirmations", **said, **{"from": "typed"})


def _decide(live: Live) -> Ask:
    return live.repeat(f"/api/units/{live.unit_id}/decisions", disposition="hold")


def _consignment(live: Live) -> Ask:
    return live.repeat("/api/consignments", label="FICTIONAL", units_declared=100)


def _plan(live: Live) -> Ask:
    made = live.post("/api/consignments", label="FICTIONAL", units_declared=100).json()
    path = f"/api/consignments/{made['consignment_id']}/plan"
    return live.repeat(path, kind="discovery", seed="x", nonconforming=10)


def _attach(live: Live) -> Ask:
    made = live.post("/api/consignments", label="FICTIONAL", units_declared=100).json()
    path = f"/api/units/{live.unit_id}/attach"
    return live.repeat(path, consignment_id=made["consignment_id"])


NUMBERS = itertools.count(1000)


def _entries() -> dict[str, Any]:
    entry = {
        "scheme": "us-niosh",
        "holder": f"Vexholm {new_id()}",
        "approval_number": f"TC-84A-{next(NUMBERS)}",
        "checked_on": "2031-03-01",
        "source": "FICTIONAL list",
        "checked_by": "Ines Okparo",
    }
    return {"entries": [entry]}


def _propose(live: Live) -> Ask:
    return live.repeat("/api/holders/proposals/entries", **_entries())


def _accept(live: Live) -> Ask:
    made = live.post("/api/holders/proposals/entries", **_entries())
    assert made.status_code == 201, made.text
    return live.repeat(f"/api/holders/proposals/{made.json()['proposal_id']}/accept")


def _paper(live: Live) -> Ask:
    fields = '{"kind": "type_certificate", "title": "FICTIONAL certificate"}'
    form = {"id": new_id(), "unit_id": live.unit_id, "paper": fields}
    picture = _picture(live)
    return lambda: live.client.post("/api/papers", data=form, files={"files": ("p.png", picture)})


def _take_back(live: Live) -> Ask:
    ids = {"id": new_id(), "unit_id": new_id()}
    file = {"file": ("plain.png", _picture(live))}
    taken = live.client.post("/api/photos", data=ids, files=file).json()
    wait_for(live.client, taken["job_id"])
    return live.repeat(f"/api/photos/{ids['id']}/remove", reason="a badge is in it")


SCENARIOS = {
    one.__name__.strip("_"): one
    for one in (
        _upload,
        _confirm,
        _decide,
        _consignment,
        _plan,
        _attach,
        _propose,
        _accept,
        _paper,
        _take_back,
    )
}
INJECTED: dict[str, int] = {}


def _settled(live: Live) -> str:
    """The head of the records once nothing is being read or judged again."""
    while live.services.runner._held:
        pass
    with live.services.store.database.reading() as conn:
        return head_of(conn).head


def _writes(live: Live, make: Callable[[Live], Ask]) -> int:
    ask = make(live)
    with faulty(live.services.store.database.engine, Injector()) as counting:
        answer = ask()
    assert answer.status_code in (201, 202), answer.text
    _settled(live)
    return counting.seen


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("scenario", SCENARIOS)
def test_a_fault_at_any_statement_stores_nothing_and_the_next_try_works(
    live: Live, scenario: str, kind: str
) -> None:
    make = SCENARIOS[scenario]
    engine = live.services.store.database.engine
    for number in range(1, _writes(live, make) + 1):
        ask = make(live)
        before = _settled(live)
        with faulty(engine, Injector(kind, at=number)) as injector:
            answer = ask()
            after = _settled(live)
        INJECTED[scenario] = INJECTED.get(scenario, 0) + injector.failed
        if answer.status_code == 503:
            assert after == before, f"write {number}: refused and yet stored"
            assert "Retry-After" in answer.headers
        else:  # the fault met what goes on behind the answer, which tries again by itself
            assert answer.status_code in (201, 202), answer.text
        again = ask()
        assert again.status_code in (201, 202), again.text
        if scenario == "upload":
            assert wait_for(live.client, again.json()["job_id"])["state"] == "done"
    assert INJECTED[scenario] > 0
    assert audit(live.services.store.database, live.services.store.files).found == []


@pytest.mark.parametrize("number", [errno.ENOSPC, errno.EIO])
@pytest.mark.parametrize("call", ["fsync", "replace", "mkdir", "write"])
def test_a_fault_at_any_step_of_writing_a_file_stores_nothing_and_the_next_try_works(
    live: Live, monkeypatch: pytest.MonkeyPatch, call: str, number: int
) -> None:
    failed = 0
    for at in range(1, 60):
        ask = _upload(live)
        _settled(live)
        seen = 0
        owner: Any = {"fsync": os, "write": os}.get(call, Path)
        name = {"write": "fchmod"}.get(call, call)
        real = getattr(owner, name)

        def fails(*args: Any, at: int = at, real: Any = real, **more: Any) -> Any:
            nonlocal seen
            seen += 1
            if seen == at:
                raise OSError(number, os.strerror(number))
            return real(*args, **more)

        with monkeypatch.context() as patched:
            patched.setattr(owner, name, fails)
            answer = ask()
            if answer.status_code == 202:
                wait_for(live.client, answer.json()["job_id"])
        if answer.status_code == 503:
            failed += 1
        again = ask()
        assert again.status_code == 202, again.text
        assert wait_for(live.client, again.json()["job_id"])["state"] == "done"
        if seen < at:
            break
    else:
        pytest.fail("no end of writes")
    INJECTED[f"file {call}"] = INJECTED.get(f"file {call}", 0) + at - 1
    assert failed > 0
    assert audit(live.services.store.database, live.services.store.files).found == []


def _oldest(path: Path) -> None:
    """A database as the first version made it, with a row in it."""
    opened = connect_database(path)
    with opened.writing() as conn:
        config = Config()
        folder = Path(database.__file__).parent / "migrations"
        config.set_main_option("script_location", str(folder))
        config.attributes["connection"] = conn
        command.upgrade(config, "2026_11_25_first_tables")
        conn.execute(
            text(
                "INSERT INTO consignments (id, content, actor, at, previous, hash) VALUES "
                "('c', '{}', '{}', '2026-11-25T00:00:00.000+00:00', 'p', 'h')"
            )
        )
    opened.close()


@pytest.mark.parametrize("kind", KINDS)
def test_a_fault_at_any_step_of_an_update_leaves_the_old_tables_and_the_next_start_works(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, kind: str
) -> None:
    _oldest(tmp_path / "old.sqlite")
    failed = 0
    for at in range(1, 500):
        path = tmp_path / f"{at}.sqlite"
        shutil.copy(tmp_path / "old.sqlite", path)
        injector = Injector(kind, at=at)

        faults = ExitStack()

        def connect(
            where: Path, injector: Injector = injector, faults: ExitStack = faults
        ) -> database.Database:
            opened = connect_database(where)
            faults.enter_context(faulty(opened.engine, injector))
            return opened

        with monkeypatch.context() as patched, faults:
            patched.setattr(database, "connect_database", connect)
            with suppress(OperationalError):
                open_database(path).close()
        failed += injector.failed
        with open_database(path).reading() as conn:
            assert conn.execute(text("SELECT count(*) FROM consignments")).scalar() == 1
            assert conn.execute(text("SELECT count(*) FROM unit_checks")).scalar() == 0
        path.unlink()
        if not injector.failed:
            break
    INJECTED["update"] = INJECTED.get("update", 0) + failed
    assert failed > 10


@pytest.fixture(scope="module", autouse=True)
def told() -> Iterator[None]:
    yield
    print(f"\n{sum(INJECTED.values())} faults injected: {INJECTED}")
