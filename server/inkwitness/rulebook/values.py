"""Values of the rule book: what a rules file says, after it was read and checked."""

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Literal

from inkwitness.marks.grammar import Grammar, Traits
from inkwitness.marks.vocabulary import PLAIN, Printing, Vocabulary
from inkwitness.phrases import comma
from inkwitness.rulebook.kinds import STRICT, Aspect, Check, Form, Severity, Surface, When, Whole
from inkwitness.rulebook.paper import WantedPaper
from inkwitness.rulebook.source import Source as Source

if TYPE_CHECKING:
    from inkwitness.rulebook.papers import PapersFile

Script = Literal["latin", "han", "hangul", "kana"]


@dataclass(frozen=True, slots=True)
class Given:
    """What is known beside the print in an example."""

    __pydantic_config__ = STRICT
    surface: Surface = "facepiece"
    whole: Whole = "yes"
    declared: tuple[str, ...] = ()
    told: Mapping[str, str] = field(default_factory=dict)
    on: dt.date = dt.date(2026, 11, 25)
    legible: bool = True
    also: tuple["Face", ...] = ()
    doubtful: tuple[str, ...] = ()
    codes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Face:
    """Another photo of the same unit in an example."""

    __pydantic_config__ = STRICT
    print: str
    surface: Surface
    whole: Whole = "yes"


@dataclass(frozen=True, slots=True)
class Example:
    """Print and what must come of it. Lines are separated by ` / `.

    `says` must stand in the English sentence; `as_severity` and `question` where they differ from
    the rule's own.
    """

    __pydantic_config__ = STRICT
    print: str
    given: Given = field(default_factory=Given)
    says: str = ""
    as_rule: str = ""
    question: bool = False

    @property
    def lines(self) -> tuple[str, ...]:
        return tuple(line for line in self.print.split(" / ") if line)


@dataclass(frozen=True, slots=True)
class Rule:
    """One rule. `scheme` is the id of its file, empty for a rule across schemes.

    `asks` makes a question of it; while a rule with `cannot_tell` is raised, its aspect cannot be
    told, whatever its severity.
    """

    __pydantic_config__ = STRICT
    id: str
    severity: Severity
    check: Check
    source: Source
    raises: tuple[Example, ...]
    not_raised: tuple[Example, ...]
    when: When = field(default_factory=When)
    aspect: Aspect = "marks"
    script: Script = "latin"
    asks: bool = False
    cannot_tell: bool = False
    innocent: bool = False
    scheme: str = ""


@dataclass(frozen=True, slots=True)
class PatternText:
    """One way in which a mark is printed (see `marks.grammar.Pattern`)."""

    __pydantic_config__ = STRICT
    regex: str
    normal: str
    parts: Mapping[str, int] = field(default_factory=dict)
    strict: bool = True
    always_doubtful: bool = False
    often_a_rest: bool = False


@dataclass(frozen=True, slots=True)
class GrammarExample:
    """A line of print, the ink of the mark in it, and its normal form (both empty: no match).

    `doubtful`: the line is as a reader may take it, and the mark is only asked about.
    """

    __pydantic_config__ = STRICT
    line: str
    printed: str = ""
    value: str = ""
    doubtful: bool = False


@dataclass(frozen=True, slots=True)
class MarkText:
    """One mark of a scheme: where it must, should or may stand, and how it is printed.

    A letter joined to it makes another word, but for the sides in `may_join`. `near`: see Grammar.
    """

    __pydantic_config__ = STRICT
    mark: str
    says: str
    source: Source
    grammar: tuple[PatternText, ...] = ()
    examples: tuple[GrammarExample, ...] = ()
    required_on: tuple[Surface, ...] = ()
    recommended_on: tuple[Surface, ...] = ()
    may_stand_on: tuple[Surface, ...] = ()
    since: dt.date | None = None
    anchor: bool = False
    may_join: tuple[Literal["before", "after"], ...] = ()
    near: tuple[str, ...] = ()
    script: Script = "latin"


@dataclass(frozen=True, slots=True)
class ClaimedBy:
    """A mark that claims the scheme, unless one of other schemes, claimed for sure, explains it."""

    __pydantic_config__ = STRICT
    mark: str
    matches: str = ""
    scheme: str = ""
    unless_claimed: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class FilterClass:
    """What a class means: minimum percentages, flow in L/min, uses (see `rulebook.uses`)."""

    __pydantic_config__ = STRICT
    name: str
    aerosol: str
    good_for: str
    not_for: str
    source: Source
    minimum_efficiency: float | None = None
    flow_l_min: float | None = None
    leakage_percent: float | None = None
    oil: bool = False
    test: str = ""


@dataclass(frozen=True, slots=True)
class PublicList:
    __pydantic_config__ = STRICT
    name: str
    run_by: str
    look_up_by: str
    #: False where the public list holds bodies, not goods: papers are looked up instead.
    lists_goods: bool = True


@dataclass(frozen=True, slots=True)
class Scheme:
    """One marking scheme: who runs it, what it marks, its rules."""

    __pydantic_config__ = STRICT
    scheme: str
    title: str
    jurisdiction: str
    authority: str
    kind: Literal["respirator", "medical_mask"]
    status: Literal["ready", "draft"]
    documents: tuple[Source, ...]
    list_key: tuple[str, ...]
    public_list: PublicList | None
    ask: str
    claimed_by: tuple[ClaimedBy, ...]
    classes: tuple[FilterClass, ...]
    marks: tuple[MarkText, ...]
    rules: tuple[Rule, ...]
    cautions: tuple[str, ...]
    verify: tuple[str, ...] = ()
    papers: tuple[WantedPaper, ...] = ()
    printing: Printing = PLAIN
    #: The day of this edition of the file: what changed in law or standards later is not in it.
    as_of: dt.date | None = None


@dataclass(frozen=True, slots=True)
class CommonFile:
    """Marks that all schemes share, and pieces of patterns that the files share."""

    __pydantic_config__ = STRICT
    marks: tuple[MarkText, ...]
    macros: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class TraitsFile:
    """What a mark is, whatever its scheme, by its name."""

    __pydantic_config__ = STRICT
    source: Source
    traits: Mapping[str, Traits]


@dataclass(frozen=True, slots=True)
class OtherPrint:
    """A pattern of print that is no mark, with examples in which it stands."""

    __pydantic_config__ = STRICT
    says: str
    regex: str
    examples: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class LabelText:
    """A line that is only a label; `reads` is put in front of the line below or beside it."""

    __pydantic_config__ = STRICT
    mark: str
    reads: str
    regex: str
    examples: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class FreeExample:
    """Print, lines separated by ` / `, and the first that is offered for a mark (none: empty)."""

    __pydantic_config__ = STRICT
    print: str
    manufacturer: str = ""
    model: str = ""
    lot: str = ""


@dataclass(frozen=True, slots=True)
class PrintFile:
    """The rest of the print: words and patterns of what is no mark (`marks.vocabulary`)."""

    __pydantic_config__ = STRICT
    source: Source
    function_words: Mapping[str, str]
    known_words: Mapping[str, str]
    other_script_words: str
    name_endings: str
    legal_endings: str
    other_script_endings: str
    no_mark: tuple[OtherPrint, ...]
    other_lines: tuple[OtherPrint, ...]
    never_models: tuple[str, ...]
    parted: tuple[str, ...]
    labels_alone: tuple[LabelText, ...]
    labels_beside: tuple[LabelText, ...]
    examples: tuple[FreeExample, ...] = ()


@dataclass(frozen=True, slots=True)
class AcrossFile:
    """Rules across schemes."""

    __pydantic_config__ = STRICT
    rules: tuple[Rule, ...]
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Entry:
    """One entry of a register: a pattern, and what it stands for."""

    __pydantic_config__ = STRICT
    matches: str
    says: str
    source: Source | None = None


@dataclass(frozen=True, slots=True)
class Register:
    """Facts that change (numbers of bodies, editions), as they were on a day.

    It speaks of marks named `mark` whose text (`of` value or ink) matches `about`.
    """

    __pydantic_config__ = STRICT
    register: str
    says: str
    as_of: dt.date
    source: Source
    mark: str
    about: str
    entries: tuple[Entry, ...]
    of: Form = "value"


@dataclass(frozen=True, slots=True)
class RegistersFile:
    """Registers: dated facts that the rules rest on."""

    __pydantic_config__ = STRICT
    registers: tuple[Register, ...]


@dataclass(frozen=True, slots=True)
class Messages:
    """The sentences of one language. `made_by` says whether a person reviewed them."""

    __pydantic_config__ = STRICT
    language: str
    made_by: str
    marks: Mapping[str, str]
    surfaces: Mapping[str, str]
    either: str
    messages: Mapping[str, str]
    reviewed_by: str = ""


@dataclass(frozen=True, slots=True, eq=False)
class Rulebook:
    """All rules files together. `edition` changes with any letter of any file."""

    schemes: tuple[Scheme, ...]
    common: CommonFile
    across: AcrossFile
    other_print: PrintFile
    grammars: tuple[Grammar, ...]
    rules: tuple[Rule, ...]
    vocabulary: Vocabulary
    edition: str
    languages: Mapping[str, Messages]
    papers: "PapersFile"
    registers: tuple[Register, ...] = ()

    def register(self, name: str) -> Register | None:
        return next((register for register in self.registers if register.register == name), None)

    def scheme(self, name: str) -> Scheme | None:
        return next((scheme for scheme in self.schemes if scheme.scheme == name), None)

    def rule(self, name: str) -> Rule | None:
        return next((rule for rule in self.rules if rule.id == name), None)

    def messages(self, language: str = "en") -> Messages:
        """The sentences of a language; English where there is no such file."""
        return self.languages.get(language, self.languages["en"])

    def says(self, rule: str, values: Mapping[str, str], language: str = "en") -> str:
        """The sentence of a rule with its values; marked as English where it is in that alone.

        Several marks are named one by one (`manufacturer,model`). The value `frames` names the
        sentences around it: what rests on a doubtful reading is never said to be printed.
        """
        chosen = self.messages(language)
        if rule not in chosen.messages:
            return f"[en] {self.says(rule, values)}"
        # A check that was kept from before the line was told has the ink alone.
        filled = {"line": values.get("printed", ""), **values}
        for name in ("mark", "other_mark"):
            if name in filled:
                said = [chosen.marks.get(m, m.replace("_", " ")) for m in filled[name].split(",")]
                filled[name] = f" {chosen.either} ".join(said)
        for name in {"surface", "place", "other_place"} & filled.keys():
            said = [chosen.surfaces.get(one, one) for one in filled[name].split(", ")]
            filled[name] = comma(chosen.language).join(said)
        sentence = chosen.messages[rule].format_map(filled)
        for frame in filter(None, values.get("frames", "").split(",")):
            sentence = chosen.messages[frame].format_map({**filled, "sentence": sentence})
        return sentence
