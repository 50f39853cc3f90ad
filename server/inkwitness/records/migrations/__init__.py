"""Steps from each set of tables to the next.

A new table: describe it in a tables module that `records.schema` imports (a table of facts with
`metadata.chained`), write `versions/DATE_slug.py` whose `down_revision` is the newest `revision`,
call `refuse_changes` for a table of facts, and run tests/records: it says where models and
migrations differ. A migration that was ever released is never edited.
"""

from alembic import op


def refuse_changes(table: str) -> None:
    """Let the database itself refuse to change or delete a row of a table of facts."""
    for verb in ("UPDATE", "DELETE"):
        op.execute(
            f"CREATE TRIGGER refuse_{verb.lower()}_{table} BEFORE {verb} ON {table} "
            f"BEGIN SELECT RAISE(ABORT, '{table}: rows are only appended'); END"
        )
