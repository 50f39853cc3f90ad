"""What a person may look at on a unit beside its print, and what each answer declares to the rules.

A closed list: the words that a rule knows (`rules/`) are among those declared here; a test
shows it. Whatever was not answered was not looked at. What would ruin a mask or harm whoever does
it (fire, force, wearing it to see) is not among them, and never will be.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from inkwitness.errors import BadInput

#: The value of each look that nobody answered.
NOT_LOOKED_AT = "not_looked_at"


@dataclass(frozen=True, slots=True)
class Look:
    """One thing to look at. `answers` has what may be answered, with the words that it declares.

    `group`: `build` (how it is made), `state` (in what condition it is), `signs` (print that is a
    picture), `papers` (what a register or paper said) or `rough`, which declares nothing: it stands
    in reports with its limits and enters no outcome.
    """

    name: str
    group: str
    answers: Mapping[str, tuple[str, ...]]


def _sign(name: str, word: str, group: str = "signs") -> Look:
    return Look(name, group, {"no": (), "yes": (word,)})


LOOKS: tuple[Look, ...] = (
    Look("fastening", "build", {"head_straps": ("head_straps",), "ear_loops": ("ear_loops",)}),
    Look("nose_clip", "build", {"there": ("nose_clip",), "absent": ("no_nose_clip",)}),
    Look("seams", "build", {"whole": ("seams_whole",), "open": ("seams_open",)}),
    Look("valve", "build", {"none": ("no_valve",), "there": ("valve",)}),
    Look("kind", "build", {"one_piece": ("one_piece",), "filter_changes": ("replaceable_filter",)}),
    _sign("decorated", "decorated", "build"),
    _sign("magenta", "magenta", "build"),
    Look(
        "packaging",
        "state",
        {
            "sealed": ("packaging_sealed",),
            "opened": ("packaging_opened",),
            "damaged": ("packaging_damaged",),
            "none": ("loose",),
        },
    ),
    Look("straps", "state", {"whole": ("straps_whole",), "cracked": ("straps_cracked",)}),
    _sign("worn", "worn", "state"),
    _sign("second_sticker", "second_sticker", "state"),
    _sign("no_print", "no_print_seen", "signs"),
    _sign("agency_logo", "agency_logo_seen"),
    _sign("maker_logo", "maker_logo_seen"),
    _sign("ce_logo", "ce_logo_seen"),
    _sign("fda_logo", "fda_logo_seen"),
    _sign("kcs_logo", "kcs_logo_seen"),
    _sign("passing_mark", "passing_mark_seen"),
    _sign("hourglass", "hourglass_seen"),
    _sign("information_symbol", "information_symbol_seen"),
    _sign("storage_symbol", "storage_symbol_seen"),
    _sign("private_label", "private_label", "papers"),
    Look("body_scope", "papers", {"for_ppe": (), "not_for_ppe": ("body_not_for_ppe",)}),
    Look("certificate_body", "papers", {"same": (), "other": ("certificate_of_other_body",)}),
    Look("water_hold", "rough", {"held": (), "let_through": ()}),
)
_BY_NAME = {look.name: look for look in LOOKS}
#: Words by which one knows that somebody looked at how a unit is made.
BUILD_WORDS = frozenset(
    word
    for look in LOOKS
    if look.group == "build"
    for words in look.answers.values()
    for word in words
)
#: Words that hold for the mask and its straps alone.
_OF_THE_MASK = frozenset({"no_print_seen"})
#: Measures of one unit: name to its unit and the most that can be meant.
MEASURES: dict[str, tuple[str, float]] = {
    "layers": ("", 20),
    "mass": ("g", 500),
    "width": ("mm", 500),
    "height": ("mm", 500),
}


def checked(answers: Mapping[str, str]) -> dict[str, str]:
    """The answers that say something, in the order of the list. Raises BadInput for others."""
    unknown = [name for name in answers if name not in _BY_NAME]
    if unknown:
        raise BadInput("no_look", name=unknown[0], known=_names())
    for name, answer in answers.items():
        may = (*_BY_NAME[name].answers, NOT_LOOKED_AT)
        if answer not in may:
            raise BadInput("look_answers", name=name, allowed=", ".join(may))
    given = {name: answer for name, answer in answers.items() if answer != NOT_LOOKED_AT}
    return {look.name: given[look.name] for look in LOOKS if look.name in given}


def checked_measures(measures: Mapping[str, float]) -> dict[str, float]:
    """The measures of a unit. Raises BadInput for a name or a size that cannot be meant."""
    for name, value in measures.items():
        if name not in MEASURES:
            raise BadInput("no_measure", name=name, known=", ".join(MEASURES))
        unit, most = MEASURES[name]
        if not 0 < value <= most:
            raise BadInput("measure_range", name=name, most=f"{most:g}", unit=unit)
    return {name: float(measures[name]) for name in MEASURES if name in measures}


def declared_with(
    declared: frozenset[str], answers: Mapping[str, str], surface: str
) -> frozenset[str]:
    """What is declared of a photo, with the answers on its unit: these replace words before."""
    looked = [_BY_NAME[name] for name in answers if name in _BY_NAME]
    replaced = {word for look in looked for words in look.answers.values() for word in words}
    if surface not in ("facepiece", "strap"):
        replaced -= _OF_THE_MASK
    said = words_of(answers)
    if surface not in ("facepiece", "strap"):
        said -= _OF_THE_MASK
    return (declared - replaced) | said


def words_of(answers: Mapping[str, str]) -> frozenset[str]:
    """The words that the answers declare."""
    return frozenset(
        word
        for name, answer in answers.items()
        if name in _BY_NAME
        for word in _BY_NAME[name].answers.get(answer, ())
    )


def pairs(texts: list[str]) -> dict[str, str]:
    """Answers written as NAME=ANSWER, checked. Raises BadInput."""
    found = {}
    for text in texts:
        name, sign, answer = text.partition("=")
        if not sign:
            raise BadInput("no_look_pair", text=text, known=_names())
        found[name.strip()] = answer.strip()
    return checked(found)


def _names() -> str:
    return ", ".join(_BY_NAME)
