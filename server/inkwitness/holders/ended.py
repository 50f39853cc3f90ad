"""Entries of the user's list that ended by their own last day, without anybody saying so.

What was judged before that day knows nothing of it: it is judged again only for a new edition.
"""

import datetime as dt
import re
from dataclasses import dataclass

from inkwitness.holders.numbers import normal_form
from inkwitness.holders.values import HolderEntry, HolderList

#: What a key may have behind name and model: nothing, or the four digits of a body.
_BODY = re.compile(r"(-?[0-9]{4})?")


@dataclass(frozen=True, slots=True)
class Ended:
    """What one ended entry is looked up by: numbers, or names with a model, in normal form.

    `number` is what a person calls it by, `day` its last day.
    """

    number: str
    day: dt.date
    numbers: frozenset[str] = frozenset()
    names: frozenset[str] = frozenset()

    def of(self, key: str) -> bool:
        """Whether a list key, as a check gives it, leads to this entry.

        A name may be printed otherwise than it is listed; then this does not know it.
        """
        form = normal_form(key)
        return form in self.numbers or any(
            form.startswith(name) and _BODY.fullmatch(form, len(name)) for name in self.names
        )


def ended_on(holder_list: HolderList | None, on: dt.date) -> tuple[Ended, ...]:
    """The entries of which the last day is over on a day, but for keys that another still holds."""
    entries = holder_list.entries if holder_list is not None else ()
    over = [
        Ended(
            entry.approval_number or entry.certificate_number or entry.holder,
            entry.valid_until,
            _numbers(entry),
            _names(entry),
        )
        for entry in entries
        if entry.status == "current" and entry.valid_until is not None and entry.valid_until < on
    ]
    if not over:
        return ()
    holding = {
        form
        for entry in entries
        if entry.status_on(on) == "current"
        for form in _numbers(entry) | _names(entry)
    }
    return tuple(
        Ended(one.number, one.day, one.numbers - holding, one.names - holding) for one in over
    )


def _numbers(entry: HolderEntry) -> frozenset[str]:
    forms = (normal_form(text) for text in (entry.approval_number, entry.certificate_number))
    return frozenset(filter(None, forms))


def _names(entry: HolderEntry) -> frozenset[str]:
    if not entry.models:
        return frozenset()
    names = (entry.holder, *entry.other_names, *(one.name for one in entry.private_labels))
    return frozenset(normal_form(f"{name} {model}") for name in names for model in entry.models)
