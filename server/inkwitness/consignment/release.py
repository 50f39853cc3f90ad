"""What stands in the way of a release. A person releases; this only says what is not done yet.

The conditions are the project's own (no source): every unit that was looked at is confirmed by a
person, none has a conflict, and the authority's own list was looked up for what was printed.
"""

from collections.abc import Iterable, Sequence

from inkwitness.consignment.values import LookUp, Refusal, UnitState


def refusals(units: Sequence[UnitState], look_ups: Iterable[LookUp]) -> tuple[Refusal, ...]:
    """Everything that stands in the way of a release, in the order to see to it."""
    found = []
    if not any(unit.outcome for unit in units):
        found.append(
            Refusal(
                "nothing_looked_at",
                "Nothing was looked at yet. Photograph and confirm the drawn units first.",
            )
        )
    conflicts = sum(unit.outcome == "conflict" for unit in units)
    if conflicts:
        found.append(
            Refusal(
                "conflict",
                f"{_units(conflicts)} a conflict. Hold, and ask the approval holder or the body.",
                (("units", str(conflicts)),),
            )
        )
    unread = sum(any(p.outcome is None for p in u.photos) or not u.photos for u in units)
    if unread:
        found.append(
            Refusal(
                "not_read",
                f"{_units(unread)} a photo that was not read. Wait for it, or take it again.",
                (("units", str(unread)),),
            )
        )
    unconfirmed = sum(unit.basis == "reading" for unit in units)
    if unconfirmed:
        found.append(
            Refusal(
                "to_be_confirmed",
                f"{_units(unconfirmed)} marks that no person confirmed. Confirm each mark.",
                (("units", str(unconfirmed)),),
            )
        )
    without = sum(unit.outcome is not None and not unit.list_keys for unit in units)
    if without:
        found.append(
            Refusal(
                "nothing_to_look_up",
                f"{_units(without)} no mark that can be looked up on the authority's own list. "
                "Photograph the other surfaces, the box or the papers.",
                (("units", str(without)),),
            )
        )
    looked_up = {look_up.looked_up for look_up in look_ups if look_up.answer}
    keys = sorted({key for unit in units for key in unit.list_keys})
    if not looked_up:
        found.append(
            Refusal(
                "no_official_look_up",
                "The authority's own list was not looked up. Look it up and record the answer.",
            )
        )
    elif missing := [key for key in keys if key not in looked_up]:
        found.append(
            Refusal(
                "no_official_look_up",
                "The authority's own list was not looked up for "
                f"{', '.join(missing)}. Look it up and record the answer.",
                (("looked_up", ", ".join(missing)),),
            )
        )
    return tuple(found)


def held(dispositions: Sequence[str]) -> bool:
    """Whether a hold is in force, from all dispositions in the order they were decided."""
    on_hold = False
    for disposition in dispositions:
        if disposition == "hold":
            on_hold = True
        elif disposition in ("lift_hold", "release", "return", "dispose"):
            on_hold = False
    return on_hold


def _units(count: int) -> str:
    return "One unit has" if count == 1 else f"{count} units have"
