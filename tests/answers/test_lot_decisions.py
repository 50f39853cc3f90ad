"""A decision may name a lot: through the API, with the gate computed for that lot's units."""

from collections.abc import Callable
from typing import Any

import pytest
from starlette.testclient import TestClient

from inkwitness.records.store import new_id

Send = Callable[..., dict[str, Any]]
LOTS = [{"code": "A310", "units": 2}, {"code": "A311", "units": 2}]


@pytest.fixture
def consignment(client: TestClient, send: Send) -> str:
    """Two lots, one unit of each looked at; the one of A311 lacks its approval number."""
    id_ = new_id()
    made = {"id": id_, "label": "FICTIONAL", "lots": LOTS}
    assert client.post("/api/consignments", json=made).status_code == 201
    send("us-face.png", consignment_id=id_, label="A310/U1")
    send("us-face-without-number.png", consignment_id=id_, label="A311/U1")
    return id_


def decide(client: TestClient, consignment: str, kind: str, lot: str = "", **more: Any) -> Any:
    body = {"id": new_id(), "disposition": kind, "reason": "As asked.", "lot": lot, **more}
    return client.post(f"/api/consignments/{consignment}/decisions", json=body)


def stands(client: TestClient, consignment: str) -> dict[str, dict[str, Any]]:
    told = client.get(f"/api/consignments/{consignment}").json()
    return {one["code"]: one for one in told["lot_stands"]}


def test_each_lot_says_what_its_own_release_waits_for(client: TestClient, consignment: str) -> None:
    found = stands(client, consignment)
    keys = {code: {one["key"] for one in lot["in_the_way"]} for code, lot in found.items()}
    assert "undecided_missing" in keys["A311"]
    assert "undecided_missing" not in keys["A310"]
    assert "no_plan" in keys["A310"]
    refused = decide(client, consignment, "release", "A310")
    assert refused.status_code == 409
    assert "nobody decided" not in refused.json()["error"]["message"]


def test_a_hold_on_one_lot_leaves_the_other_and_shows_on_the_whole(
    client: TestClient, consignment: str
) -> None:
    answer = decide(client, consignment, "hold", "A310")
    assert (answer.status_code, answer.json()["lot"]) == (201, "A310")
    told = client.get(f"/api/consignments/{consignment}").json()
    assert told["held"] is False
    assert "lot_held" in {one["key"] for one in told["in_the_way"]}
    found = stands(client, consignment)
    assert (found["A310"]["held"], found["A311"]["held"]) == (True, False)
    assert decide(client, consignment, "lift_hold").status_code == 409
    assert decide(client, consignment, "lift_hold", "A311").status_code == 409
    assert decide(client, consignment, "lift_hold", "A310").status_code == 201
    assert stands(client, consignment)["A310"]["held"] is False


def test_a_hold_on_the_whole_holds_every_lot(client: TestClient, consignment: str) -> None:
    decide(client, consignment, "hold")
    assert all(lot["held"] for lot in stands(client, consignment).values())
    assert decide(client, consignment, "lift_hold", "A310").status_code == 409
    report = client.get(f"/api/consignments/{consignment}/report", params={"format": "json"})
    (lots,) = [one for one in report.json()["sections"] if one["title"] == "Lot by lot"]
    assert [row[0] for row in lots["table"]["rows"]] == ["A310", "A311"]
    assert all("HOLD" in row[1] for row in lots["table"]["rows"])


def test_only_a_lot_that_was_declared_is_decided_on(client: TestClient, consignment: str) -> None:
    answer = decide(client, consignment, "hold", "A999")
    assert answer.status_code == 422
    assert "A310, A311" in answer.json()["error"]["message"]
    unit = client.get(f"/api/consignments/{consignment}").json()["rows"][0]["unit_id"]
    body = {"id": new_id(), "disposition": "hold", "lot": "A310"}
    assert client.post(f"/api/units/{unit}/decisions", json=body).status_code == 422
