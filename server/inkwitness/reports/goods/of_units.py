"""What people said and decided on single units of a consignment, unit by unit."""

from sqlalchemy import Connection

from inkwitness.phrases import Phrases
from inkwitness.reports import answers, parts, words
from inkwitness.reports.document import Section, Table
from inkwitness.reports.goods.noted import name_of
from inkwitness.rulebook import Rulebook
from inkwitness.use_cases import goods
from inkwitness.use_cases.overview import Overview


def said_of_units(
    conn: Connection, found: Overview, rulebook: Rulebook, say: Phrases
) -> list[Section]:
    """Findings set aside, answers of the holder and other decisions, a row a unit; none: nothing.

    What was decided on all of the goods stands in a section of its own.
    """
    taken = goods.of_units(conn, [unit.state for unit in found.units])
    rows = []
    for unit in found.units:
        told: list[str] = []
        if unit.state.answers:
            sections, _ = answers.of_unit(conn, unit, rulebook, say)
            told += [one for section in sections for one in section.sentences]
        if kept := taken.get(unit.unit_id):
            table = parts.decisions(kept, say).table
            assert table is not None  # there are decisions
            told += [" – ".join(cell for cell in row if cell) for row in table.rows]
        if told:
            rows.append((name_of(unit), "\n".join(f"– {one}" for one in told)))
    if not rows:
        return []
    table = Table(words.columns(say, "unit", "noted"), tuple(rows))
    return [Section(words.heading("of_units", say), (), table)]
