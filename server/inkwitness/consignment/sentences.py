"""What stands in the way of a release, and how each thing is lifted: a sentence each, by key.

English is here; the page says the same keys in its own languages. The subject is what was looked
at or not, never a supplier.
"""

from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Way:
    """What stands in the way, and what to do about it."""

    says: str
    lift: str


ENGLISH: Mapping[str, Way] = {
    "nothing_looked_at": Way(
        "Nothing was looked at yet.",
        "Photograph and confirm the drawn units first.",
    ),
    "no_plan": Way(
        "No plan was drawn, and not every unit was looked at: {looked_at} of {declared}.",
        "Make a plan and look at what it draws, or look at every unit.",
    ),
    "drawn_not_looked_at": Way(
        "Drawn units that nobody looked at: {units}.",
        "Photograph and confirm each of them; for one that is not there, take the next in the "
        "draw and write down why.",
    ),
    "not_read": Way(
        "Units with a photo that was not read: {units}.",
        "Wait for it, or take the photo again.",
    ),
    "to_be_confirmed": Way(
        "Units with marks that no person confirmed: {units}.",
        "Confirm each mark.",
    ),
    "undecided_conflict": Way(
        "Units with a conflict on which nobody decided: {units} ({places}).",
        "Hold, and ask the approval holder or the body; then decide on each unit, with a reason.",
    ),
    "undecided_missing": Way(
        "Units that lack a required mark, on which nobody decided: {units} ({places}).",
        "Photograph the other surfaces, or decide on each unit, with a reason.",
    ),
    "undecided_cannot_tell": Way(
        "Units that cannot be told, on which nobody decided: {units} ({places}).",
        "Take the photos again, or decide on each unit, with a reason.",
    ),
    "held": Way(
        "A hold is in force.",
        "Lift it with a reason; returning or destroying does not end it.",
    ),
    "unit_held": Way(
        "Single units with a hold in force: {units} ({places}).",
        "Lift the hold on each unit, with a reason.",
    ),
    "answer_awaited": Way(
        "An answer that was asked for from the approval holder is awaited.",
        "Record the answer in its own words.",
    ),
    "answer_differs": Way(
        "The newest answer of the approval holder does not agree with the print.",
        "Hold; record a later answer when there is one.",
    ),
    "nothing_to_look_up": Way(
        "Units without a confirmed mark that can be looked up: {units} ({places}).",
        "Photograph the other surfaces, the box or the papers, and confirm what is printed.",
    ),
    "no_official_look_up": Way(
        "The authority's own list was not looked up for {looked_up}.",
        "Look it up and record the answer.",
    ),
    "no_papers_look_up": Way(
        "There is no public list for {looked_up}, and neither the body's certificate nor the "
        "declaration of conformity was looked at for it.",
        "Compare maker, model and number of the body with one of these papers and record it.",
    ),
    "look_up_says_other": Way(
        "The newest look-up of {looked_up} did not find it listed as printed.",
        "Hold and ask the authority or the body; record a later look-up when there is one.",
    ),
    "look_up_too_old": Way(
        "The look-up of {looked_up} is older than {limit} days.",
        "Look it up again and record the answer.",
    ),
    "loose": Way(
        "Loose units are among the goods: {units} ({places}). They cannot be traced.",
        "Take them out: return, discard or hand them over, and move them to goods of their own.",
    ),
    "worn": Way(
        "Units that were already worn are among the goods: {units} ({places}).",
        "Discard them, and move them to goods of their own.",
    ),
    "no_declared_crisis": Way(
        "No crisis was declared for these goods, and a crisis reserve is only for one.",
        "Say under which declaration, when the consignment is taken in.",
    ),
    "second_person": Way(
        "A second person has not agreed to what is known now.",
        "Another person looks at it and agrees under their own name.",
    ),
}

LANGUAGES: Mapping[str, Mapping[str, Way]] = {"en": ENGLISH}


def say(key: str, values: Mapping[str, str], language: str = "en") -> Way:
    """The sentences of a key with its values; one that is missing raises KeyError."""
    way = LANGUAGES[language][key]
    return Way(way.says.format_map(values), way.lift.format_map(values))
