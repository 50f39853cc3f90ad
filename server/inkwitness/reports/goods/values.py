"""What units bear, mark by mark: each value, on how many, on which, and what was declared."""

from collections.abc import Mapping, Sequence

from inkwitness.consignment.one_product import PrintedValue, Spread, spreads
from inkwitness.phrases import Phrases, capital
from inkwitness.reports import words
from inkwitness.reports.document import Section, Table, shown
from inkwitness.use_cases.overview import Overview
from inkwitness.use_cases.prints import SideBySide

#: Units named beside the value that most of them bear; of another value, all that a page takes.
_OF_MOST = 6
_OF_OTHERS = 60


def side_by_side(found: Overview, beside: SideBySide, say: Phrases) -> list[Section]:
    """The values of each mark over the units, and the lots; nothing where no unit bears any.

    A table and no verdict: only what was read or confirmed is in it, and it does not say why
    units differ.
    """
    over = spreads(beside.prints)
    lots = _lots(found, over, say)
    if not over:
        return lots
    names = {one.unit_id: shown(one.name) for one in beside.prints}
    rows = tuple(row for one in over for row in _rows(one, names, beside.declared, say))
    table = Table(words.columns(say, "mark", "value", "units", "unit"), rows)
    said = (say("front.values_of", n=len(beside.prints)), *_alike(over, say))
    return [Section(say("front.differing"), said, table), *lots]


def _alike(over: Sequence[Spread], say: Phrases) -> list[str]:
    """Which marks have one value wherever they were read, and which have several."""
    one = [say.named("marks", of.mark) for of in over if len(of.values) == 1]
    several = [
        say("front.value_count", mark=say.named("marks", of.mark), n=len(of.values))
        for of in over
        if len(of.values) > 1
    ]
    said = [say("front.values_several", marks=", ".join(several))] if several else []
    return [*said, *([say("front.values_one", marks=", ".join(one))] if one else [])]


def _rows(
    of: Spread, names: Mapping[str, str], declared: Mapping[str, Sequence[str]], say: Phrases
) -> list[tuple[str, ...]]:
    """What was declared of a mark, its values, and the units on which there is none."""
    mark = capital(say.named("marks", of.mark))
    rows: list[tuple[str, ...]] = [
        (mark, shown(value), "", say("front.value_declared")) for value in declared.get(of.mark, ())
    ]
    for place, value in enumerate(of.values):
        most = _OF_OTHERS if place else _OF_MOST
        told = _some(value.unit_ids, names, most)
        rows.append((mark, shown(value.value), _count(value, say), told))
    if of.without:
        told = _some(of.without, names, _OF_MOST)
        rows.append((mark, say("front.value_without"), str(len(of.without)), told))
    return rows


def _count(value: PrintedValue, say: Phrases) -> str:
    """On how many units; where packaging bears it too, on how many of each side."""
    count = str(len(value.unit_ids))
    if not value.on_packaging:
        return count
    return f"{count} {say('front.value_sides', box=value.on_packaging, mask=value.on_mask)}"


def _some(unit_ids: Sequence[str], names: Mapping[str, str], most: int) -> str:
    more = len(unit_ids) - most
    told = ", ".join(names[unit_id] for unit_id in unit_ids[:most])
    return told + (f" + {more}" if more > 0 else "")


def _lots(found: Overview, over: Sequence[Spread], say: Phrases) -> list[Section]:
    """The lots as declared, and as read on units."""
    declared = [
        say("front.lot_declared", code=shown(lot["code"]))
        + (f", {say('front.lot_units', n=lot['units'])}" if lot["units"] else "")
        for lot in found.content["lots"]
    ]
    read = [
        f"{say('front.lot_read', code=shown(value.value))}, "
        + say("front.lot_units", n=len(value.unit_ids))
        for of in over
        if of.mark == "lot"
        for value in of.values
    ]
    said = (*declared, *read)
    return [Section(say("front.lots"), said)] if said else []
