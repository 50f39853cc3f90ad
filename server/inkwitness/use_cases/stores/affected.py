"""Where goods lie whose answer an edition of the list changed: what to hold, and whom to tell."""

from collections.abc import Sequence
from dataclasses import dataclass

from sqlalchemy import Connection, select

from inkwitness.consignment import stock
from inkwitness.phrases import Phrases
from inkwitness.records.tables import stock as stock_table
from inkwitness.use_cases.stores.stock import movements


@dataclass(frozen=True, slots=True)
class Affected:
    """One lot of a consignment: pieces in store, and pieces with each recipient."""

    consignment_id: str
    lot: str
    in_store: int
    in_hands: tuple[tuple[str, int], ...]

    def says(self, say: Phrases) -> str:
        """What to do about it."""
        names = ", ".join(f"{name} ({n})" for name, n in self.in_hands) or "–"
        return say("recall.after_list", lot=self.lot or "–", pieces=self.in_store, names=names)


def affected(conn: Connection, consignment_ids: Sequence[str]) -> list[Affected]:
    """The lots of these consignments that lie in store or are in hands."""
    found = []
    for id_ in dict.fromkeys(consignment_ids):
        wanted = select(stock_table.c.lot).where(stock_table.c.consignment_id == id_).distinct()
        for lot in conn.execute(wanted.order_by(stock_table.c.lot)).scalars():
            counted = stock.spelt(stock.counted(movements(conn, lot)), lot)
            hands: dict[str, int] = {}
            for one in counted.hands:
                if one.goods == id_:
                    hands[one.recipient] = hands.get(one.recipient, 0) + one.pieces
            in_store = sum(pile.pieces for pile in counted.piles if pile.goods == id_)
            if in_store or hands:
                found.append(Affected(id_, lot, in_store, tuple(hands.items())))
    return found
