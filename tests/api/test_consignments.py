"""Consignments: declared, drawn, looked at unit by unit, decided on by a person."""

import csv
import hashlib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from inkwitness.records.store import new_id
from tests.api.test_confirmations import confirm
from tests.api.test_units import decide

Send = Callable[..., dict[str, Any]]
DRAWS = Path(__file__).parents[1] / "sampling" / "tables" / "draw_vectors.csv"


def make(client: TestClient, **more: Any) -> str:
    body = {"id": new_id(), "label": "FICTIONAL delivery", "supplier": "Kestrane Medical Supply"}
    answer = client.post("/api/consignments", json={**body, **more})
    assert answer.status_code == 201, answer.text
    return str(answer.json()["consignment_id"])


def plan(client: TestClient, consignment: str, **more: Any) -> Any:
    body = {"id": new_id(), "kind": "discovery", "seed": "PO 1188", "odd_share": "0.05", **more}
    return client.post(f"/api/consignments/{consignment}/plan", json=body)


def test_a_consignment_is_kept_and_a_repeat_changes_nothing(client: TestClient) -> None:
    body = {"id": new_id(), "label": "FICTIONAL", "units_declared": 400, "lots": ["A310", "A311"]}
    answers = [client.post("/api/consignments", json=body) for _ in range(2)]
    assert [answer.status_code for answer in answers] == [201, 201]
    assert client.post("/api/consignments", json={**body, "note": "x"}).status_code == 409
    (row,) = client.get("/api/consignments").json()["consignments"]
    assert row["lots"][1] == {"code": "A311", "units": None, "cartons": None}
    assert (row["outcome"], row["units"], row["held"]) == (None, 0, False)


@pytest.mark.parametrize("lots", [["A/1"], [""], [{"code": "A", "units": 0}]])
def test_a_lot_that_cannot_be_used_is_refused(client: TestClient, lots: list[Any]) -> None:
    body = {"id": new_id(), "label": "FICTIONAL", "lots": lots}
    assert client.post("/api/consignments", json=body).status_code == 422


def test_59_of_20000_units_show_5_percent_with_95_percent(client: TestClient) -> None:
    """n from the zero-found table for 20,000 units at 5 % (hypergeometric, computed)."""
    consignment = make(client, units_declared=20_000, cartons_declared=50)
    answer = plan(client, consignment)
    assert answer.status_code == 201
    assert (answer.json()["n"], answer.json()["lot"]) == (59, 20_000)
    seen = client.get(f"/api/consignments/{consignment}").json()
    assert len(seen["drawn"]) == seen["left_to_do"] == 59
    assert seen["statement"] == []
    assert seen["drawn"][0]["place"].startswith("C0")


def test_the_draw_can_be_repeated_with_a_hash_tool(client: TestClient) -> None:
    consignment = make(client, units_declared=400, cartons_declared=10)
    plan(client, consignment, seed="dice 4 1 6 2")
    ticks = client.get(f"/api/consignments/{consignment}/tick-list").json()
    everything = [f"C{c:03}/U{u:02}" for c in range(1, 11) for u in range(1, 41)]
    by_hand = sorted(
        everything, key=lambda u: hashlib.sha256(f"dice 4 1 6 2|{u}".encode()).hexdigest()
    )
    assert [one["place"] for one in ticks["units"]] == by_hand[: len(ticks["units"])]
    assert ticks["frame"] == 400


def test_lots_are_drawn_in_proportion(client: TestClient) -> None:
    lots = [{"code": code, "units": 8000, "cartons": 20} for code in ("A310", "A311", "A312")]
    consignment = make(client, lots=lots)
    plan(client, consignment, odd_share="0.02")
    drawn = client.get(f"/api/consignments/{consignment}/tick-list").json()["units"]
    per_lot = {
        code: sum(one["group"] == code for one in drawn) for code in ("A310", "A311", "A312")
    }
    assert max(per_lot.values()) - min(per_lot.values()) <= 1


def test_a_plan_by_carton_opens_cartons_and_needs_to_know_them(client: TestClient) -> None:
    with_cartons = make(client, units_declared=400, cartons_declared=10)
    answer = plan(client, with_cartons, kind="by_carton", odd_cartons=3)
    assert answer.status_code == 201
    assert answer.json()["cartons_opened"] == len(answer.json()["cartons"])
    without = make(client, units_declared=400)
    assert plan(client, without, kind="by_carton").status_code == 422


def test_an_attribute_plan_keeps_its_letter_and_numbers(client: TestClient) -> None:
    """MIL-STD-105E table II-A: lot 5,000, level II gives letter L, n 200; AQL 1.5: 7 and 8."""
    consignment = make(client, units_declared=5000)
    told = plan(client, consignment, kind="attribute", odd_share=None).json()
    assert (told["letter"], told["n"], told["accept"], told["reject"]) == ("L", 200, 7, 8)


@pytest.mark.parametrize(
    ("declared", "asked", "says"),
    [
        ({}, {}, "number of units is not known"),
        ({"units_declared": 401, "cartons_declared": 10}, {}, "equally"),
        ({"units_declared": 100}, {"odd": 1, "odd_share": None, "sensitivity": "0.9"}, "no sample"),
        ({"units_declared": 100}, {"confidence": "1"}, "confidence"),
        ({"units_declared": 100}, {"seed": " "}, "seed"),
    ],
)
def test_a_question_without_an_answer_says_why(
    client: TestClient, declared: dict[str, Any], asked: dict[str, Any], says: str
) -> None:
    answer = plan(client, make(client, **declared), **asked)
    assert answer.status_code == 422
    assert says in answer.json()["error"]["message"].lower()


def test_a_sample_that_is_complete_and_confirmed_says_what_it_shows(
    client: TestClient, send: Send
) -> None:
    consignment = make(client, units_declared=20, cartons_declared=5)
    told = plan(client, consignment, odd_share="0.5").json()
    drawn = client.get(f"/api/consignments/{consignment}/tick-list").json()["units"]
    for number, one in enumerate(drawn):
        taken = send(consignment_id=consignment, label=one["place"])
        halfway = client.get(f"/api/consignments/{consignment}").json()
        assert halfway["statement"] == []
        confirm(client, taken["photo_id"], "TC-84A-9981")
        seen = client.get(f"/api/consignments/{consignment}").json()
        assert seen["left_to_do"] == told["n"] - number - 1
    assert seen["drawn_looked_at"] == told["n"]
    assert seen["statement"]
    assert any("95" in sentence["text"] for sentence in seen["statement"])
    assert seen["outcome"] == "no_conflict_found"
    assert seen["by_outcome"] == {"no_conflict_found": told["n"]}
    hold = {"id": new_id(), "disposition": "hold"}
    client.post(f"/api/units/{taken['unit_id']}/decisions", json=hold)
    after = client.get(f"/api/consignments/{consignment}").json()["statement"]
    keys = {one["key"] for one in after}
    assert {"after.open", "after.set_apart"} <= keys
    assert not any("none differed" in one["text"] for one in after)


def test_a_group_is_counted_in_pieces_and_never_in_the_sample(
    client: TestClient, send: Send
) -> None:
    consignment = make(client, units_declared=20, cartons_declared=5)
    plan(client, consignment, odd_share="0.5")
    drawn = client.get(f"/api/consignments/{consignment}/tick-list").json()["units"]
    send("missing.png", consignment_id=consignment, label=drawn[0]["place"], count="12")
    seen = client.get(f"/api/consignments/{consignment}").json()
    assert (seen["groups"], seen["units"], seen["pieces"]) == (1, 0, 12)
    assert (seen["looked_at"], seen["drawn_looked_at"]) == (0, 0)
    assert seen["pieces_by_outcome"] == {"missing": 12}


def test_a_unit_checked_alone_can_be_put_under_a_consignment_later(
    client: TestClient, send: Send
) -> None:
    first, second = make(client), make(client)
    unit = send()["unit_id"]
    for consignment in (first, second):
        body = {"id": new_id(), "consignment_id": consignment, "place": "C001/U01"}
        assert client.post(f"/api/units/{unit}/attach", json=body).status_code == 201
    assert client.get(f"/api/units?consignment_id={first}").json()["units"] == []
    (row,) = client.get(f"/api/units?consignment_id={second}").json()["units"]
    assert (row["unit_id"], row["place"]) == (unit, "C001/U01")


def test_one_conflict_is_the_outcome_and_a_release_is_refused(
    client: TestClient, send: Send
) -> None:
    consignment = make(client)
    for name in ("plain.png", "plain.png", "conflict.png"):
        send(name, consignment_id=consignment)
    seen = client.get(f"/api/consignments/{consignment}").json()
    assert seen["outcome"] == "conflict"
    keys = {one["key"] for one in seen["in_the_way"]}
    assert keys == {"conflict", "to_be_confirmed", "no_official_look_up"}
    assert decide(client, f"consignments/{consignment}", "release", "needed").status_code == 409


def test_a_hold_covers_the_consignment_and_is_kept(client: TestClient) -> None:
    consignment = make(client)
    where = f"consignments/{consignment}"
    assert decide(client, where, "hold").status_code == 201
    assert client.get(f"/api/{where}").json()["held"] is True
    assert decide(client, where, "ask_holder", "asked about lot A312").status_code == 201
    assert client.get(f"/api/{where}").json()["held"] is True
    assert decide(client, where, "release", "why not").status_code == 409


def test_an_unknown_consignment_is_not_found(client: TestClient) -> None:
    for path in ("", "/tick-list"):
        assert client.get(f"/api/consignments/{new_id()}{path}").status_code == 404
    assert plan(client, new_id()).status_code == 404


def test_a_stored_draw_is_that_of_the_published_vectors(client: TestClient) -> None:
    with DRAWS.open(newline="") as file:
        rows = list(csv.DictReader(file))
    seed = rows[0]["seed"]
    wanted = [row["unit"] for row in rows if row["seed"] == seed]
    consignment = make(client)
    answer = plan(client, consignment, seed=seed, odd_share="0.5", units=sorted(wanted))
    assert answer.status_code == 201
    drawn = client.get(f"/api/consignments/{consignment}/tick-list").json()["units"]
    assert [one["place"] for one in drawn] == wanted[: len(drawn)]
