"""A check on the terminal speaks the language that was asked for."""

import pytest
from typer.testing import CliRunner

from inkwitness import phrases, rulebook
from inkwitness.check.contract import CheckOut
from inkwitness.check.outward import check_out
from inkwitness.cli.main import app
from inkwitness.cli.report import report_text
from inkwitness.records import old_form

LANGUAGES = sorted(phrases.shipped().languages)
MARK: dict[str, object] = {
    "polygon": [],
    "readers": [],
    "doubtful_at": [],
    "scheme": "us-niosh",
    "probability": 0.9,
}
MARK |= {"alternatives": [], "named_by": "form"}
MATCH: dict[str, object] = {
    "state": "listed_agrees",
    "looked_up": "TC-84A-9981",
    "holder": "Vexholm Filtration",
}
MATCH |= {"list_name": "House list", "list_edition": 4, "list_checked_on": "2031-03-12"}
MATCH |= {"list_age_days": 6, "status": "current"}
FINDING: dict[str, object] = {
    "rule": "us-tc-trailing-letter",
    "scheme": "us-niosh",
    "severity": "caution",
}
FINDING |= {
    "aspect": "marks",
    "question": False,
    "marks": ["approval_number"],
    "source": "a letter",
}
FINDING |= {
    "values": {"mark": "approval_number", "printed": "TC-84A-9981A", "value": "TC-84A-9981"}
}
NUMBER = {**MARK, "mark": "approval_number", "printed": "TC-84A-9981", "value": "TC-84A-9981"}
CLASS = {**MARK, "mark": "filter_class", "printed": "", "value": "", "standing": "absent"}
CHECK = CheckOut.model_validate(
    {
        "photo": "invented.png",
        "sha256": "0" * 64,
        "on": "2031-03-18",
        "outcome": "cannot_tell",
        "basis": "reading",
        "aspects": {"marks": "cannot_tell", "list": "no_conflict_found"},
        "items": [
            {
                "polygon": [],
                "surface": "facepiece",
                "whole": "no",
                "schemes": ["us-niosh"],
                "marks": [{**NUMBER, "standing": "read"}, CLASS],
                "findings": [FINDING],
                "holder_match": MATCH,
            }
        ],
        "scheme": "us-niosh",
        "marks": {},
        "lines": [],
        "findings": [],
        "holder_match": MATCH,
        "photo_quality": [],
        "milliseconds": 3,
    }
)


def told_in(language: str) -> CheckOut:
    """The check as if it had been stored so, in a language."""
    stored = old_form.check_of(CHECK.model_dump(mode="json"))
    return check_out(stored, rulebook.shipped(), language)


@pytest.mark.parametrize("language", LANGUAGES)
def test_a_check_is_told_in_the_language_that_was_asked_for(language: str) -> None:
    say = phrases.shipped().of(language)
    told = report_text(told_in(language), say)
    assert say(f"outcome.{CHECK.outcome}") in told
    assert say("caveat.long") in told
    assert say("terminal.looked_at") in told
    assert f"{say('aspect.list')}: {say('state.' + CHECK.aspects['list'])}" in told
    for mark in CHECK.items[0].marks:
        assert mark.value in told or mark.standing == "absent"
    state = say(f"listed.{CHECK.items[0].holder_match.state}")
    assert state in told


def test_no_english_is_left_in_another_language() -> None:
    english = phrases.shipped().of("en")
    for language in LANGUAGES:
        if language == "en":
            continue
        say = phrases.shipped().of(language)
        told = report_text(told_in(language), say)
        sentences = {text for text in english.texts.values() if len(text) > 20 and "{" not in text}
        assert [text for text in sentences - set(say.texts.values()) if text in told] == []


def test_the_list_is_told_by_what_was_looked_up_its_state_and_its_entry() -> None:
    told = report_text(CHECK, phrases.shipped().of("en"))
    match = CHECK.items[0].holder_match
    assert f"List: {match.looked_up}: On your list" in told
    assert match.holder in told


@pytest.mark.parametrize("language", LANGUAGES)
def test_a_sample_is_told_in_the_language_that_was_asked_for(language: str) -> None:
    asked = [
        "sample",
        "discovery",
        "--lot",
        "5000",
        "--nonconforming-share",
        "0.01",
        "--lang",
        language,
    ]
    found = CliRunner().invoke(app, asked, catch_exceptions=False)
    say = phrases.shipped().of(language)
    assert say("sampling.discovery.rest", rest=5000 - 290) in found.stdout


def test_a_language_that_is_not_spoken_is_refused() -> None:
    asked = ["sample", "discovery", "--lot", "50", "--nonconforming", "1", "--lang", "de"]
    assert CliRunner().invoke(app, asked).exit_code == 2
