"""A decision is recorded against what the person saw, and an answer against its own question."""

from collections.abc import Callable
from typing import Any

import pytest
from starlette.testclient import TestClient

from inkwitness.records.store import new_id
from tests.api.test_confirmations import confirm
from tests.api.test_consignments import look_up, make, ways, whole
from tests.api.test_units import decide

Send = Callable[..., dict[str, Any]]


def seen_of(client: TestClient, where: str) -> dict[str, Any]:
    found: dict[str, Any] = client.get(f"/api/{where}").json()["seen"]
    return found


def refused(answer: Any) -> str:
    assert (answer.status_code, answer.json()["error"]["key"]) == (409, "changed_since")
    return str(answer.json()["error"]["message"])


def test_a_unit_is_kept_in_only_with_the_outcome_that_was_on_the_screen(
    client: TestClient, send: Send
) -> None:
    """The screen said that nothing can be told; until the word arrives a photo shows a conflict."""
    consignment, (_, odd) = whole(client, send, "plain.png", "cannot_tell.png")
    unit = f"units/{odd['unit_id']}"
    seen = seen_of(client, unit)
    more = send("conflict.png", unit_id=odd["unit_id"], surface="strap")
    confirm(client, more["photo_id"], "TC-84A-9981")
    message = refused(decide(client, unit, "keep_in", "the crease hides it", seen=seen))
    assert "outcome is another" in message
    assert "undecided_conflict" in ways(client, consignment)
    now = seen_of(client, unit)
    assert decide(client, unit, "keep_in", "the holder explained it", seen=now).status_code == 201


def test_goods_that_are_returned_settle_no_outcome_that_was_not_seen(
    client: TestClient, send: Send
) -> None:
    """A return also works from a phone that was away: it is kept, and leaves the unit open."""
    consignment, (_, odd) = whole(client, send, "plain.png", "cannot_tell.png")
    unit = f"units/{odd['unit_id']}"
    seen = seen_of(client, unit)
    more = send("conflict.png", unit_id=odd["unit_id"], surface="strap")
    confirm(client, more["photo_id"], "TC-84A-9981")
    assert decide(client, unit, "return", "as seen", seen=seen).status_code == 201
    assert "undecided_conflict" in ways(client, consignment)


def test_a_hold_is_lifted_only_as_it_was_seen_and_never_refused(
    client: TestClient, send: Send
) -> None:
    consignment, _ = whole(client, send, "plain.png")
    where = f"consignments/{consignment}"
    first = seen_of(client, where)
    assert decide(client, where, "hold").status_code == 201
    seen = seen_of(client, where)
    decide(client, where, "lift_hold", "the holder answered")
    assert decide(client, where, "hold", seen=first).status_code == 201
    message = refused(decide(client, where, "lift_hold", "of yesterday", seen=seen))
    assert "Somebody decided on it" in message
    assert client.get(f"/api/{where}").json()["held"] is True


def test_an_agreement_is_to_what_was_on_the_screen(client: TestClient, send: Send) -> None:
    """She agrees without a network on Monday; on Tuesday a conflict is kept in; her word comes."""
    consignment, (_, odd) = whole(client, send, "plain.png", "conflict.png")
    where = f"consignments/{consignment}"
    seen = seen_of(client, where)
    decide(client, f"units/{odd['unit_id']}", "keep_in", "a known misprint")
    refused(decide(client, where, "agree", about="release", seen=seen))
    fresh = seen_of(client, where)
    assert decide(client, where, "agree", about="release", seen=fresh).status_code == 201
    # sent again, it is the same word, whatever became known since
    body: dict[str, Any] = {"id": new_id(), "disposition": "agree", "about": "release"}
    body |= {"seen": seen_of(client, where)}
    path = f"/api/{where}/decisions"
    assert client.post(path, json=body).status_code == 201
    decide(client, where, "hold")
    assert client.post(path, json=body).status_code == 201


def test_a_release_names_what_changed_and_one_without_what_was_seen_goes_as_before(
    client: TestClient, send: Send
) -> None:
    consignment, _ = whole(client, send, "plain.png")
    where = f"consignments/{consignment}"
    seen = seen_of(client, where)
    look_up(client, words="looked again")
    message = refused(decide(client, where, "release", "all looked at", seen=seen))
    assert "What is known of it has changed" in message
    assert decide(client, where, "release", "all looked at").status_code == 201


def test_of_two_open_questions_an_answer_says_which(client: TestClient, send: Send) -> None:
    consignment, _ = whole(client, send, "plain.png")
    where = f"consignments/{consignment}"
    first = decide(client, where, "ask_holder", "is A310 yours?").json()["decision_id"]
    second = decide(client, where, "ask_holder", "is VX-910 sold so?").json()["decision_id"]
    bare = decide(client, where, "holder_answered", "yes", about="agrees")
    assert (bare.status_code, bare.json()["error"]["key"]) == (422, "which_question")
    no = decide(client, where, "holder_answered", "no, not ours", about="differs", answers=first)
    assert no.status_code == 201, no.text
    assert no.json()["answers"] == first
    assert ways(client, consignment) == {"answer_awaited", "answer_differs"}
    yes = decide(client, where, "holder_answered", "yes", about="agrees", answers=second)
    assert yes.status_code == 201
    assert ways(client, consignment) == {"answer_differs"}
    later = decide(client, where, "holder_answered", "it is ours after all", about="agrees")
    assert (later.status_code, later.json()["answers"]) == (201, first)
    assert ways(client, consignment) == set()


@pytest.mark.parametrize("kind", ["holder_answered", "dissent"])
def test_an_answer_names_a_question_on_these_goods(client: TestClient, kind: str) -> None:
    where = f"consignments/{make(client)}"
    elsewhere = f"consignments/{make(client)}"
    asked = decide(client, elsewhere, "ask_holder", "yours?").json()["decision_id"]
    about = "agrees" if kind == "holder_answered" else "release"
    answer = decide(client, where, kind, "as they say", about=about, answers=asked)
    assert answer.status_code == 422


def test_a_message_about_a_lot_asks_about_it_and_its_answer_closes_it_alone(
    client: TestClient,
) -> None:
    lots = [{"code": "A310", "units": 2}, {"code": "A311", "units": 2}]
    consignment = make(client, lots=lots)
    path = f"/api/consignments/{consignment}/dispatches"
    body = {"recipients": [{"party": "holder", "name": "Vexholm Filtration"}]}

    def write(**more: Any) -> Any:
        told = {**body, "id": new_id(), "decision_id": new_id(), **more}
        answer = client.post(path, json=told)
        assert answer.status_code == 201, answer.text
        return answer.json()

    asked = write(kind="message", text="Is lot A310 yours?", lot="A310")
    write(kind="message", text="Is the print yours?")
    assert asked["lot"] == "A310"
    write(kind="answer", text="Yes.", about="agrees", answers=asked["dispatch_id"])
    stands = client.get(f"/api/consignments/{consignment}").json()
    open_in = {
        one["code"]: [why["key"] for why in one["in_the_way"] if "answer" in why["key"]]
        for one in stands["lot_stands"]
    }
    # what was asked about all of them is awaited for each
    assert open_in == {"A310": ["answer_awaited"], "A311": ["answer_awaited"]}
    kept = [(one["disposition"], one["lot"]) for one in stands["decisions"]]
    assert kept == [("ask_holder", "A310"), ("ask_holder", ""), ("holder_answered", "A310")]
