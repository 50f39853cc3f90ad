"""A person's word on a mark: kept, used, taken back; and what if two people differ."""

from collections.abc import Callable
from typing import Any

import pytest
from starlette.testclient import TestClient

from inkwitness.records.store import new_id
from tests.api.fake_checker import NUMBER

Send = Callable[..., dict[str, Any]]


def confirm(client: TestClient, photo_id: str, printed: str | None, **more: Any) -> Any:
    actor = more.pop("actor", None)
    body = {
        "id": new_id(),
        "photo_id": photo_id,
        "item": 0,
        "mark": "approval_number",
        "scheme": "",
        "printed": printed,
        "from": "as_read",
        "read_as": NUMBER,
        "supersedes": None,
        **more,
    }
    headers = {"X-Actor": actor} if actor else {}
    return client.post("/api/confirmations", json=body, headers=headers)


def test_a_confirmation_makes_a_new_check_and_leaves_the_reading(
    client: TestClient, send: Send
) -> None:
    taken = send()
    answer = confirm(client, taken["photo_id"], NUMBER)
    assert answer.status_code == 201
    assert answer.json()["check"]["basis"] == "confirmed"
    unit = client.get(f"/api/units/{taken['unit_id']}").json()
    assert [check["basis"] for check in unit["checks"]] == ["confirmed", "reading"]
    assert unit["checks"][0]["confirmations"] == [answer.json()["confirmation_id"]]
    assert unit["checks"][1]["check_id"] == taken["job"]["check_id"]


def test_who_confirmed_and_how_far_their_clock_was_off_is_kept(
    client: TestClient, send: Send
) -> None:
    taken = send()
    confirm(client, taken["photo_id"], NUMBER)
    (word,) = client.get(f"/api/units/{taken['unit_id']}").json()["confirmations"]
    assert word["by"]["name"] == "Ines Okparo"
    assert word["by"]["clock_offset_ms"] == -7 * 60 * 1000
    assert word["from"] == "as_read"


def test_a_mark_that_cannot_be_read_is_a_word_too(client: TestClient, send: Send) -> None:
    taken = send()
    answer = confirm(client, taken["photo_id"], None, **{"from": "typed"})
    assert answer.json()["check"]["marks"]["approval_number"]["standing"] == "absent"


def test_a_repeat_changes_nothing_and_other_content_is_refused(
    client: TestClient, send: Send
) -> None:
    taken, id_ = send(), new_id()
    first = confirm(client, taken["photo_id"], NUMBER, id=id_)
    again = confirm(client, taken["photo_id"], NUMBER, id=id_)
    other = confirm(client, taken["photo_id"], "TC-84A-9918", id=id_)
    assert (first.status_code, again.status_code, other.status_code) == (201, 201, 409)
    assert again.json() == first.json()
    assert len(client.get(f"/api/units/{taken['unit_id']}").json()["checks"]) == 2


def test_taking_a_word_back_is_appended_and_the_basis_is_the_reading_again(
    client: TestClient, send: Send
) -> None:
    taken = send()
    word = confirm(client, taken["photo_id"], "TC-84A-9918").json()["confirmation_id"]
    answer = client.post(f"/api/confirmations/{word}/withdraw", json={"id": new_id()})
    assert answer.status_code == 201
    assert answer.json()["check"]["basis"] == "reading"
    assert answer.json()["check"]["marks"]["approval_number"]["value"] == NUMBER
    unit = client.get(f"/api/units/{taken['unit_id']}").json()
    assert len(unit["checks"]) == 3
    assert [entry["in_force"] for entry in unit["confirmations"]] == [False, False]
    assert unit["confirmations"][1]["withdraws"] == word


def test_a_persons_later_word_takes_the_place_of_their_earlier_one(
    client: TestClient, send: Send
) -> None:
    taken = send()
    confirm(client, taken["photo_id"], "TC-84A-9918")
    answer = confirm(client, taken["photo_id"], NUMBER)
    assert answer.json()["check"]["marks"]["approval_number"]["value"] == NUMBER


def test_where_two_people_differ_the_last_to_write_does_not_win(
    client: TestClient, send: Send
) -> None:
    taken = send()
    first = confirm(client, taken["photo_id"], "TC-84A-9918").json()
    other = confirm(client, taken["photo_id"], NUMBER, actor="Bo%20Terrazin").json()
    assert other["check"]["basis"] == "reading"
    assert "confirmations_differ:approval_number" in other["check"]["notes"]
    chosen = confirm(
        client,
        taken["photo_id"],
        NUMBER,
        actor="Bo%20Terrazin",
        supersedes=first["confirmation_id"],
    ).json()
    assert chosen["check"]["basis"] == "confirmed"
    assert chosen["check"]["notes"] == []


def test_a_word_can_only_supersede_one_on_the_same_mark(client: TestClient, send: Send) -> None:
    taken = send()
    word = confirm(client, taken["photo_id"], "N95", mark="filter_class").json()
    answer = confirm(client, taken["photo_id"], NUMBER, supersedes=word["confirmation_id"])
    assert answer.status_code == 422


def test_a_word_on_an_unknown_photo_is_not_found(client: TestClient) -> None:
    assert confirm(client, new_id(), NUMBER).status_code == 404


@pytest.mark.parametrize("change", [{"from": "guessed"}, {"item": -1}, {"extra": 1}])
def test_a_word_that_cannot_be_used_is_refused(
    client: TestClient, send: Send, change: dict[str, Any]
) -> None:
    answer = confirm(client, send()["photo_id"], NUMBER, **change)
    assert answer.status_code == 422
    assert answer.json()["error"]["code"] == "bad_input"


def test_agreement_counts_only_what_was_typed_before_it_was_shown(
    client: TestClient, send: Send
) -> None:
    blind = {"from": "typed_before_shown"}
    confirm(client, send()["photo_id"], "tc-84a-9981", **blind)  # same letters
    confirm(client, send()["photo_id"], "TC-84A-9918", **blind)  # differs
    confirm(client, send()["photo_id"], None, **blind)  # could not read it
    confirm(client, send()["photo_id"], NUMBER)  # was shown
    assert client.get("/api/agreement").json() == {"asked": 3, "same": 1, "differed": 2}
