"""A list's file looked at whole: what runs in a helper process, away from the server."""

from collections.abc import Sequence

from inkwitness.holders.editions import Change, difference
from inkwitness.holders.files import importing
from inkwitness.holders.files.columns import ColumnMap
from inkwitness.holders.files.importing import Preview
from inkwitness.holders.files.rows import RowRules
from inkwitness.holders.values import HolderEntry, HolderList


def look_at(
    data: bytes, mapping: ColumnMap, sheet: str | None, rules: RowRules, base: HolderList | None
) -> tuple[Preview, list[Change] | None]:
    """What is in the file, and what it would change in the list in force.

    The changes are None where the file has an error or no entry. Raises BadList, BadInput,
    TooLarge.
    """
    found = importing.preview(data, mapping=mapping, sheet=sheet, rules=rules)
    if found.errors or not found.entries:
        return found, None
    return found, list(difference(_kept(base, found.entries), found.entries))


def _kept(base: HolderList | None, proposed: Sequence[HolderEntry]) -> tuple[HolderEntry, ...]:
    """The entries in force that an import would stand beside."""
    if base is None or base.fictional != any(entry.fictional for entry in proposed):
        return ()
    return base.entries
