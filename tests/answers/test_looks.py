"""How a unit is made: every word of the rules can be given, and what nobody looked at is said.

The list is the job map's (common practice, no source).
"""

import re
from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from starlette.testclient import TestClient

from inkwitness import phrases, rulebook
from inkwitness.errors import BadInput
from inkwitness.findings import looks
from inkwitness.findings.looks import LOOKS, checked, declared_with, pairs, words_of
from inkwitness.records.store import new_id

Send = Callable[..., dict[str, Any]]
BOOK = rulebook.shipped()
SAID = phrases.shipped().languages
#: Names that an earlier page gave to the logo of the agency (`records.photos`).
OF_BEFORE = {"logo_seen", "niosh_logo_seen"}
#: What ruins a mask or harms whoever does it: burning, blowing, pulling apart, wearing to try.
NEVER = {
    "en": r"\b(burn\w*|flame\w*|lighter|blow\w*|tear(s|ing)?|pull\w*|rip\w*|try it on|wear it)\b",
    "es": r"\b(quem\w*|llama|sopl\w*|desgarr\w*|tir(e|ar) de|prob(ar|á)rsel[oa]|póngasel[oa])\b",
    "fr": r"\b(brûl\w*|flamme\w*|souffl\w*|déchir\w*|tire[rz]|essaye[rz]|mettez-le)\b",
    "pt": r"\b(queim\w*|chama|sopr\w*|rasg\w*|pux\w*|experimente|vista-[oa])\b",
    "hi": r"जला|फूँक|फाड़|खींच|पहनकर",
    "ar": r"أحرق|انفخ|مزّق|اسحبه|البسه",
}


def test_every_word_that_a_rule_knows_can_be_given() -> None:
    known = {
        word
        for rule in BOOK.rules
        for word in (
            *rule.when.declared,
            *rule.when.not_declared,
            *(rule.check.not_declared.words if rule.check.not_declared else ()),
        )
    }
    given_ = {word for look in LOOKS for words in look.answers.values() for word in words}
    assert len(known) >= 22
    assert known - OF_BEFORE <= given_


@pytest.mark.parametrize("language", sorted(SAID))
def test_each_look_and_answer_is_said_in_each_language(language: str) -> None:
    say = SAID[language]
    for look in LOOKS:
        assert f"look.{look.name}" in say
        for answer in look.answers:
            assert f"look.{look.name}.{answer}" in say or answer in ("yes", "no")
    for name in looks.MEASURES:
        assert f"look.{name}" in say


@pytest.mark.parametrize("language", sorted(SAID))
def test_nothing_that_ruins_or_harms_is_offered(language: str) -> None:
    offered = ("look.", "next.", "consult.", "across.")
    texts = {k: v for k, v in SAID[language].texts.items() if k.startswith(offered)}
    assert len(texts) > 100
    found = [k for k, text in texts.items() if re.search(NEVER[language], text, re.IGNORECASE)]
    assert found == []
    assert not any(re.search(NEVER["en"], look.name.replace("_", " ")) for look in LOOKS)


def test_the_scan_sees_what_is_never_offered() -> None:
    for language, text in (("en", "Burn it."), ("es", "Quémela"), ("fr", "Brûlez-le")):
        assert re.search(NEVER[language].replace("quem", "qu[eé]m"), text, re.IGNORECASE)


@given(st.dictionaries(st.sampled_from([one.name for one in LOOKS]), st.just("not_looked_at")))
def test_not_looked_at_is_a_value_of_each_and_declares_nothing(given_: dict[str, str]) -> None:
    assert checked(given_) == {}
    assert words_of(given_) == frozenset()


def test_an_answer_takes_the_place_of_the_words_before_it() -> None:
    before = frozenset({"ear_loops", "valve"})
    assert declared_with(before, {"fastening": "head_straps"}, "facepiece") == {
        "head_straps",
        "valve",
    }
    seen = {"no_print": "yes"}
    assert declared_with(frozenset(), seen, "facepiece") == {"no_print_seen"}
    assert declared_with(frozenset(), seen, "carton") == frozenset()


def test_what_is_no_look_or_no_answer_says_what_there_is() -> None:
    for wrong in (["smell=bad"], ["valve=perhaps"], ["valve"]):
        with pytest.raises(BadInput, match=r"valve|none"):
            pairs(wrong)
    with pytest.raises(BadInput, match="mass"):
        looks.checked_measures({"mass": 0})


def see(client: TestClient, unit: str, **more: Any) -> Any:
    return client.post(f"/api/units/{unit}/construction", json={"id": new_id(), **more})


def test_ear_loops_seen_later_are_asked_about_and_a_correction_takes_that_back(
    client: TestClient, send: Send
) -> None:
    """A question in `construction`, since it rests on guidance: see `us-ear-loops`."""
    unit = send("us-face.png")["unit_id"]
    assert see(client, unit, answers={"fastening": "ear_loops"}).status_code == 201
    seen = client.get(f"/api/units/{unit}").json()
    assert seen["checks"][0]["why"] == "construction"
    assert seen["checks"][0]["check"]["aspects"]["construction"] == "cannot_tell"
    assert seen["row"]["outcome"] == "cannot_tell"
    see(client, unit, answers={"fastening": "head_straps"})
    again = client.get(f"/api/units/{unit}").json()
    assert again["checks"][0]["check"]["aspects"]["construction"] == "no_conflict_found"
    assert again["construction"]["answers"] == {"fastening": "head_straps"}


def test_the_water_check_is_a_rough_note_with_its_limits_and_enters_no_outcome(
    client: TestClient, send: Send
) -> None:
    """Common practice, no source: it concerns splashes on one medical mask and nothing else."""
    unit = send("us-face.png")["unit_id"]
    before = client.get(f"/api/units/{unit}").json()["checks"][0]["check"]
    for answer in ("held", "let_through"):
        see(client, unit, answers={"water_hold": answer})
        after = client.get(f"/api/units/{unit}").json()["checks"][0]["check"]
        for name in ("outcome", "aspects", "findings"):
            assert after[name] == before[name]
    told = client.get(f"/api/units/{unit}/report", params={"format": "json"}).json()
    said = "\n".join(line for one in told["sections"] for line in one["sentences"])
    assert "A rough note (common practice, no source)" in said
    assert "came through" in said


def test_a_report_says_what_was_looked_at_and_what_nobody_looked_at(
    client: TestClient, send: Send
) -> None:
    unit = send("us-face.png")["unit_id"]
    see(client, unit, answers={"valve": "none"}, measures={"layers": 4, "mass": 4.1})
    told = client.get(f"/api/units/{unit}/report", params={"format": "json"}).json()
    (section,) = [one for one in told["sections"] if one["title"] == "Construction and condition"]
    assert "Exhalation valve: none" in section["sentences"]
    assert "Mass in g: 4.1" in section["sentences"]
    (left,) = [one for one in section["sentences"] if one.startswith("Not looked at")]
    assert "Seams" in left
    assert "valve" not in left


def test_who_called_goods_worn_is_not_talked_over(client: TestClient, send: Send) -> None:
    unit = send("us-face.png")["unit_id"]
    see(client, unit, answers={"worn": "yes"})
    see(client, unit, answers={"worn": "no"})
    release = {"id": new_id(), "disposition": "release", "reason": "As asked."}
    refused = client.post(f"/api/units/{unit}/decisions", json=release)
    assert "already worn" in refused.json()["error"]["message"]


def test_what_may_be_looked_at_is_listed_with_not_looked_at_first(client: TestClient) -> None:
    told = client.get("/api/looks", params={"lang": "es"}).json()
    assert [one["name"] for one in told["looks"]] == [look.name for look in LOOKS]
    assert all(one["answers"][0]["answer"] == "not_looked_at" for one in told["looks"])
    assert {one["group"] for one in told["looks"]} <= told["groups"].keys()
