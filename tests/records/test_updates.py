"""A data folder of every earlier version is brought up to date, with what is in it as it was.

The versions are those of the migrations, each of which was released. A row of every table that a
version has is written with that version's tables; after the update the chain is whole, every row
is there letter for letter, and a head that was kept before still fits. A backup of an earlier
version can be restored by this one.
"""

import os
from pathlib import Path
from typing import Any

import pytest
from alembic import command
from alembic.config import Config
from alembic.script import ScriptDirectory
from sqlalchemy import Table, inspect, text

from inkwitness.photo.files import PHOTOS, PhotoFiles
from inkwitness.records import chain, database
from inkwitness.records.chain import WriteContext, local_actor
from inkwitness.records.database import Database, connect_database, open_database
from inkwitness.records.integrity import backups
from inkwitness.records.integrity.audit import audit
from inkwitness.records.integrity.heads import Head, head_of
from inkwitness.records.store import DATABASE, new_id
from inkwitness.records.tables import NEWEST
from tests.api.conftest import NOW, png

CONTEXT = WriteContext(local_actor("Ines Okparo"), NOW)
MIGRATIONS = Path(database.__file__).parent / "migrations"


def _script() -> ScriptDirectory:
    return ScriptDirectory(str(MIGRATIONS))


VERSIONS = [one.revision for one in reversed(list(_script().walk_revisions()))]


def test_the_tables_of_the_code_are_those_of_the_newest_migration() -> None:
    assert _script().get_current_head() == NEWEST == VERSIONS[-1]


def made_by(version: str, folder: Path) -> tuple[Head, dict[str, list[tuple[Any, ...]]]]:
    """A data folder of a version, with a row in each of its tables of facts."""
    folder.mkdir(mode=0o700)
    path = folder / DATABASE
    os.close(os.open(path, os.O_CREAT | os.O_WRONLY, 0o600))
    opened = connect_database(path)
    files = PhotoFiles(folder / PHOTOS)
    sha256, served = files.keep_sent(png()), files.keep_served(png(colour="red"))
    with opened.writing() as conn:
        config = Config()
        config.set_main_option("script_location", str(MIGRATIONS))
        config.attributes["connection"] = conn
        command.upgrade(config, version)
        made: dict[str, str] = {}
        there = set(inspect(conn).get_table_names())
        tables = [table for table in chain.chained_tables() if table.name in there]
        for table in sorted(tables, key=lambda one: len(one.foreign_keys)):
            _row(conn, table, made, sha256, served)
        _jobs(conn, made["photos"], made["checks"])
        rows = _all(conn, tables)
        head = head_of(conn)
    opened.close()
    return head, rows


def _row(conn: Any, table: Table, made: dict[str, str], sha256: str, served: str) -> None:
    content: dict[str, Any] = {"letters": "FICTIONAL", "sha256": sha256, "served_sha256": served}
    for key in table.info["keys"]:
        for reference in table.c[key].foreign_keys:
            refers_to = reference.column.table.name
            if refers_to not in made and refers_to != table.name:
                other = reference.column.table
                _row(conn, other, made, sha256, served)
            content[key] = made.get(refers_to)
        content.setdefault(key, "x")
    if table.name == "removals":
        content |= {"files": [], "photo_id": None}
    if table.name not in made:
        made[table.name] = new_id()
        chain.append(conn, table, made[table.name], content, CONTEXT)


def _jobs(conn: Any, photo_id: str, check_id: str) -> None:
    row = {"id": new_id(), "photo": photo_id, "check": check_id, "at": "2031-03-18T09:00:00+00:00"}
    conn.execute(
        text(
            "INSERT INTO jobs (id, photo_id, state, stage, attempts, check_id, actor, made_at, "
            "changed_at) VALUES (:id, :photo, 'done', 'done', 1, :check, '{}', :at, :at)"
        ),
        row,
    )


def _all(conn: Any, tables: list[Table]) -> dict[str, list[tuple[Any, ...]]]:
    return {
        table.name: [tuple(row) for row in conn.execute(table.select().order_by(table.c.seq))]
        for table in tables
    }


def _now(opened: Database, names: list[str]) -> dict[str, list[tuple[Any, ...]]]:
    with opened.reading() as conn:
        return _all(conn, [one for one in chain.chained_tables() if one.name in names])


@pytest.mark.parametrize("version", VERSIONS)
def test_an_update_keeps_every_row_and_the_head_that_was_kept_before(
    tmp_path: Path, version: str
) -> None:
    head, rows = made_by(version, tmp_path / "data")
    assert len(rows) > 5
    opened = open_database(tmp_path / "data" / DATABASE)
    assert _now(opened, list(rows)) == rows
    files = PhotoFiles(tmp_path / "data" / PHOTOS)
    done = audit(opened, files, kept=head)
    assert [one.says for one in done.found] == []
    assert done.rows == sum(len(one) for one in rows.values())
    opened.close()


@pytest.mark.parametrize("version", VERSIONS)
def test_a_backup_of_an_earlier_version_is_restored_and_then_brought_up_to_date(
    tmp_path: Path, version: str
) -> None:
    head, rows = made_by(version, tmp_path / "data")
    made = backups.back_up(tmp_path / "data", tmp_path / "backup")
    assert made.head == head
    assert backups.restore(tmp_path / "backup", tmp_path / "new").head == head
    opened = open_database(tmp_path / "new" / DATABASE)
    assert _now(opened, list(rows)) == rows
    opened.close()


def test_a_table_that_is_gone_from_a_database_of_this_version_is_not_taken_for_an_older_one(
    tmp_path: Path,
) -> None:
    made_by(NEWEST, tmp_path / "data")
    opened = connect_database(tmp_path / "data" / DATABASE)
    with opened.writing() as conn:
        conn.execute(text("DROP TABLE bins"))
    done = audit(opened, PhotoFiles(tmp_path / "data" / PHOTOS))
    assert any(one.kind == "table" and one.table == "bins" for one in done.found)
    opened.close()
