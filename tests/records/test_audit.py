"""The audit: what it finds, and what it cannot see without a kept head, and says so."""

import datetime as dt
import json
import shutil
import sqlite3
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from pathlib import Path

import pytest
from starlette.testclient import TestClient
from typer.testing import CliRunner

from inkwitness.api.app import create_app
from inkwitness.cli.main import app as cli
from inkwitness.jobs import watch
from inkwitness.jobs.watch import MARKS
from inkwitness.records import chain
from inkwitness.records.integrity.audit import BLIND, Audit, Mark, audit, marks_as_json, marks_of
from inkwitness.records.integrity.heads import head_of, read_head
from inkwitness.records.store import look_at_store, new_id, open_store
from inkwitness.records.tables import metadata
from tests.api.conftest import HEADERS, NOW, png, settings, wait_for

Change = Callable[[sqlite3.Connection], object]


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A data folder with three photos that were read, and a decision on each unit."""
    folder = tmp_path_factory.mktemp("audit")
    with TestClient(create_app(settings(folder), clock=lambda: NOW), headers=HEADERS) as client:
        for number in range(3):
            ids = {"id": new_id(), "unit_id": new_id()}
            picture = png(colour=("white", "grey", "black")[number])
            taken = client.post("/api/photos", data=ids, files={"file": ("plain.png", picture)})
            wait_for(client, taken.json()["job_id"])
            hold = {"id": new_id(), "disposition": "hold"}
            client.post(f"/api/units/{ids['unit_id']}/decisions", json=hold)
    return folder / "data"


@pytest.fixture
def data(made: Path, tmp_path: Path) -> Path:
    return Path(shutil.copytree(made, tmp_path / "data"))


def _look(data: Path, **more: object) -> Audit:
    store = look_at_store(data)
    try:
        return audit(store.database, store.files, **more)  # type: ignore[arg-type]
    finally:
        store.close()


def _change(data: Path, *statements: str) -> None:
    with closing(sqlite3.connect(data / "inkwitness.sqlite")) as raw:
        triggers = raw.execute(
            "SELECT name, sql FROM sqlite_master WHERE type='trigger'"
        ).fetchall()
        for name, _ in triggers:
            raw.execute(f"DROP TRIGGER {name}")
        for statement in statements:
            raw.execute(statement)
        for _, sql in triggers:  # whoever changes rows can put these back
            raw.execute(sql)
        raw.commit()


def _kinds(done: Audit) -> set[tuple[str, str]]:
    return {(one.kind, one.table) for one in done.found}


def test_what_was_not_touched_is_whole_and_the_blind_spot_is_said(data: Path) -> None:
    done = _look(data)
    assert done.found == []
    assert done.files == 9  # three originals, three copies, three lines
    assert BLIND in done.notes


@pytest.mark.parametrize(
    ("statement", "kind"),
    [
        ("UPDATE checks SET content = replace(content, '9981', '9918') WHERE seq = 2", "row"),
        ("UPDATE checks SET outcome = 'missing' WHERE seq = 2", "row"),
        ("UPDATE checks SET at = '2031-03-18T09:00:00.001+00:00' WHERE seq = 1", "row"),
        ("DELETE FROM checks WHERE seq = 2", "row"),
        ("UPDATE checks SET seq = 10 - seq", "row"),
    ],
)
def test_a_row_changed_removed_or_put_elsewhere_is_named(
    data: Path, statement: str, kind: str
) -> None:
    _change(data, "PRAGMA foreign_keys=OFF", statement)
    assert (kind, "checks") in _kinds(_look(data))


@pytest.mark.parametrize("table", [table.name for table in chain.chained_tables()])
def test_each_table_without_its_refusal_to_change_is_named(data: Path, table: str) -> None:
    with closing(sqlite3.connect(data / "inkwitness.sqlite")) as raw:
        raw.execute(f"DROP TRIGGER refuse_delete_{table}")
        raw.commit()
    assert _kinds(_look(data)) == {("trigger", table)}


def test_rows_cut_off_the_end_are_seen_by_the_databases_own_count(data: Path) -> None:
    _change(data, "DELETE FROM decisions WHERE seq = 3")
    assert _kinds(_look(data)) == {("cut", "decisions")}


def _kept(data: Path) -> str:
    store = look_at_store(data)
    with store.database.reading() as conn:
        text = head_of(conn).as_json()
    store.close()
    return text


_CUT = (
    "DELETE FROM decisions WHERE seq = 3",
    "UPDATE sqlite_sequence SET seq = 2 WHERE name = 'decisions'",
)


def test_rows_cut_off_with_care_are_seen_only_with_a_kept_head(data: Path) -> None:
    kept = read_head(_kept(data))
    _change(data, *_CUT)
    without = _look(data)
    assert (without.found, BLIND in without.notes) == ([], True)
    with_head = _look(data, kept=kept)
    assert _kinds(with_head) == {("cut", "decisions")}
    assert BLIND not in with_head.notes


def _recompute(data: Path) -> None:
    """What someone who knows this program would do: change a decision, and hash all anew."""
    with closing(sqlite3.connect(data / "inkwitness.sqlite")) as raw:
        raw.row_factory = sqlite3.Row
        previous = chain.genesis("decisions")
        rows = [dict(row) for row in raw.execute("SELECT * FROM decisions ORDER BY seq")]
    statements = []
    for row in rows:
        row["content"] = row["content"].replace('"hold"', '"lift_hold"')
        row["previous"] = previous
        previous = chain._hash(row)
        statements.append(
            f"UPDATE decisions SET content = '{row['content']}', hash = '{previous}', "
            f"previous = '{row['previous']}' WHERE seq = {row['seq']}"
        )
    _change(data, *statements)


@pytest.mark.parametrize("how", ["exported", "printed"])
def test_a_chain_computed_anew_is_seen_only_with_a_kept_head(data: Path, how: str) -> None:
    kept = read_head(_kept(data))
    text = _kept(data) if how == "exported" else f"head of all records {kept.head} {kept.counts}"
    _recompute(data)
    assert _look(data).found == []
    assert {kind for kind, _ in _kinds(_look(data, kept=read_head(text)))} == {"recomputed"}


def test_rows_added_since_a_head_was_kept_are_no_fault(data: Path) -> None:
    kept = read_head(_kept(data))
    store = open_store(data)
    with store.database.writing() as conn:
        context = chain.entries(conn, metadata.tables["units"])[0].context
        chain.append(conn, metadata.tables["consignments"], new_id(), {"label": "later"}, context)
    store.close()
    assert _look(data, kept=kept).found == []


@pytest.mark.parametrize("kind", ["sent", "served", "strips"])
@pytest.mark.parametrize("what", ["changed", "missing"])
def test_a_file_that_differs_or_is_gone_is_named(data: Path, kind: str, what: str) -> None:
    path = next(path for path in (data / "photos" / kind).rglob("*") if path.is_file())
    if what == "changed":
        path.write_bytes(path.read_bytes()[:-1] + b"?")
    else:
        path.unlink()
    (found,) = _look(data).found
    assert found.kind == f"file_{what}"
    assert path.name in found.says


def test_a_deleted_job_is_named(data: Path) -> None:
    _change(data, "DELETE FROM jobs WHERE rowid = 1")
    assert _kinds(_look(data)) == {("job", "photos")}


def test_a_later_look_goes_on_where_the_last_one_ended(data: Path) -> None:
    first = _look(data)
    marks = marks_of(marks_as_json(first.marks))
    again = _look(data, since=marks)
    assert (again.rows, again.files, again.found) == (0, 0, [])
    assert again.marks == first.marks
    _recompute(data)
    assert {kind for kind, _ in _kinds(_look(data, since=marks))} == {"recomputed"}


def test_the_command_says_what_it_found_and_takes_a_head(data: Path, tmp_path: Path) -> None:
    head = tmp_path / "head.json"
    run = CliRunner().invoke
    assert run(cli, ["records", "head", "--data", str(data), "--out", str(head)]).exit_code == 0
    whole = run(cli, ["records", "audit", "--data", str(data), "--head", str(head), "--json"])
    assert (whole.exit_code, json.loads(whole.output)["found"]) == (0, [])
    _change(data, *_CUT)
    assert run(cli, ["records", "audit", "--data", str(data)]).exit_code == 0
    found = run(cli, ["records", "audit", "--data", str(data), "--head", str(head)])
    assert found.exit_code == 1
    assert "decisions" in found.output


DAY = dt.timedelta(days=1)
LOOKED_BEFORE: dict[str, bytes | Callable[[dict[str, Mark]], str] | None] = {
    "never": None,
    "a file that is torn": b"\xff\xfe",
    "by a version that kept no time": lambda marks: json.dumps(
        {name: [mark.rows, mark.seq, mark.hash] for name, mark in marks.items()}
    ),
    "a day ago": lambda marks: marks_as_json(marks, NOW - DAY),
    "in the future": lambda marks: marks_as_json(marks, NOW + DAY),
}


def _served(data: Path, at: dt.datetime = NOW) -> str:
    """What a server says of the records once it has looked at its start, without being asked to."""
    app = create_app(settings(data.parent), clock=lambda: at)
    with TestClient(app, headers=HEADERS) as client:
        while (told := client.get("/api/ready").json()["records"]) == "not_looked_at":
            time.sleep(0.02)
    return str(told)


def _spoil(data: Path) -> None:
    path = next(path for path in (data / "photos" / "sent").rglob("*") if path.is_file())
    path.write_bytes(b"another")


@pytest.mark.parametrize("before", LOOKED_BEFORE)
def test_the_server_looks_at_its_start_and_says_so(data: Path, before: str) -> None:
    kept, marks = LOOKED_BEFORE[before], _look(data).marks
    (data / MARKS).unlink(missing_ok=True)
    if kept is not None:
        (data / MARKS).write_bytes(kept if isinstance(kept, bytes) else kept(marks).encode())
    _spoil(data)
    assert _served(data) == "found"
    with TestClient(create_app(settings(data.parent), clock=lambda: NOW)) as client:
        told = client.get("/api/records").json()
    assert [one["kind"] for one in told["found"]] == ["file_changed"]
    assert told["rows_under_head"]["photos"] == 3


def test_what_was_found_is_found_again_after_a_restart_and_all_is_looked_at_daily(
    data: Path,
) -> None:
    (data / MARKS).write_text(marks_as_json(_look(data).marks, NOW), encoding="utf-8")
    _spoil(data)
    assert _served(data) == "whole", "all of it was looked at just before"
    # a machine that is switched off daily: its server never runs for a whole day
    assert [_served(data, NOW + DAY) for _ in range(2)] == ["found", "found"]


def test_many_who_ask_at_once_are_told_of_few_looks(
    data: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    looks: list[object] = []

    def slow(*args: object, since: object = None, **more: object) -> Audit:
        looks.append(since)
        time.sleep(0.2)
        return audit(*args, since=since, **more)  # type: ignore[arg-type]

    monkeypatch.setattr(watch, "audit", slow)
    with closing(look_at_store(data)) as store:
        watching = watch.Watch(store, data, lambda: NOW)
        with ThreadPoolExecutor(20) as many:
            told = [one.result() for one in [many.submit(watching.now) for _ in range(20)]]
    assert len(looks) <= 3
    assert looks.count(None) == 1, "all of it is looked at once"
    assert {one.done.head.head for one in told} == {told[0].done.head.head}


def test_odd_clocks_are_told(data: Path) -> None:
    # the senders' clocks in `HEADERS` are 7 minutes off the server's
    assert any("7" in note and "clock" in note for note in _look(data).notes)
