"""A finding can be answered: set aside by a named person with a reason, and taken up again.

What is expected is the project's own decision: a finding set aside stays, with the reason, in every
report; the outcome as found stands beside the one without it; an answer never releases anything.
"""

from collections.abc import Callable
from typing import Any

import pytest
from starlette.testclient import TestClient

from inkwitness.records.store import new_id

Send = Callable[..., dict[str, Any]]
REASON = "The number stands on the carton, which came later."


def unit_of(client: TestClient, unit_id: str) -> dict[str, Any]:
    found: dict[str, Any] = client.get(f"/api/units/{unit_id}").json()
    return found


def finding(client: TestClient, unit_id: str, rule: str) -> dict[str, Any]:
    unit = unit_of(client, unit_id)
    check = (unit["unit_check"] or unit["checks"][0])["check"]
    found: dict[str, Any] = next(one for one in check["findings"] if one["rule"] == rule)
    return found


def set_aside(client: TestClient, unit_id: str, id_: str, **more: Any) -> Any:
    body = {"id": new_id(), "finding": id_, "kind": "own_words", "reason": REASON, **more}
    return client.post(f"/api/units/{unit_id}/answers", json=body)


def take_up(client: TestClient, answer_id: str) -> Any:
    body = {"id": new_id(), "reason": "The carton is of other goods."}
    return client.post(f"/api/answers/{answer_id}/take-up", json=body)


@pytest.fixture
def unit(send: Send) -> str:
    """A mask without its approval number: `us-tc-number-absent` is missing."""
    return str(send("us-face-without-number.png")["unit_id"])


def test_what_was_found_stays_and_what_is_left_without_it_stands_beside_it(
    client: TestClient, unit: str
) -> None:
    missing = finding(client, unit, "us-tc-number-absent")
    answer = set_aside(client, unit, missing["id"], kind="other_meaning")
    assert answer.status_code == 201, answer.text
    seen = unit_of(client, unit)
    assert seen["row"]["outcome"] == "missing"
    assert finding(client, unit, "us-tc-number-absent") == missing
    assert seen["after"]["outcome"] == "no_conflict_found"
    assert seen["after"]["aspects"]["marks"] == "no_conflict_found"
    assert seen["after"]["people"] == ["Ines Okparo"]
    (kept,) = seen["answers"]
    assert (kept["reason"], kept["kind"], kept["in_force"]) == (REASON, "other_meaning", True)


def test_a_finding_can_be_taken_up_again_and_both_words_stay(client: TestClient, unit: str) -> None:
    missing = finding(client, unit, "us-tc-number-absent")
    kept = set_aside(client, unit, missing["id"]).json()
    assert take_up(client, kept["answer_id"]).status_code == 201
    seen = unit_of(client, unit)
    assert seen["after"] is None
    assert [one["in_force"] for one in seen["answers"]] == [False, False]
    assert seen["answers"][1]["takes_up"] == kept["answer_id"]
    assert take_up(client, seen["answers"][1]["answer_id"]).status_code == 422


def test_the_same_answer_sent_again_changes_nothing_and_another_is_refused(
    client: TestClient, unit: str
) -> None:
    missing = finding(client, unit, "us-tc-number-absent")
    id_ = new_id()
    for _ in range(2):
        assert set_aside(client, unit, missing["id"], id=id_).status_code == 201
    assert set_aside(client, unit, missing["id"], id=id_, reason="Other.").status_code == 409
    assert len(unit_of(client, unit)["answers"]) == 1


@pytest.mark.parametrize("reason", ["", "  ", "no"])
def test_without_a_reason_nothing_is_set_aside(client: TestClient, unit: str, reason: str) -> None:
    missing = finding(client, unit, "us-tc-number-absent")
    answer = set_aside(client, unit, missing["id"], reason=reason)
    assert answer.status_code == 422
    assert "reason" in answer.json()["error"]["message"]


def test_only_a_finding_that_there_is_can_be_set_aside(client: TestClient, unit: str) -> None:
    assert set_aside(client, unit, "0" * 16).status_code == 422
    missing = finding(client, unit, "us-tc-number-absent")
    assert set_aside(client, unit, missing["id"], where=f"{new_id()}/1").status_code == 422


def test_that_something_could_not_be_looked_at_is_no_finding_to_set_aside(
    client: TestClient, send: Send
) -> None:
    unit = send("us-face-without-number.png", whole="no")["unit_id"]
    note = finding(client, unit, "not-seen-in-this-photo")
    assert set_aside(client, unit, note["id"]).status_code == 422


def test_an_answer_covers_no_other_finding_and_none_that_changed(
    client: TestClient, send: Send, unit: str
) -> None:
    """Another photo says that the number is missing on two sides now: nobody answered that."""
    missing = finding(client, unit, "us-tc-number-absent")
    set_aside(client, unit, missing["id"])
    send("us-box-other-class.png", unit, surface="inner_box")
    seen = unit_of(client, unit)
    rules = [one["rule"] for one in seen["unit_check"]["check"]["findings"]]
    assert "x-facepiece-and-box-differ" in rules
    differ = finding(client, unit, "x-facepiece-and-box-differ")
    assert differ["id"] != missing["id"]
    assert seen["row"]["outcome"] == "conflict"
    assert seen["after"] is None or seen["after"]["outcome"] == "conflict"


def test_what_two_items_of_one_photo_show_is_answered_one_by_one(
    client: TestClient, send: Send
) -> None:
    """The second box bears N94, a class that 42 CFR Part 84 does not have."""
    taken = send("us-two-boxes.png", surface="inner_box")
    unit = taken["unit_id"]
    (check,) = unit_of(client, unit)["checks"]
    (unknown,) = [
        one for one in check["check"]["items"][1]["findings"] if one["rule"] == "us-class-unknown"
    ]
    assert set_aside(client, unit, unknown["id"]).status_code == 422
    where = f"{taken['photo_id']}/1"
    assert set_aside(client, unit, unknown["id"], where=where).status_code == 201
    seen = unit_of(client, unit)
    assert seen["row"]["outcome"] == "conflict"
    assert seen["after"]["aspects"]["marks"] != "conflict"


def test_an_answer_releases_nothing_and_a_decision_is_still_asked_for(
    client: TestClient, unit: str
) -> None:
    """The gate goes by what was found: setting aside is no decision on the unit."""
    missing = finding(client, unit, "us-tc-number-absent")
    kept = set_aside(client, unit, missing["id"]).json()
    release = {"id": new_id(), "disposition": "release", "reason": "As asked."}
    refused = client.post(f"/api/units/{unit}/decisions", json=release)
    assert refused.status_code == 409
    assert "nobody decided" in refused.json()["error"]["message"]
    keep_in = {"id": new_id(), "disposition": "keep_in", "reason": "The carton bears it."}
    assert client.post(f"/api/units/{unit}/decisions", json=keep_in).status_code == 201
    again = client.post(f"/api/units/{unit}/decisions", json={**release, "id": new_id()})
    assert "nobody decided" not in again.json()["error"]["message"]
    # who takes it up again opens the unit again, whatever was decided knowing it set aside
    take_up(client, kept["answer_id"])
    open_again = client.post(f"/api/units/{unit}/decisions", json={**release, "id": new_id()})
    assert "nobody decided" in open_again.json()["error"]["message"]


@pytest.mark.parametrize("lang", ["en", "es", "fr", "pt", "hi", "ar"])
def test_every_report_has_the_finding_the_answer_and_both_outcomes(
    client: TestClient, unit: str, lang: str
) -> None:
    missing = finding(client, unit, "us-tc-number-absent")
    set_aside(client, unit, missing["id"], kind="sign_in_place")
    query = {"format": "json", "lang": lang}
    told = client.get(f"/api/units/{unit}/report", params=query).json()
    words = [one["word"] for one in told["statuses"]]
    assert (words[0], words[-1]) == ("missing", "set_aside")
    text = "\n".join(line for section in told["sections"] for line in section["sentences"])
    assert text.count(REASON) == 1
    assert text.count("Ines Okparo") >= 2
    assert client.get(f"/api/units/{unit}/report", params={"lang": lang}).content[:4] == b"%PDF"


def test_a_report_of_the_consignment_names_who_set_what_aside(
    client: TestClient, send: Send
) -> None:
    consignment = new_id()
    made = {"id": consignment, "label": "FICTIONAL"}
    assert client.post("/api/consignments", json=made).status_code == 201
    unit = send("us-face-without-number.png", consignment_id=consignment)["unit_id"]
    set_aside(client, unit, finding(client, unit, "us-tc-number-absent")["id"])
    reply = "The number is on the box of this model."
    said = {"id": new_id(), "disposition": "holder_answered", "reason": reply, "about": "agrees"}
    assert client.post(f"/api/units/{unit}/decisions", json=said).status_code == 201
    path = f"/api/consignments/{consignment}/report"
    told = client.get(path, params={"format": "json"}).json()
    (single,) = [
        one["table"]["rows"]
        for one in told["sections"]
        if one["title"] == "What people said of single units"
    ]
    assert len(single) == 1
    for words in (REASON, reply, "Ines Okparo"):
        assert words in single[0][1]
    rows = [row for section in told["sections"] for row in (section["table"] or {}).get("rows", [])]
    assert any("After Ines Okparo set findings aside" in cell for row in rows for cell in row)


def test_what_units_say_beside_each_other_is_answered_like_any_finding(
    client: TestClient, send: Send
) -> None:
    consignment = new_id()
    client.post("/api/consignments", json={"id": consignment, "label": "FICTIONAL"})
    send("us-face.png", consignment_id=consignment)
    send("us-box-other-class.png", consignment_id=consignment)

    def beside() -> list[dict[str, Any]]:
        found: list[dict[str, Any]] = client.get(f"/api/consignments/{consignment}").json()[
            "across"
        ]
        return found

    (one,) = beside()
    body = {"id": new_id(), "finding": one["id"], "kind": "own_words", "reason": REASON}
    path = f"/api/consignments/{consignment}/answers"
    assert client.post(path, json={**body, "finding": "0" * 16}).status_code == 422
    assert client.post(path, json=body).status_code == 201
    (said,) = beside()
    assert [answer["reason"] for answer in said["answers"]] == [REASON]
    told = client.get(f"/api/consignments/{consignment}/report", params={"format": "json"}).json()
    assert REASON in str(told["sections"])
    # one more unit of the same kind makes another finding of it, which nobody answered
    send("us-box-other-class.png", consignment_id=consignment)
    (grown,) = beside()
    assert grown["answers"] == []
