"""`inkwitness rules`: check the rules files, show them as documentation."""

from pathlib import Path

import typer

from inkwitness import phrases
from inkwitness.consignment.papers import examples as papers
from inkwitness.errors import NotFound
from inkwitness.findings.examples import problems
from inkwitness.phrases import rules_folder
from inkwitness.reports.outgoing import wording
from inkwitness.rulebook import Rule, Rulebook, Scheme, check_file, intake, load, policy
from inkwitness.rulebook.counts import counts_of
from inkwitness.rulebook.uses import unknown_uses, uses_of
from inkwitness.yaml_text import BadRules

app = typer.Typer(no_args_is_help=True, add_completion=False)


@app.command("check")
def check(
    file: Path | None = typer.Argument(None, help="One rules file; without it, all of them."),
) -> None:
    """Check that rules files follow the schema and that every example does what it says."""
    said = phrases.load(rules_folder() / "messages")
    if file is None:
        rulebook, only = load(), None
    else:
        rulebook, only = check_file(file)
    wrong = [*unknown_uses(rulebook, said), *problems(rulebook, only)]
    if not only:
        wrong += papers.problems(rulebook)
        intake.load()
        policy.load(policy.shipped_file())
        wording.load()
    if wrong:
        name = file.name if file is not None else "rules"
        raise BadRules("\n".join(f"{name}: {problem}" for problem in wrong))
    counts = counts_of(rulebook)
    print(
        f"{file.name if file is not None else 'rules'}: clean. In all {counts.schemes} schemes "
        f"({counts.drafts} drafts), {counts.marks} marks, {counts.rules} rules, "
        f"{counts.examples} examples; {counts.from_memory} rules known only from memory. "
        f"Rules for papers: {len(rulebook.papers.rules)}. "
        f"Edition {rulebook.edition}."
    )


@app.command("show")
def show(
    scheme: str = typer.Argument(
        "", help="Id of a scheme, `across` or `papers`; without it, a list."
    ),
    lang: str = typer.Option("en", help="Language of the sentences: en, es, fr, pt, hi, ar."),
) -> None:
    """Show the rules, with examples and sources."""
    rulebook = load()
    if not scheme:
        for entry in rulebook.schemes:
            draft = "  (draft)" if entry.status == "draft" else ""
            print(f"{entry.scheme:14} {entry.title}{draft}")
        print(f"{'across':14} Rules across schemes")
        print(f"{'papers':14} Rules for papers beside the print")
        return
    if scheme == "across":
        rules: tuple[Rule, ...] = tuple(rule for rule in rulebook.rules if not rule.scheme)
        _rules(rules, rulebook, lang)
        return
    if scheme == "papers":
        _papers(rulebook, lang)
        return
    found = rulebook.scheme(scheme)
    if found is None:
        known = ", ".join(entry.scheme for entry in rulebook.schemes)
        raise NotFound("no_scheme", scheme=scheme, known=f"{known}, across, papers")
    _scheme(found, lang)
    _rules(tuple(rule for rule in rulebook.rules if rule.scheme == scheme), rulebook, lang)


def _scheme(scheme: Scheme, lang: str) -> None:
    print(f"{scheme.title}  [{scheme.scheme}, {scheme.status}]")
    print(f"  Where: {scheme.jurisdiction}")
    print(f"  Authority: {scheme.authority}")
    if scheme.public_list is not None:
        public = scheme.public_list
        print(f"  Public list: {public.name}, run by {public.run_by}; by {public.look_up_by}")
    print(f"  Ask: {scheme.ask}")
    if scheme.as_of is not None:
        print(f"  As of: {scheme.as_of.isoformat()}")
    print("  Documents:")
    for source in scheme.documents:
        print(f"    {source}")
    print("  Classes:")
    said = phrases.shipped()
    for entry in scheme.classes:
        share = entry.minimum_efficiency
        least = "" if share is None else f" at least {share:g} %"
        flow = "" if entry.flow_l_min is None else f", {entry.flow_l_min:g} L/min"
        print(f"    {entry.name}{least} ({entry.aerosol}{flow})")
        uses = uses_of(entry, lang, said)
        print(f"      for: {uses.good_for}. Not for: {uses.not_for}.  [{entry.source}]")
    print("  Marks:")
    for mark in scheme.marks:
        where = ", ".join(mark.required_on)
        should = ", ".join(mark.recommended_on)
        needed = f"required on {where}" if where else ""
        needed += f"{'; ' if where and should else ''}recommended on {should}" if should else ""
        since = f" since {mark.since.isoformat()}" if mark.since is not None else ""
        print(f"    {mark.mark.replace('_', ' ')}: {mark.says}  {needed}{since}  [{mark.source}]")
    if scheme.papers:
        print("  Papers to ask for:")
    for paper in scheme.papers:
        agrees = ", ".join(field.replace("_", " ") for field in paper.agrees)
        print(f"    {'; '.join(paper.titles)}: of the {paper.issued_by}  [{paper.source}]")
        print(f"      must say what the print says: {agrees or 'nothing that is compared'}")
    print("  Cautions:")
    for caution in scheme.cautions:
        print(f"    {caution}")
    if scheme.verify:
        print("  Not sure, still to be settled:")
        for point in scheme.verify:
            print(f"    {point}")


def _rules(rules: tuple[Rule, ...], rulebook: Rulebook, lang: str) -> None:
    said = rulebook.messages(lang)
    print(f"  Rules ({said.language}: {said.made_by}):")
    for rule in rules:
        sentence = said.messages.get(rule.id) or rulebook.messages("en").messages[rule.id]
        print(f"  {rule.id}  [{rule.severity}]")
        print(f"    {sentence}")
        print(f"    source: {rule.source}")
        for word, examples in (("raised by", rule.raises), ("not by", rule.not_raised)):
            for example in examples:
                print(f"    {word}: {example.print or '(no print)'}")


def _papers(rulebook: Rulebook, lang: str) -> None:
    say = phrases.shipped().of(lang)
    print("Rules for papers:")
    for rule in rulebook.papers.rules:
        print(f"  {rule.id}  [{rule.severity}{', asks' if rule.asks else ''}]")
        print(f"    {say.texts[f'paper.{rule.id}']}")
        print(f"    source: {rule.source}")
