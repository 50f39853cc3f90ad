"""The sentences of reports. One fact a sentence; the print, the paper or the list is the subject.

Words follow one rule: nothing here is a verdict about goods or about anybody. Where a document is
named, its own title stands in quotation marks.
"""

import datetime as dt

from inkwitness.check.contract import HolderMatchOut
from inkwitness.findings.values import Aspect
from inkwitness.marks.values import NamedBy
from inkwitness.reports.document import Status, shown

NOT_PROOF = "This is not proof of authenticity."

SHORT_CAVEAT = (
    "This compares print and papers with your list. It does not show origin, filtration or fit. "
    "A person decides."
)

STATUSES = {
    "conflict": Status("conflict", "▲", "Conflict found. Hold."),
    "missing": Status("missing", "△", "Something required is missing. Hold."),
    "cannot_tell": Status("cannot_tell", "◯?", "Cannot tell from this. Hold or retake."),
    "no_conflict_found": Status(
        "no_conflict_found", "◆", "No conflict found in what was checked. Not a release."
    ),
    "not_looked_at": Status("not_looked_at", "▭", "Not looked at."),
    "held": Status("held", "■", "HOLD: do not use."),
}
TO_BE_CONFIRMED = Status(
    "to_be_confirmed", "…", "To be confirmed: this rests on a reading that no person confirmed."
)

OUTCOMES = {
    "conflict": "conflict found",
    "missing": "something required is missing",
    "cannot_tell": "cannot tell",
    "no_conflict_found": "no conflict found in what was checked",
    "not_looked_at": "not looked at",
}
ASPECTS: dict[Aspect, str] = {
    "reading": "the reading",
    "marks": "the marks",
    "list": "your list",
    "documents": "papers and certificates",
    "construction": "the construction of the unit",
    "supplier": "the supplier",
}
SURFACES = {
    "facepiece": "facepiece",
    "strap": "strap",
    "pouch": "pouch",
    "inner_box": "box",
    "carton": "carton",
    "leaflet": "leaflet",
}
STANDINGS = {"read": "read", "doubtful": "doubtful", "absent": "not seen"}
NAMED_BY: dict[NamedBy, str] = {
    "label": "a word or sign beside it",
    "form": "its form",
    "place": "nothing but its place",
    "person": "a person",
}
REASONS = {
    "needs_another_letter": "it fits only if one of its letters is another",
    "often_misread": "such ink is more often the rest of something longer, or a worn letter",
    "unknown_form": "the scheme does not have this form",
    "may_end_a_model": "it may be the end of a model's name",
    "may_be_another_letter": "the letter may be another, or one beside it may be missing",
    "no_whole_date": "as a date it is not whole, or no calendar has it",
    "short_code": "it is very short, and much else may look like it",
    "end_cut": "its end is cut by the border of the picture, or hidden",
    "lost_letter": "letters before it may be lost: the ground there is not plain, or no other "
    "print of its scheme stands beside it",
    "runs_on": "the print goes on behind it, so it may be part of something longer",
    "look_alike_letter": "a letter looks like another, such as the letter O and zero",
    "letters_not_certain": "its letters are not certain",
    "named_by_place": "only its place says what it may be",
    "readers_differ": "the two readers see different letters",
    "other_script": "it is in another script",
}
FREE_PRINT = (
    "Nothing beside this print says what it is. Until a person says so, it is no mark: it agrees "
    "with nothing and differs from nothing."
)
NO_MARKS = {"other_text": "print that is no mark", "not_a_mark": "not a mark"}
DISPOSITIONS = {
    "refuse": "Refused at the door",
    "release": "Released by a person",
    "release_limited": "Released by a person, with limits",
    "crisis_reserve": "Put into the crisis reserve by a person",
    "downgrade": "Down-graded to a face mask by a person, relabelled, no respiratory protection",
    "hold": "Hold, information awaited",
    "hold_conflict": "Hold, conflict, evidence kept",
    "return": "Return to the supplier",
    "hand_over": "Handed to an authority",
    "destroy": "Destroyed under control",
    "discard": "Discarded for hygiene",
    "lift_hold": "Hold lifted",
    "keep_in": "Kept in, in spite of its outcome",
    "ask_holder": "Ask the approval holder or the body",
    "holder_answered": "The approval holder or the body answered",
    "laboratory": "Send to a laboratory",
    "agree": "A second person agrees",
    "dissent": "Dissent",
    "dispose": "Dispose of",
}
RELEASED = {
    "release": "Released by",
    "release_limited": "Released with limits by",
    "crisis_reserve": "Put into the crisis reserve by",
    "downgrade": "Down-graded to a face mask, no respiratory protection, by",
}
#: What an answer of the holder says.
ANSWERS = {"agrees": "as printed", "differs": "something else than the print"}
LIST_STATES = {
    "listed_agrees": "{key} is on your list, and the fields compared agree with the print.",
    "listed_differs": "{key} is on your list, and the print differs from the entry.",
    "listed_ended": "{key} is on your list, and the entry has ended.",
    "near": "{key} is not on your list. A near entry stands there; near is not equal.",
    "not_listed": "{key} was not found on your list. Causes can be innocent.",
    "list_too_old": "{key} was not found, and your list is older than the limit set.",
    "no_list_for_scheme": "Your list has no entries for this scheme, so nothing was compared.",
    "nothing_to_look_up": "Nothing was read that could be looked up on your list.",
}

TOGETHER = (
    "The photos were checked together: a mark may stand on another surface, and what stands on "
    "two surfaces must agree."
)
NEVER_TESTED = (
    "Filtration, breathing resistance, leakage and fit were not tested.",
    "Who made the goods was not established.",
)
LAST_WORD = (
    (
        "Agreement with a list does not show that goods come from the party listed, because "
        "numbers and marks can be copied."
    ),
    "Absence from your list does not show that an approval is missing.",
    (
        "Questions of status belong to the authority that issued or recognises the approval, "
        "questions of origin to the approval holder or the certifying body, and questions of use "
        "to your respiratory protection programme and licensed professionals."
    ),
    "Nothing here is legal or medical advice.",
    NOT_PROOF,
)
HASHES = (
    "A SHA-256 shows that bytes did not change since it was made.",
    "It does not show that the scene was as it seems, nor that a clock was right.",
)

PAPERS_SENTENCE = (
    "Before these goods can be taken in, the papers named here are needed. Until they are here and "
    "were looked at, the goods stay unused."
)
PAPERS_COMMON = (
    "The name and address of the approval holder or manufacturer",
    "The invoice or delivery note that names model, lot and quantity",
    "A letter of the approval holder that this seller supplies these lots",
    "The instructions for use that belong to this model",
)
#: What a scheme's file names as `papers`, by key.
PAPERS = {
    "us": "The approval label or certificate that shows approval number, model and class",
    "eu.type": "The type-examination certificate with its number, model, class and end date",
    "eu.declaration": "The declaration of conformity of the manufacturer",
    "eu.control": "The evidence of production control, with the name and number of the body",
    "other": "The certificate or licence of the scheme that the print names",
}


def date(day: dt.date | None) -> str:
    """A date as it is written in reports, or that it is not known."""
    return day.isoformat() if day is not None else "on a day not recorded"


def moment(at: dt.datetime) -> str:
    """A moment to the minute, in UTC."""
    return at.astimezone(dt.UTC).strftime("%Y-%m-%d %H:%M UTC")


def reason(name: str) -> str:
    """Why a mark is doubtful; a reason without words here is named as it is."""
    return REASONS.get(name, name.replace("_", " "))


def list_says(match: HolderMatchOut) -> tuple[str, ...]:
    """What the user's list says, which edition, and how old it is."""
    key = f"“{shown(match.looked_up)}”" if match.looked_up else "What was read"
    if not match.list_name:
        return (match.says or "There was no list to compare with.",)
    said = [match.says or LIST_STATES[match.state].format(key=key)]
    if match.holder:
        status = f", status {shown(match.status)}" if match.status else ""
        said.append(f"Entry: holder “{shown(match.holder)}”{status}.")
    said += [
        f"Near, not equal: “{shown(near.approval_number)}” of “{shown(near.holder)}”; "
        f"printed {key}."
        for near in match.near
    ]
    said += [shown(one.says) for one in match.searched if one.says]
    age = f", {match.list_age_days} days old" if match.list_age_days is not None else ""
    edition = f", edition {match.list_edition}" if match.list_edition is not None else ""
    checked = f", checked {date(match.list_checked_on)}"
    said.append(f"List: “{shown(match.list_name)}”{edition}{checked}{age}.")
    if match.list_too_old:
        said.append("The list is older than the limit set, so bring it up to date.")
    if match.fictional:
        said.append("The list is FICTIONAL and is for trying things out only.")
    return tuple(said)
