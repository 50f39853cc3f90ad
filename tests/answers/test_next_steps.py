"""Each conflict and each missing mark says what to do: what to look at or look up, whom to ask.

Which list a scheme has, and by what one searches it, is compared with the rules files, which name
their sources; that each has a step is the issue's own demand.
"""

from collections.abc import Callable
from dataclasses import replace
from typing import Any, get_args

import pytest
from starlette.testclient import TestClient

from inkwitness import phrases, rulebook
from inkwitness.check.next_steps import LIST_STATES, first_step, list_steps, next_steps
from inkwitness.check.outward import finding_out
from inkwitness.findings.examples import findings_of
from inkwitness.findings.outcome import LIST_ASPECT
from inkwitness.holders.values import ListState
from inkwitness.records.store import new_id
from inkwitness.rulebook import Rule, Scheme
from tests.answers.test_answers import finding, set_aside

Send = Callable[..., dict[str, Any]]
BOOK = rulebook.shipped()
SAID = phrases.shipped().languages
GRAVE = [rule for rule in BOOK.rules if rule.severity in ("conflict", "missing")]


@pytest.mark.parametrize("language", sorted(SAID))
def test_each_grave_rule_has_steps_in_each_language(language: str) -> None:
    say = SAID[language]
    assert len(GRAVE) > 90
    for rule in GRAVE:
        assert f"next.{first_step(rule, say)}" in say, rule.id
        for example in rule.raises:
            for found in findings_of(example, BOOK):
                if found.rule != rule.id:
                    continue
                out = finding_out(found, BOOK, language, (rule.scheme,))
                if found.severity in ("conflict", "missing"):
                    assert len(out.next_steps) >= 2, rule.id
                    assert all("{" not in step for step in out.next_steps), rule.id
                else:
                    assert out.next_steps == []


@pytest.mark.parametrize("scheme", BOOK.schemes, ids=lambda scheme: scheme.scheme)
@pytest.mark.parametrize("language", sorted(SAID))
def test_each_scheme_says_where_one_looks_it_up_and_whom_one_asks(
    scheme: Scheme, language: str
) -> None:
    said = SAID[language](f"consult.{scheme.scheme}")
    own = {"eu-en149": ("NANDO", "2016/425"), "br-nbr13698": ("CAEPI",), "us-niosh": ("NIOSH",)}
    for word in own.get(scheme.scheme, ()):
        assert word in said
    assert len(said) > 60


@pytest.mark.parametrize("rule", [one for one in GRAVE if one.check.requires_mark], ids=str)
def test_a_missing_mark_names_the_sides_on_which_its_scheme_has_it(rule: Rule) -> None:
    asked = rule.check.requires_mark
    assert asked is not None
    say = SAID["en"]
    step, *_ = next_steps(rule.id, rule.severity, {}, [asked.mark], [rule.scheme], BOOK, say)
    scheme = BOOK.scheme(rule.scheme)
    marks = scheme.marks if scheme is not None else ()
    wanted = asked.on or {side for m in marks if m.mark == asked.mark for side in m.required_on}
    for side in wanted:
        assert say(f"surfaces.{side.removeprefix('inner_')}") in step
    assert say.named("marks", asked.mark) in step


@pytest.mark.parametrize("state", get_args(ListState))
def test_each_state_of_the_list_that_is_a_doubt_has_steps(state: ListState) -> None:
    steps = list_steps(state, ["us-niosh"], BOOK, SAID["en"])
    wanting = LIST_ASPECT[state] in ("conflict", "cannot_tell")
    assert bool(steps) is wanting
    assert (state in LIST_STATES) is wanting
    if wanting:
        assert any("search by approval number" in step for step in steps)


def test_a_scheme_of_ones_own_is_looked_up_as_its_file_says() -> None:
    passed = BOOK.scheme("jp-ds")
    assert passed is not None
    own = replace(BOOK, schemes=(replace(passed, scheme="zz-made-up"),))
    steps = list_steps("not_listed", ["zz-made-up"], own, SAID["en"])
    assert any("list of passed types" in step and "TM number" in step for step in steps)


def test_ear_loops_beside_a_niosh_claim_are_a_question_to_the_holder() -> None:
    """NIOSH guidance on signs of misrepresented respirators names ear loops; 42 CFR Part 84 does
    not, so that nothing is concluded (read-secondary)."""
    rule = BOOK.rule("us-ear-loops")
    assert rule is not None
    found = next(one for one in findings_of(rule.raises[0], BOOK) if one.rule == rule.id)
    assert (found.aspect, found.question) == ("construction", True)
    steps = finding_out(found, BOOK).next_steps
    assert "Ask the approval holder" in steps[0]


def test_the_steps_of_a_unit_can_be_printed_and_what_is_set_aside_asks_for_none(
    client: TestClient, send: Send
) -> None:
    unit = send("us-face-without-number.png")["unit_id"]

    def steps() -> list[str]:
        told = client.get(f"/api/units/{unit}/next-steps", params={"format": "json"}).json()
        found: list[str] = told["sections"][0]["sentences"]
        return found

    assert steps()[0].startswith("Look for this on the goods: approval number.")
    assert client.get(f"/api/units/{unit}/next-steps").content[:4] == b"%PDF"
    set_aside(client, unit, finding(client, unit, "us-tc-number-absent")["id"])
    assert steps() == ["Nothing that was found asks for a step."]


def test_a_consignment_has_each_step_once_with_its_units_and_what_a_release_waits_for(
    client: TestClient, send: Send
) -> None:
    consignment = new_id()
    client.post("/api/consignments", json={"id": consignment, "label": "FICTIONAL"})
    for name in ("first", "second"):
        send("us-face-without-number.png", consignment_id=consignment, label=name)
    path = f"/api/consignments/{consignment}/next-steps"
    told = client.get(path, params={"format": "json"}).json()
    rows = told["sections"][0]["table"]["rows"]
    assert rows[0][0].startswith("Look for this on the goods: approval number.")
    assert rows[0][1] == "first, second"
    assert len({row[0] for row in rows}) == len(rows)
    assert "No plan was drawn" in told["sections"][1]["sentences"][0]
    assert client.get(path).content[:4] == b"%PDF"
