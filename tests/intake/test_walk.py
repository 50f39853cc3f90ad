"""Ticks of the walk list: one list for everybody at work on the goods, and the last word counts.

Issue 25, point 4; that a tick says nothing about a unit is the project's own rule.
"""

from typing import Any

from starlette.testclient import TestClient

from inkwitness.records.store import new_id
from tests.api.conftest import HEADERS
from tests.api.test_consignments import plan
from tests.intake.conftest import consignment


def drawn(client: TestClient) -> tuple[str, list[str]]:
    """A consignment with a draw, and the places of it."""
    goods = consignment(client, units_declared=20, cartons_declared=5)
    assert plan(client, goods).status_code == 201
    seen = client.get(f"/api/consignments/{goods}").json()
    return goods, [one["place"] for one in seen["drawn"]]


def tick(client: TestClient, goods: str, place: str, picked: bool, **more: Any) -> Any:
    body = {"id": new_id(), "place": place, "picked": picked, **more.pop("body", {})}
    return client.post(f"/api/consignments/{goods}/picked", json=body, **more)


def picked(client: TestClient, goods: str) -> dict[str, str]:
    """The ticked places, and who ticked each."""
    seen = client.get(f"/api/consignments/{goods}/picked").json()
    return {one["place"]: one["by"]["name"] for one in seen["picked"]}


def test_what_one_ticks_another_sees_and_the_last_word_counts(client: TestClient) -> None:
    goods, (first, second, *_) = drawn(client)
    assert picked(client, goods) == {}
    bo = {**HEADERS, "X-Actor": "Bo%20Terrazin"}
    assert tick(client, goods, first, True).status_code == 201
    assert tick(client, goods, second, True, headers=bo).status_code == 201
    assert picked(client, goods) == {first: "Ines Okparo", second: "Bo Terrazin"}
    tick(client, goods, first, False, headers=bo)
    assert picked(client, goods) == {second: "Bo Terrazin"}
    other, _ = drawn(client)
    assert picked(client, other) == {}


def test_a_tick_that_is_sent_twice_is_kept_once_and_changes_nothing_else(
    client: TestClient,
) -> None:
    goods, (place, *_) = drawn(client)
    before = client.get(f"/api/consignments/{goods}").json()
    once = {"id": new_id()}
    assert tick(client, goods, place, True, body=once).status_code == 201
    tick(client, goods, place, False)
    # the phone did not hear the first answer and says it again: the later word stands
    assert tick(client, goods, place, True, body=once).status_code == 201
    assert picked(client, goods) == {}
    assert tick(client, goods, place, False, body=once).status_code == 409
    assert client.get(f"/api/consignments/{goods}/declared").json()["history"] == []
    after = client.get(f"/api/consignments/{goods}").json()
    assert (after["outcome"], after["in_the_way"]) == (before["outcome"], before["in_the_way"])


def test_a_place_that_no_draw_has_is_refused_and_one_of_an_earlier_draw_is_not(
    client: TestClient,
) -> None:
    goods, (place, *_) = drawn(client)
    refused = tick(client, goods, "C9/U9", True)
    assert refused.status_code == 422
    assert "C9/U9” was not drawn" in refused.json()["error"]["message"]
    again = plan(client, goods, seed="another", instead_because="a carton was opened before")
    assert again.status_code == 201
    assert tick(client, goods, place, True).status_code == 201
    assert tick(client, new_id(), place, True).status_code == 404
