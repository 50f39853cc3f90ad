"""The tables: made by the migrations, appended to, and never changed."""

import datetime as dt
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from sqlalchemy import text
from sqlalchemy.exc import IntegrityError

from inkwitness.errors import Differs, NotFound
from inkwitness.records import chain, tables
from inkwitness.records.chain import WriteContext, local_actor
from inkwitness.records.database import Database, open_database
from inkwitness.records.integrity.heads import head_of
from inkwitness.records.tables import metadata

CONTEXT = WriteContext(
    local_actor("Ines Okparo"), dt.datetime(2031, 3, 18, 9, 0, tzinfo=dt.UTC), -420_000
)


@pytest.fixture
def database(tmp_path: Path) -> Iterator[Database]:
    opened = open_database(tmp_path / "inkwitness.sqlite")
    yield opened
    opened.close()


def test_the_migrations_make_exactly_the_tables_that_the_code_describes(database: Database) -> None:
    with database.reading() as conn:
        differences = compare_metadata(MigrationContext.configure(conn), metadata)
    assert differences == []


def test_opening_twice_keeps_what_was_written(tmp_path: Path) -> None:
    first = open_database(tmp_path / "d.sqlite")
    with first.writing() as conn:
        chain.append(conn, tables.consignments, "c1", {"label": "one"}, CONTEXT)
    first.close()
    second = open_database(tmp_path / "d.sqlite")
    with second.reading() as conn:
        assert chain.get(conn, tables.consignments, "c1").content == {"label": "one"}


def test_foreign_keys_are_on_and_the_log_is_written_ahead(database: Database) -> None:
    with database.reading() as conn:
        assert conn.execute(text("PRAGMA foreign_keys")).scalar() == 1
        assert conn.execute(text("PRAGMA journal_mode")).scalar() == "wal"
        assert conn.execute(text("PRAGMA synchronous")).scalar() == 2  # FULL
    with pytest.raises(IntegrityError), database.writing() as conn:
        chain.append(conn, tables.units, "u", {"consignment_id": "nothing"}, CONTEXT)


def test_an_entry_keeps_who_wrote_it_and_how_far_their_clock_was_off(database: Database) -> None:
    with database.writing() as conn:
        chain.append(conn, tables.consignments, "c1", {"label": "FICTIONAL"}, CONTEXT)
    with database.reading() as conn:
        entry = chain.get(conn, tables.consignments, "c1")
    assert entry.context == CONTEXT
    assert entry.context.actor.name == "Ines Okparo"


def test_a_repeat_with_the_same_content_changes_nothing(database: Database) -> None:
    with database.writing() as conn:
        _, first = chain.append(conn, tables.consignments, "c1", {"a": 1, "b": 2}, CONTEXT)
        _, again = chain.append(conn, tables.consignments, "c1", {"b": 2, "a": 1}, CONTEXT)
        assert (first, again) == (True, False)
        assert len(chain.entries(conn, tables.consignments)) == 1


def test_a_repeat_with_other_content_is_refused(database: Database) -> None:
    with database.writing() as conn:
        chain.append(conn, tables.consignments, "c1", {"a": 1}, CONTEXT)
        with pytest.raises(Differs, match="c1"):
            chain.append(conn, tables.consignments, "c1", {"a": 2}, CONTEXT)


def test_an_unknown_id_is_not_found(database: Database) -> None:
    with database.reading() as conn, pytest.raises(NotFound, match="nowhere"):
        chain.get(conn, tables.units, "nowhere")


@pytest.mark.parametrize("table", [t.name for t in chain.chained_tables()])
@pytest.mark.parametrize("verb", ["UPDATE {} SET content = '{{}}'", "DELETE FROM {}"])
def test_the_database_refuses_to_change_or_delete_a_fact(
    database: Database, table: str, verb: str
) -> None:
    with database.writing() as conn:
        # foreign keys off so that a row of any table can stand alone
        names = [c.name for c in metadata.tables[table].columns if not c.nullable]
        conn.execute(text("PRAGMA defer_foreign_keys=ON"))
        values = ", ".join("1" if name == "seq" else f"'{name}'" for name in names)
        conn.execute(text(f"INSERT INTO {table} ({', '.join(names)}) VALUES ({values})"))
        with pytest.raises(IntegrityError, match="only appended"):
            conn.execute(text(verb.format(table)))
        conn.execute(text(f"DROP TRIGGER refuse_delete_{table}"))
        conn.execute(text(f"DELETE FROM {table}"))


def test_the_chain_is_whole_after_writing(database: Database) -> None:
    with database.writing() as conn:
        for number in range(5):
            chain.append(conn, tables.consignments, f"c{number}", {"n": number}, CONTEXT)
        state = chain.check_chain(conn, tables.consignments)
    assert (state.rows, state.broken_at) == (5, None)


@pytest.mark.parametrize(
    ("damage", "row", "reason"),
    [
        ("UPDATE consignments SET content = '{\"n\":9}' WHERE seq = 2", 2, "was changed"),
        ("UPDATE consignments SET actor = 'nobody' WHERE seq = 3", 3, "was changed"),
        ("UPDATE consignments SET clock_offset_ms = 0 WHERE seq = 1", 1, "was changed"),
        ("DELETE FROM consignments WHERE seq = 2", 3, "does not follow"),
    ],
)
def test_a_row_changed_behind_our_back_is_seen(
    database: Database, damage: str, row: int, reason: str
) -> None:
    with database.writing() as conn:
        for number in range(4):
            chain.append(conn, tables.consignments, f"c{number}", {"n": number}, CONTEXT)
        before = head_of(conn).head
        conn.execute(text("DROP TRIGGER refuse_update_consignments"))
        conn.execute(text("DROP TRIGGER refuse_delete_consignments"))
        conn.exec_driver_sql(damage)
        state = chain.check_chain(conn, tables.consignments)
    assert state.broken_at == row
    assert reason in state.reason
    assert len(before) == 64


def test_rows_cut_off_the_end_show_only_against_a_kept_head(database: Database) -> None:
    with database.writing() as conn:
        for number in range(3):
            chain.append(conn, tables.consignments, f"c{number}", {"n": number}, CONTEXT)
        kept = head_of(conn).head
        conn.execute(text("DROP TRIGGER refuse_delete_consignments"))
        conn.exec_driver_sql("DELETE FROM consignments WHERE seq = 3")
        assert chain.check_chain(conn, tables.consignments).broken_at is None
        assert head_of(conn).head != kept


def test_the_hash_is_sha256_over_previous_hash_and_canonical_json(database: Database) -> None:
    """Worked by hand from the description in `chain`, not with its functions."""
    import hashlib

    with database.writing() as conn:
        entry, _ = chain.append(conn, tables.consignments, "c", {"z": 1, "a": "é"}, CONTEXT)
    previous = hashlib.sha256(b"inkwitness chain consignments").hexdigest()
    signed = (
        '{"actor":"{\\"id\\":\\"local:ines okparo\\",\\"name\\":\\"Ines Okparo\\",'
        '\\"roles\\":[\\"screener\\",\\"list_keeper\\",\\"releaser\\",\\"auditor\\",'
        '\\"administrator\\"]}","at":"2031-03-18T09:00:00.000+00:00","clock_offset_ms":-420000,'
        '"content":"{\\"a\\":\\"é\\",\\"z\\":1}","id":"c"}'
    )
    assert entry.hash == hashlib.sha256(f"{previous}\n{signed}".encode()).hexdigest()


def test_writers_take_turns_so_that_the_chain_does_not_fork(
    database: Database, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("inkwitness.records.database.BUSY_SECONDS", 120)  # a disk may be slow

    def write(writer: int) -> None:
        for number in range(10):
            with database.writing() as conn:
                chain.append(
                    conn, tables.consignments, f"{writer}-{number}", {"n": number}, CONTEXT
                )

    with ThreadPoolExecutor(4) as pool:
        for done in [pool.submit(write, writer) for writer in range(4)]:
            done.result()
    with database.reading() as conn:
        state = chain.check_chain(conn, tables.consignments)
    assert (state.rows, state.broken_at) == (40, None)


def test_a_write_that_fails_leaves_nothing(database: Database) -> None:
    def write() -> None:
        with database.writing() as conn:
            chain.append(conn, tables.consignments, "c1", {"a": 1}, CONTEXT)
            chain.append(conn, tables.consignments, "c1", {"a": 2}, CONTEXT)

    with pytest.raises(Differs):
        write()
    with database.reading() as conn:
        assert chain.find(conn, tables.consignments, "c1") is None
