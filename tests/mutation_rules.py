"""A mutation run over the rules files: every small change must make an example fail.

    python -m tests.mutation_rules [FILE ...]

Changed are: grammars (a pattern dropped, its normal form, a digit count, `strict`), required and
recommended flags, severities, dates, class values, conditions, and what each check asks for. A
mutant is killed where the schema refuses it, or an example, a worked example, or one of the two
tables kept apart from the rules (severities, class values) disagrees. Exit code 1 where any lives.
"""

import copy
import csv
import functools
import re
import sys
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date, timedelta
from pathlib import Path
from typing import Any

from inkwitness.findings.examples import (
    findings_of,
    grammar_problem,
    join_problem,
    rule_problems,
)
from inkwitness.rulebook import default_folder
from inkwitness.rulebook.load import build, texts_of
from inkwitness.rulebook.values import Example, Given, Rulebook
from inkwitness.yaml_text import BadRules, YamlText, read_yaml

HERE = Path(__file__).parent / "rulebook"


@dataclass(frozen=True)
class Mutant:
    """One change: the kind, the file, words that name it, and the file's content with it."""

    kind: str
    name: str
    what: str
    content: dict[str, Any]
    rule: str = ""
    mark: str = ""


def main(names: list[str]) -> int:
    folder = default_folder()
    texts = texts_of(folder)
    messages = [read_yaml(path) for path in sorted((folder / "messages").glob("en/findings.yaml"))]
    chosen = names or sorted(texts)
    killed: dict[str, int] = {}
    lived: list[Mutant] = []
    for name in chosen:
        for mutant in mutants(name, texts[name].content):  # type: ignore[arg-type]
            if survives(mutant, texts, messages):
                lived.append(mutant)
                print(f"LIVES {mutant.kind:12} {name}: {mutant.what}", flush=True)
            else:
                killed[mutant.kind] = killed.get(mutant.kind, 0) + 1
        print(f"{name}: done", flush=True)
    total = sum(killed.values()) + len(lived)
    for kind in sorted({*killed, *(mutant.kind for mutant in lived)}):
        alive = sum(mutant.kind == kind for mutant in lived)
        print(f"{kind:12} {killed.get(kind, 0):5} killed {alive:4} live")
    print(f"{sum(killed.values())} of {total} mutants killed")
    return 1 if lived else 0


def survives(mutant: Mutant, texts: dict[str, YamlText], messages: list[YamlText]) -> bool:
    changed = {**texts, mutant.name: replace(texts[mutant.name], content=mutant.content)}
    try:
        book = build(changed, messages, "mutant")
    except BadRules:
        return False
    if mutant.kind in ("severity", "class"):
        return tables_agree(book)
    if mutant.rule:
        found = book.rule(mutant.rule)
        return found is not None and not rule_problems(found, book)
    return not grammar_fails(mutant, book)


def grammar_fails(mutant: Mutant, book: Rulebook) -> bool:
    """The examples that a grammar or flag can touch: its own, all rules', the worked ones."""
    files = [(scheme.scheme, scheme.marks) for scheme in book.schemes]
    files.append(("", book.common.marks))
    own = "" if mutant.name == "common.yaml" else mutant.name.removesuffix(".yaml")
    for name, entries in files:
        for entry in entries:
            if name == own and entry.mark == mutant.mark:
                for example in entry.examples:
                    if grammar_problem(name, entry, example, book):
                        return True
                    if join_problem(name, entry, example, book):
                        return True
    near = [rule for rule in book.rules if rule.scheme == own or not own]
    rest = [rule for rule in book.rules if rule not in near]
    if any(rule_problems(rule, book) for rule in near + rest):
        return True
    return not worked_agree(book)


@functools.cache
def worked() -> list[dict[str, Any]]:
    content = read_yaml(HERE / "worked.yaml").content
    assert isinstance(content, list)
    return content


def worked_agree(book: Rulebook) -> bool:
    for entry in worked():
        given = Given(surface=entry["surface"], declared=tuple(entry["declared"]))
        found = findings_of(Example(entry["print"], given), book)
        expected = set(entry["expected"])
        graver = {finding.rule for finding in found if finding.severity != "note"}
        if graver | ({finding.rule for finding in found} & expected) != expected:
            return False
    return True


@functools.cache
def table(name: str) -> tuple[dict[str, str], ...]:
    with (HERE / name).open(encoding="utf-8") as file:
        return tuple(csv.DictReader(file))


def tables_agree(book: Rulebook) -> bool:
    severities = {row["rule"]: row["severity"] for row in table("severities.csv")}
    values = {
        (row["scheme"], row["class"]): float(row["minimum_efficiency"])
        for row in table("classes.csv")
    }
    ours = {
        (scheme.scheme, entry.name): entry.minimum_efficiency
        for scheme in book.schemes
        for entry in scheme.classes
        if entry.minimum_efficiency is not None
    }
    return ours == values and {r.id: r.severity for r in book.rules} == severities


def mutants(name: str, content: dict[str, Any]) -> Iterator[Mutant]:
    for index, mark in enumerate(content.get("marks", [])):
        yield from _of_mark(name, content, index, mark)
    for index, entry in enumerate(content.get("classes", [])):
        if "minimum_efficiency" in entry:
            for step in (-1.0, 0.5):
                changed = copy.deepcopy(content)
                value = float(entry["minimum_efficiency"]) + step
                changed["classes"][index]["minimum_efficiency"] = f"{value:g}"
                yield Mutant("class", name, f"{entry['name']} {value:g}", changed)
    for index, claim in enumerate(content.get("claimed_by", [])):
        changed = copy.deepcopy(content)
        del changed["claimed_by"][index]
        yield Mutant("condition", name, f"claimed_by {claim} dropped", changed, mark="?")
        for number, other in enumerate(claim.get("unless_claimed", [])):
            changed = copy.deepcopy(content)
            del changed["claimed_by"][index]["unless_claimed"][number]
            yield Mutant("condition", name, f"claim unless {other} dropped", changed, mark="?")
    for index, rule in enumerate(content.get("rules", [])):
        yield from _of_rule(name, content, index, rule)


def _of_mark(
    name: str, content: dict[str, Any], index: int, mark: dict[str, Any]
) -> Iterator[Mutant]:
    title = mark["mark"]
    for key in ("required_on", "recommended_on", "may_stand_on"):
        for number, surface in enumerate(mark.get(key, [])):
            changed = copy.deepcopy(content)
            del changed["marks"][index][key][number]
            yield Mutant("flag", name, f"{title} {key} {surface} dropped", changed, mark=title)
    for number, pattern in enumerate(mark.get("grammar", [])):
        place = f"{title} pattern {number + 1}"
        changed = copy.deepcopy(content)
        del changed["marks"][index]["grammar"][number]
        yield Mutant("grammar", name, f"{place} dropped", changed, mark=title)
        for what, regex in _regexes(pattern["regex"]):
            changed = copy.deepcopy(content)
            changed["marks"][index]["grammar"][number]["regex"] = regex
            yield Mutant("grammar", name, f"{place} {what}: {regex}", changed, mark=title)
        changed = copy.deepcopy(content)
        changed["marks"][index]["grammar"][number]["normal"] = pattern["normal"] + "X"
        yield Mutant("grammar", name, f"{place} normal form", changed, mark=title)


def _regexes(regex: str) -> Iterator[tuple[str, str]]:
    """Changes of a pattern: a boundary lost, a count moved, a letter exchanged."""
    for word in ("@start@", "@end@"):
        if word in regex:
            yield f"without {word}", regex.replace(word, "", 1)
    for hit in re.finditer(r"\{(\d),(\d+)\}|\{(\d+)\}", regex):
        if hit.group(3) and int(hit.group(3)) > 1:
            fewer = f"{{{int(hit.group(3)) - 1}}}"
            yield "count", regex[: hit.start()] + fewer + regex[hit.end() :]
            break
    letter = re.search(
        r"(?<![\\@\[A-Za-z(?:])[A-Z]{2,}", re.sub(r"@\w+@", lambda h: "." * len(h.group()), regex)
    )
    if letter is not None:
        yield "letter", regex[: letter.start()] + "J" + regex[letter.start() + 1 :]


def _of_rule(
    name: str, content: dict[str, Any], index: int, rule: dict[str, Any]
) -> Iterator[Mutant]:
    ident = rule["id"]

    def mutant(kind: str, what: str, change: Any) -> Mutant:
        changed = copy.deepcopy(content)
        change(changed["rules"][index])
        return Mutant(kind, name, f"{ident}: {what}", changed, rule=ident)

    other = {"conflict": "caution", "missing": "caution", "caution": "note", "note": "caution"}
    yield mutant("severity", "severity", lambda r: r.update(severity=other[rule["severity"]]))
    when = rule.get("when", {})
    for key, value in when.items():
        yield mutant("condition", f"when {key} dropped", lambda r, key=key: r["when"].pop(key))
        if isinstance(value, list) and len(value) > 1:
            for number in range(len(value)):
                yield mutant(
                    "condition",
                    f"when {key} without {value[number]}",
                    lambda r, key=key, number=number: r["when"][key].pop(number),
                )
        if re.fullmatch(r"\d{4}-\d\d-\d\d", str(value)):
            for days in (-400, 400):
                moved = (date.fromisoformat(value) + timedelta(days=days)).isoformat()
                yield mutant(
                    "date",
                    f"when {key} {moved}",
                    lambda r, key=key, moved=moved: r["when"].update({key: moved}),
                )
    if rule.get("asks"):
        yield mutant("condition", "asks dropped", lambda r: r.pop("asks"))
    if rule.get("script"):
        yield mutant("condition", "script dropped", lambda r: r.pop("script"))
    kind, asked = next(iter(rule["check"].items()))
    yield from _of_check(mutant, kind, asked)


def _of_check(mutant: Any, kind: str, asked: dict[str, Any]) -> Iterator[Mutant]:
    for key, value in asked.items():
        if isinstance(value, list):
            for number in range(len(value)):
                yield mutant(
                    "check",
                    f"{kind} {key} without {value[number]}",
                    lambda r, key=key, number=number: r["check"][kind][key].pop(number),
                )
        elif key == "date":
            for days in (-40, 40):
                moved = (date.fromisoformat(value) + timedelta(days=days)).isoformat()
                yield mutant(
                    "date",
                    f"{kind} {moved}",
                    lambda r, moved=moved: r["check"][kind].update(date=moved),
                )
        elif key in ("only", "scheme", "matches", "part", "of"):
            yield mutant(
                "check", f"{kind} {key} dropped", lambda r, key=key: r["check"][kind].pop(key)
            )
        elif key in ("raised_when", "where"):
            flip = {"past": "future", "future": "past", "below": "above", "above": "below",
                    "within": "across", "across": "within", "photos": "across",
                    "differs": "past"}  # fmt: skip
            turned = "differs" if kind == "shelf_life" and value == "past" else flip[value]
            yield mutant(
                "check",
                f"{kind} {key} {turned}",
                lambda r, key=key, turned=turned: r["check"][kind].update({key: turned}),
            )


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
