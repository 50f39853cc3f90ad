"""The edge where YAML becomes rule book values: pydantic checks shapes, then rules among parts.

Errors name file, line and what is expected. `json_schema` gives the same shapes to editors.
"""

import re
import string
from collections.abc import Iterable
from typing import Any, TypeVar

from pydantic import TypeAdapter, ValidationError

from inkwitness.marks.text import ready
from inkwitness.rulebook.values import (
    AcrossFile,
    CommonFile,
    MarkText,
    Messages,
    PatternText,
    PrintFile,
    RegistersFile,
    Rule,
    Scheme,
)
from inkwitness.yaml_text import BadRules, Place, YamlText

T = TypeVar("T")

#: What Python `re` has and ECMAScript has not (or reads otherwise).
_NOT_SHARED = re.compile(r"\(\?P|\(\?[aiLmsux]+[):-]|\\A|\\Z|\(\?>|\(\?\(|[*+?}]\+|\\N\{")
_ID = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")
#: What is a pattern of how marks stand on goods (`Printing`).
_PRINTED = ("parted", "class_in_code", "own_number", "reuse_behind", "behind_dash", "before_code")

#: Adapters are slow to make, and the kinds of file are few.
_ADAPTERS: dict[type, TypeAdapter[Any]] = {}


def _adapter(kind: type) -> TypeAdapter[Any]:
    if kind not in _ADAPTERS:
        _ADAPTERS[kind] = TypeAdapter(kind)
    return _ADAPTERS[kind]


def shaped(text: YamlText, kind: type[T]) -> T:
    """The content of a file as `kind`. Raises BadRules naming file and line."""
    content = text.content
    if not isinstance(content, dict):
        raise BadRules(f"{text.name}:1: expected a mapping of keys at the top")
    try:
        made: T = _adapter(kind).validate_python(_with_short_examples(content))
        return made
    except ValidationError as error:
        raise BadRules("\n".join(_explain(text, problem) for problem in error.errors())) from error


def json_schema(kind: type[T]) -> dict[str, Any]:
    """The JSON Schema of a kind of file."""
    return _adapter(kind).json_schema()


def check_scheme(text: YamlText, scheme: Scheme) -> list[str]:
    """What the shapes cannot say, for a scheme's file: one line a problem, empty where clean."""
    problems = _marks(text, scheme.marks) + _rules(text, scheme.rules)
    for i, rule in enumerate(scheme.rules):
        if scheme.status == "draft" and rule.severity in ("conflict", "missing"):
            problems.append(
                _at(text, ("rules", i), f"{rule.id}: a draft scheme has cautions and notes only")
            )
    names = {mark.mark for mark in scheme.marks}
    required = {
        r.check.requires_mark.mark
        for r in scheme.rules
        if r.check.requires_mark is not None and r.severity == "missing"
    }
    for i, mark in enumerate(scheme.marks):
        if scheme.status == "ready" and mark.required_on and mark.mark not in required:
            problems.append(
                _at(text, ("marks", i), f"{mark.mark} is required but no rule misses it")
            )
    problems += [
        _at(text, ("rules", i), f"{r.id}: no surface is named for {r.check.requires_mark.mark}")
        for i, r in enumerate(scheme.rules)
        if r.check.requires_mark is not None and not _surfaces(scheme, r)
    ]
    for name in _PRINTED:
        for i, regex in enumerate(getattr(scheme.printing, name)):
            problems += _pattern(text, ("printing", name, i), regex)
    problems += [
        _at(text, ("printing", "either_behind", i), f"'{sign}' is not among behind_class")
        for i, either in enumerate(scheme.printing.either_behind)
        for sign in either
        if sign not in scheme.printing.behind_class
    ]
    for i, rest in enumerate(scheme.printing.rests):
        for regex in (rest.regex, *rest.backed_by.values()):
            problems += _pattern(text, ("printing", "rests", i), regex)
    for i, claim in enumerate(scheme.claimed_by):
        if claim.matches:
            problems += _pattern(text, ("claimed_by", i), claim.matches)
    problems += [
        _at(text, ("list_key",), f"list key '{key}' is no mark of this file or of common.yaml")
        for key in scheme.list_key
        if key not in names | {"manufacturer", "model", "body_number", "filter_class"}
    ]
    return problems


def _surfaces(scheme: Scheme, rule: Rule) -> tuple[str, ...]:
    """The surfaces on which a required mark is looked for."""
    check = rule.check.requires_mark
    if check is None or check.on:
        return check.on if check is not None else ()
    mark = next((mark for mark in scheme.marks if mark.mark == check.mark), None)
    return (*mark.required_on, *mark.recommended_on) if mark is not None else ()


def check_common(text: YamlText, common: CommonFile) -> list[str]:
    """What is wrong with `common.yaml`, a sentence each."""
    return _marks(text, common.marks)


def check_print(text: YamlText, other: PrintFile) -> list[str]:
    """Each pattern of `print.yaml` is one, and stands in its own examples."""
    problems: list[str] = []
    for key in ("no_mark", "other_lines", "labels_alone", "labels_beside"):
        for i, entry in enumerate(getattr(other, key)):
            place: Place = (key, i)
            found = _pattern(text, place, entry.regex)
            problems += found or [
                _at(text, place, f"{example!r} is an example in which the pattern does not stand")
                for example in entry.examples
                if re.search(entry.regex, ready(example).text) is None
            ]
    for name, regexes in (("never_models", other.never_models), ("parted", other.parted)):
        for i, regex in enumerate(regexes):
            problems += _pattern(text, (name, i), regex)
    return problems


def check_across(text: YamlText, across: AcrossFile) -> list[str]:
    """What is wrong with `across.yaml`, a sentence each."""
    return _rules(text, across.rules)


def check_registers(text: YamlText, dated: RegistersFile) -> list[str]:
    """Patterns that both languages share, and entries that the register speaks of."""
    problems: list[str] = []
    for i, register in enumerate(dated.registers):
        problems += _pattern(text, ("registers", i), register.about)
        for j, entry in enumerate(register.entries):
            problems += _pattern(text, ("registers", i, "entries", j), entry.matches)
    return problems


def check_messages(
    text: YamlText, messages: Messages, rules: Iterable[Rule], extra: Iterable[str], *, all_: bool
) -> list[str]:
    """Each sentence belongs to a rule, each rule has one (where `all_`), each placeholder exists.

    `extra` are keys that no rule has (the judge's own findings).
    """
    known = {rule.id: rule for rule in rules}
    problems: list[str] = []
    for key, sentence in messages.messages.items():
        place: Place = ("messages", key)
        if key not in known and key not in set(extra):
            problems.append(_at(text, place, f"no rule is called '{key}'"))
            continue
        try:
            fields = {name for _, name, _, _ in string.Formatter().parse(sentence) if name}
        except ValueError as error:
            problems.append(_at(text, place, f"{key}: {error}"))
            continue
        gives = _gives(known[key]) if key in known else EXTRA_PLACEHOLDERS
        problems += [
            _at(text, place, f"{key}: there is no value {{{name}}} for this check")
            for name in sorted(fields - gives)
        ]
    if all_:
        missing = [key for key in [*known, *extra] if key not in messages.messages]
        problems += [_at(text, ("messages",), f"no sentence for '{key}'") for key in missing]
    return problems


def _gives(rule: Rule) -> frozenset[str]:
    """The values that the rule's check gives to its sentence."""
    pair = rule.check.not_together
    alone = pair is not None and len(pair.marks) == 1
    return _ONE if alone else PLACEHOLDERS[rule.check.kind]


_BASE = frozenset({"on", "surface"})
_ONE = _BASE | {"mark", "value", "printed", "line"}
#: The values that each kind of check gives to its sentence.
PLACEHOLDERS: dict[str, frozenset[str]] = {
    "requires_mark": _BASE | {"mark"},
    "value_in": _ONE | {"expected"},
    "value_not_in": _ONE,
    "matches": _ONE,
    "matches_not": _ONE,
    "not_together": _ONE | {"other", "other_mark", "other_printed"},
    "digit_count": _ONE | {"count", "expected"},
    "date_order": _ONE | {"other", "other_mark", "other_printed"},
    "date_not_before": _ONE | {"date"},
    "date_not_from": _ONE | {"date"},
    "date_against_today": _ONE | {"months_past"},
    "date_plain": _ONE | {"first", "second"},
    "shelf_life": _ONE | {"other", "other_mark", "other_printed", "months"},
    "percentage_of_class": _ONE | {"class", "minimum"},
    "not_declared": _BASE | {"word"},
    "next_to": _ONE | {"other", "other_mark", "other_printed"},
    "one_value": _ONE | {"other", "other_printed", "place", "other_place"},
    "nothing_read": _BASE,
    "code_agrees": _ONE | {"other", "other_printed"},
    "in_register": _ONE | {"entry", "as_of"},
    "register_age": _ONE | {"register", "as_of"},
}
EXTRA_PLACEHOLDERS = _BASE | {"mark", "rule", "script", "sentence"}


def _with_short_examples(content: dict[str, Any]) -> dict[str, Any]:
    """Examples may be written as their print alone."""
    rules = content.get("rules")
    if not isinstance(rules, list):
        return content
    wide = []
    for rule in rules:
        if isinstance(rule, dict):
            rule = dict(rule)
            for key in ("raises", "not_raised"):
                if isinstance(rule.get(key), list):
                    rule[key] = [
                        {"print": entry} if isinstance(entry, str) else entry for entry in rule[key]
                    ]
        wide.append(rule)
    return {**content, "rules": wide}


def _explain(text: YamlText, problem: Any) -> str:
    place = tuple(problem["loc"])
    where = ".".join(str(part) for part in place)
    if problem["type"] == "unexpected_keyword_argument":
        said = "this key is not known here"
    elif problem["type"] == "missing":
        said = "this key is missing"
    else:
        said = str(problem["msg"])
    return _at(text, place, f"{where}: {said}")


def _at(text: YamlText, place: Place, problem: str) -> str:
    return f"{text.name}:{text.line_of(place)}: {problem}"


def _pattern(text: YamlText, place: Place, regex: str) -> list[str]:
    if _NOT_SHARED.search(regex):
        return [_at(text, place, f"{regex!r}: only what Python re and ECMAScript share may stand")]
    try:
        re.compile(regex)
    except re.error as error:
        return [_at(text, place, f"{regex!r} is no pattern: {error}")]
    return []


def _marks(text: YamlText, marks: tuple[MarkText, ...]) -> list[str]:
    problems: list[str] = []
    for i, mark in enumerate(marks):
        unusable = False
        for j, pattern in enumerate(mark.grammar):
            place: Place = ("marks", i, "grammar", j)
            found = _pattern(text, place, pattern.regex)
            unusable |= bool(found)
            problems += found or _groups(text, place, pattern)
        if mark.grammar and not mark.examples:
            problems.append(_at(text, ("marks", i), f"{mark.mark}: a grammar needs examples"))
        problems += [
            _at(text, ("marks", i, "near", j), f"{form!r}: no pattern reads this form whole")
            for j, form in enumerate(mark.near)
            if not unusable
            and not any(re.fullmatch(pattern.regex, form) for pattern in mark.grammar)
        ]
    return problems


def _groups(text: YamlText, place: Place, pattern: PatternText) -> list[str]:
    count = re.compile(pattern.regex).groups
    used = [int(n) for n in re.findall(r"\{(\d+)\}", pattern.normal)] + list(pattern.parts.values())
    return [
        _at(text, place, f"group {n} is used but the pattern has {count}")
        for n in used
        if n > count
    ]


def _rules(text: YamlText, rules: tuple[Rule, ...]) -> list[str]:
    problems: list[str] = []
    seen: set[str] = set()
    for i, rule in enumerate(rules):
        place: Place = ("rules", i)
        if not _ID.fullmatch(rule.id):
            problems.append(_at(text, place, f"'{rule.id}' is no kebab-case id"))
        if rule.id in seen:
            problems.append(_at(text, place, f"two rules are called '{rule.id}'"))
        seen.add(rule.id)
        if rule.severity == "conflict" and rule.source.known == "from-memory":
            problems.append(
                _at(text, place, f"{rule.id}: a conflict needs a source; from memory is a caution")
            )
        kinds = [name for name in rule.check.__slots__ if getattr(rule.check, name) is not None]
        if len(kinds) != 1:
            expected = ", ".join(rule.check.__slots__)
            problems.append(_at(text, (*place, "check"), f"{rule.id}: exactly one of: {expected}"))
        empty = [
            name
            for name in ("marks", "values", "counts", "words")
            if len(kinds) == 1 and getattr(rule.check.asked, name, ("",)) == ()
        ]
        problems += [
            _at(text, (*place, "check"), f"{rule.id}: '{name}' is empty") for name in empty
        ]
        if not rule.raises or not rule.not_raised:
            problems.append(
                _at(text, place, f"{rule.id}: needs an example that raises it and a near miss")
            )
        if not any(example.says for example in rule.raises):
            problems.append(
                _at(text, place, f"{rule.id}: one raising example must say what the sentence says")
            )
        for regex in _regexes(rule):
            problems += _pattern(text, place, regex)
    return problems


def _regexes(rule: Rule) -> list[str]:
    """Every pattern that stands in the conditions and the check of a rule."""
    found: list[str] = []

    def walk(value: object) -> None:
        if isinstance(value, tuple):
            for child in value:
                walk(child)
        elif hasattr(value, "__dataclass_fields__"):
            for name in value.__dataclass_fields__:
                child = getattr(value, name)
                if name in ("matches", "printed", "pattern", "only") and isinstance(child, str):
                    found.append(child)
                else:
                    walk(child)

    walk(rule.when)
    walk(rule.check)
    return [regex for regex in found if regex]
