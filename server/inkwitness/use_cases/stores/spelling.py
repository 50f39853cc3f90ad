"""Lots as they are spelt in store: of one lot every movement has the spelling that came first."""

from sqlalchemy import Connection, select

from inkwitness.consignment.stock import same_lot
from inkwitness.records import chain
from inkwitness.records.tables import consignments
from inkwitness.records.tables import stock as stock_table
from inkwitness.use_cases import goods


def lots(conn: Connection) -> list[str]:
    """Every lot that ever was in store, in order; answered by the index alone."""
    wanted = select(stock_table.c.lot).distinct().order_by(stock_table.c.lot)
    return list(conn.execute(wanted).scalars())


def known_spelling(conn: Connection, lot: str, consignment_id: str | None) -> str:
    """A lot as it is written here already: of this consignment in store, else in store at all, else
    as it was declared; else as it is.
    """
    there = [one for one in lots(conn) if same_lot(one, lot)]
    mine: list[str] = []
    if there and consignment_id is not None:
        of_goods = (
            select(stock_table.c.lot)
            .distinct()
            .where(stock_table.c.lot.in_(there), stock_table.c.consignment_id == consignment_id)
        )
        mine = list(conn.execute(of_goods.order_by(stock_table.c.lot)).scalars())
    declared: list[str] = []
    if not there and consignment_id is not None and chain.find(conn, consignments, consignment_id):
        declared = [one for one in goods.lot_sizes(conn, consignment_id) if same_lot(one, lot)]
    known = [*mine, *there, *declared]
    return lot if not known or lot in (mine or known) else known[0]
