"""Loading the rules folder: one file a scheme in `schemes/` or a folder of it, `common.yaml`,
`across.yaml`, `marks.yaml` (what a mark is), `print.yaml` (the rest of the print),
`messages/*/findings.yaml`. A scheme is also found beside `common.yaml`.
"""

import hashlib
from collections.abc import Mapping
from dataclasses import fields, replace
from functools import cache
from pathlib import Path
from typing import TypeVar

from inkwitness import phrases
from inkwitness.marks.grammar import Grammar, Pattern, Traits
from inkwitness.marks.vocabulary import LabelAlone, Printing, Vocabulary
from inkwitness.phrases import rules_folder as default_folder
from inkwitness.rulebook import schema
from inkwitness.rulebook.papers import PapersFile, check_papers, check_wanted
from inkwitness.rulebook.values import (
    AcrossFile,
    CommonFile,
    MarkText,
    Messages,
    PrintFile,
    RegistersFile,
    Rule,
    Rulebook,
    Scheme,
    TraitsFile,
)
from inkwitness.yaml_text import BadRules, YamlText, read_yaml

#: Findings that the judge makes itself, not a rule of a file.
JUDGE_FINDINGS = (
    "not-seen-in-this-photo",
    "script-not-read",
    "print-left-could-be-it",
    "fewer-prints-than-names",
)
#: Sentences around that of a rule: its mark is doubtful or was not seen, what to do next.
FRAMES = ("doubtful-reading", "unseen-mark", "next-step-missing", "next-step-conflict")
T = TypeVar("T")
_NOT_SCHEMES = (
    "common.yaml",
    "across.yaml",
    "marks.yaml",
    "print.yaml",
    "registers.yaml",
    "papers.yaml",
)
#: Read elsewhere: what is asked at intake, and what a site wants (`consignment.intake`, `.use`),
#: and how tables of others head their columns (`holders.files.columns`).
_OF_OTHERS = ("intake.yaml", "list-headings.yaml", "site-policy.yaml")


def load(folder: Path | None = None) -> Rulebook:
    """Read every file of the folder. Raises BadRules with all problems, one a line."""
    folder = folder or default_folder()
    for name in _NOT_SCHEMES:
        if not (folder / name).is_file():
            raise BadRules(f"{folder}: there is no {name}; name a folder that holds the rules")
    texts = texts_of(folder)
    messages = _sentences(folder)
    return build(texts, messages, edition_of(folder))


def check_file(path: Path) -> tuple[Rulebook, str]:
    """Read one file in the company of the installed others; the rule book and the file's scheme.

    The scheme is empty for `common.yaml` and `across.yaml`. Raises BadRules.
    """
    folder = default_folder()
    texts = texts_of(folder)
    texts[path.name] = read_yaml(path)
    messages = _sentences(folder)
    own = path.name in _NOT_SCHEMES
    return build(texts, messages, edition_of(folder)), "" if own else path.stem


def texts_of(folder: Path) -> dict[str, YamlText]:
    """Every file that judges print, by its name. Raises BadRules, for two of one name as well."""
    texts: dict[str, YamlText] = {}
    for path in sorted(_files(folder), key=lambda path: path.name):
        if path.name in texts:
            where = path.relative_to(folder).as_posix()
            raise BadRules(f"{where}:1: another file is called {path.name}; keep one of them")
        if path.name not in _OF_OTHERS:
            texts[path.name] = read_yaml(path)
    return texts


def _files(folder: Path) -> list[Path]:
    return [*folder.glob("*.yaml"), *folder.glob("schemes/**/*.yaml")]


def _sentences(folder: Path) -> list[YamlText]:
    """The sentences of the rules in each language: the part of the phrase book that rules name."""
    found = sorted((folder / "messages").glob("*/findings.yaml"))
    return [read_yaml(path, phrases.named(path)) for path in found]


@cache
def shipped() -> Rulebook:
    """The rule book that this program came with, read once a process. Raises BadRules."""
    return load()


def files_of_edition(folder: Path) -> list[Path]:
    """All files of rules and their sentences: what an edition is a hash over."""
    return sorted([*_files(folder), *folder.glob("messages/*/findings.yaml")])


def edition_of(folder: Path) -> str:
    """A short hash over the names and bytes of all files of rules and their sentences."""
    digest = hashlib.sha256()
    for path in files_of_edition(folder):
        digest.update(path.relative_to(folder).as_posix().encode() + b"\0")
        digest.update(path.read_bytes() + b"\0")
    return digest.hexdigest()[:12]


def build(texts: dict[str, YamlText], messages: list[YamlText], edition: str) -> Rulebook:
    """Make a rule book of parsed files (name to text). Raises BadRules with all problems."""
    problems: list[str] = []
    macros = _macros(texts["common.yaml"])
    texts = {
        name: replace(text, content=expanded(text.content, macros)) for name, text in texts.items()
    }
    common = _shaped(texts["common.yaml"], CommonFile, problems)
    across = _shaped(texts["across.yaml"], AcrossFile, problems)
    traits = _shaped(texts["marks.yaml"], TraitsFile, problems)
    other = _shaped(texts["print.yaml"], PrintFile, problems)
    dated = _shaped(texts["registers.yaml"], RegistersFile, problems)
    papers = _shaped(texts["papers.yaml"], PapersFile, problems)
    schemes: list[Scheme] = []
    of_schemes: list[tuple[YamlText, Scheme]] = []
    for name, text in texts.items():
        if name not in _NOT_SCHEMES:
            scheme = _shaped(text, Scheme, problems)
            if scheme is not None:
                problems += schema.check_scheme(text, scheme)
                if name != f"{scheme.scheme}.yaml":
                    problems.append(f"{name}:1: the scheme '{scheme.scheme}' has another file name")
                schemes.append(scheme)
                of_schemes.append((text, scheme))
    spoken = [(text, _shaped(text, Messages, problems)) for text in messages]
    if common is None or across is None or traits is None or other is None or dated is None:
        raise BadRules("\n".join(problems))
    if papers is None:
        raise BadRules("\n".join(problems))
    if any(found is None for _, found in spoken):
        raise BadRules("\n".join(problems))
    problems += schema.check_common(texts["common.yaml"], common)
    problems += schema.check_across(texts["across.yaml"], across)
    problems += schema.check_print(texts["print.yaml"], other)
    problems += schema.check_registers(texts["registers.yaml"], dated)
    known = {scheme.scheme for scheme in schemes}
    problems += check_papers(texts["papers.yaml"], papers, dated.registers, known)
    for text, scheme in of_schemes:
        problems += check_wanted(text, scheme, papers)
    rules = _all_rules(schemes, across)
    problems += _without_register(rules, dated)
    languages = {}
    for text, found in spoken:
        assert found is not None
        all_ = found.language == "en"
        problems += schema.check_messages(text, found, rules, (*JUDGE_FINDINGS, *FRAMES), all_=all_)
        languages[found.language] = found
    problems += _ids(rules, schemes)
    if "en" not in languages:
        problems.append("messages/en/findings.yaml is missing; every rule needs a sentence")
    if problems:
        raise BadRules("\n".join(problems))
    return Rulebook(
        schemes=tuple(schemes),
        common=common,
        across=across,
        other_print=other,
        grammars=_grammars(schemes, common, traits.traits),
        rules=rules,
        vocabulary=_vocabulary(other, schemes),
        edition=edition,
        languages=languages,
        papers=papers,
        registers=dated.registers,
    )


def _macros(common: YamlText) -> dict[str, str]:
    content = common.content
    found = content.get("macros") if isinstance(content, dict) else None
    return {str(k): str(v) for k, v in found.items()} if isinstance(found, dict) else {}


def expanded(content: object, macros: dict[str, str]) -> object:
    """The content with every `@name@` replaced by the macro of that name."""
    if isinstance(content, str):
        for name, text in macros.items():
            content = content.replace(f"@{name}@", text)
        return content
    if isinstance(content, list):
        return [expanded(child, macros) for child in content]
    if isinstance(content, dict):
        return {key: expanded(child, macros) for key, child in content.items()}
    return content


def _shaped(text: YamlText, kind: type[T], problems: list[str]) -> T | None:
    try:
        return schema.shaped(text, kind)
    except BadRules as error:
        problems.append(error.message)
        return None


def _all_rules(schemes: list[Scheme], across: AcrossFile) -> tuple[Rule, ...]:
    own = [replace(rule, scheme=scheme.scheme) for scheme in schemes for rule in scheme.rules]
    return (*own, *across.rules)


def _without_register(rules: tuple[Rule, ...], dated: RegistersFile) -> list[str]:
    known = {register.register for register in dated.registers}
    return [
        f"{rule.scheme or 'across'}.yaml:1: {rule.id}: no register '{asked.register}'"
        for rule in rules
        if (asked := rule.check.in_register) is not None and asked.register not in known
    ]


def _ids(rules: tuple[Rule, ...], schemes: list[Scheme]) -> list[str]:
    seen: set[str] = set()
    problems = []
    for rule in rules:
        if rule.id in seen:
            problems.append(f"{rule.scheme or 'across'}.yaml:1: '{rule.id}' stands in two files")
        seen.add(rule.id)
    known = {scheme.scheme for scheme in schemes}
    for rule in rules:
        problems += [
            f"{rule.scheme or 'across'}.yaml:1: {rule.id}: no scheme '{name}'"
            for name in (*rule.when.claimed, *rule.when.not_claimed)
            if name not in known
        ]
    for scheme in schemes:
        for claim in scheme.claimed_by:
            problems += [
                f"{scheme.scheme}.yaml:1: claimed_by: no scheme '{name}'"
                for name in claim.unless_claimed
                if name not in known
            ]
    return problems


def _grammars(
    schemes: list[Scheme], common: CommonFile, traits: Mapping[str, Traits]
) -> tuple[Grammar, ...]:
    own = [_grammar(mark, scheme.scheme, traits) for scheme in schemes for mark in scheme.marks]
    shared = [_grammar(mark, "", traits) for mark in common.marks]
    return tuple(grammar for grammar in (*own, *shared) if grammar.patterns)


def _grammar(mark: MarkText, scheme: str, traits: Mapping[str, Traits]) -> Grammar:
    patterns = tuple(
        Pattern(
            p.regex,
            p.normal,
            tuple(p.parts.items()),
            p.strict,
            p.always_doubtful,
            p.often_a_rest,
        )
        for p in mark.grammar
    )
    own = traits.get(mark.mark, Traits())
    return Grammar(mark.mark, scheme, patterns, mark.anchor, own, mark.near)


def _vocabulary(other: PrintFile, schemes: list[Scheme]) -> Vocabulary:
    return Vocabulary(
        function_words=_words(*other.function_words.values()),
        known_words=_words(*other.known_words.values()),
        other_script_words=tuple(other.other_script_words.split()),
        name_endings=_words(other.name_endings),
        legal_endings=_words(other.legal_endings),
        other_script_endings=tuple(other.other_script_endings.split()),
        no_mark=tuple(entry.regex for entry in other.no_mark),
        other_lines=tuple(entry.regex for entry in other.other_lines),
        never_models=other.never_models,
        labels_alone=tuple(LabelAlone(entry.reads, entry.regex) for entry in other.labels_alone),
        labels_beside=tuple(LabelAlone(entry.reads, entry.regex) for entry in other.labels_beside),
        printing=_together([Printing(parted=other.parted), *(one.printing for one in schemes)]),
    )


def _together(found: list[Printing]) -> Printing:
    """How the marks of all schemes stand: any of them may be printed on what is looked at."""
    names = [one.name for one in fields(Printing)]
    return Printing(**{n: tuple(part for one in found for part in getattr(one, n)) for n in names})


def _words(*texts: str) -> frozenset[str]:
    return frozenset(word for text in texts for word in text.upper().split())
