"""Consignments: declared, drawn, looked at unit by unit, decided on by a person."""

import csv
import hashlib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from inkwitness.api.app import create_app
from inkwitness.records.store import new_id
from tests.api.conftest import HEADERS, NOW, png, settings
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
    body = {
        "id": new_id(),
        "kind": "discovery",
        "seed": "PO 1188",
        "nonconforming_share": "0.05",
        **more,
    }
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
    by_context = sorted(
        everything, key=lambda u: hashlib.sha256(f"dice 4 1 6 2|{u}".encode()).hexdigest()
    )
    assert [one["place"] for one in ticks["units"]] == by_context[: len(ticks["units"])]
    assert ticks["frame"] == 400


def test_lots_without_sizes_are_not_told_apart_and_cartons_are_not_taken_for_lots(
    client: TestClient,
) -> None:
    """n from the zero-found table for 40,000 units at 5 % (hypergeometric, computed)."""
    consignment = make(client, units_declared=40_000, cartons_declared=100, lots=["A", "B"])
    made = plan(client, consignment)
    assert made.status_code == 201, made.text
    drawn = client.get(f"/api/consignments/{consignment}").json()["drawn"]
    assert (made.json()["n"], len(drawn)) == (59, 59)


def test_lots_are_drawn_in_proportion(client: TestClient) -> None:
    lots = [{"code": code, "units": 8000, "cartons": 20} for code in ("A310", "A311", "A312")]
    consignment = make(client, lots=lots)
    plan(client, consignment, nonconforming_share="0.02")
    drawn = client.get(f"/api/consignments/{consignment}/tick-list").json()["units"]
    per_lot = {
        code: sum(one["group"] == code for one in drawn) for code in ("A310", "A311", "A312")
    }
    assert max(per_lot.values()) - min(per_lot.values()) <= 1


def test_a_plan_by_carton_opens_cartons_and_needs_to_know_them(client: TestClient) -> None:
    with_cartons = make(client, units_declared=400, cartons_declared=10)
    answer = plan(client, with_cartons, kind="by_carton", nonconforming_cartons=3)
    assert answer.status_code == 201
    assert answer.json()["cartons_opened"] == len(answer.json()["cartons"])
    without = make(client, units_declared=400)
    assert plan(client, without, kind="by_carton").status_code == 422


def test_an_attribute_plan_keeps_its_letter_and_numbers(client: TestClient) -> None:
    """MIL-STD-105E table II-A: lot 5,000, level II gives letter L, n 200; AQL 1.5: 7 and 8."""
    consignment = make(client, units_declared=5000)
    told = plan(client, consignment, kind="attribute", nonconforming_share=None).json()
    assert (told["letter"], told["n"], told["accept"], told["reject"]) == ("L", 200, 7, 8)


@pytest.mark.parametrize(
    ("declared", "asked", "says"),
    [
        ({}, {}, "number of units is not known"),
        ({"units_declared": 401, "cartons_declared": 10}, {}, "equally"),
        (
            {"units_declared": 100},
            {"nonconforming": 1, "nonconforming_share": None, "sensitivity": "0.9"},
            "no sample",
        ),
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
    told = plan(client, consignment, nonconforming_share="0.5").json()
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


def test_the_sentence_on_a_sample_counts_conflicts_and_units_that_cannot_be_told(
    client: TestClient, send: Send
) -> None:
    """Two of the drawn units conflict and one cannot be told: neither is one that agrees.

    The bound takes a unit that cannot be told at worst (common practice).
    """
    consignment = make(client, units_declared=20)
    n = plan(client, consignment, nonconforming_share="0.4").json()["n"]
    drawn = client.get(f"/api/consignments/{consignment}/tick-list").json()["units"]
    names = ["conflict.png", "conflict.png", "cannot_tell.png", *["plain.png"] * (n - 3)]
    for one, name in zip(drawn, names, strict=True):
        taken = send(name, consignment_id=consignment, label=one["place"])
        confirm(client, taken["photo_id"], "TC-84A-9981")
    seen = client.get(f"/api/consignments/{consignment}").json()
    assert seen["by_outcome"]["conflict"] == 2
    said = {one["key"]: one["values"] for one in seen["statement"]}
    assert said["after.hold"] == {"differed": 2, "looked_at": n}
    assert said["after.untold"] == {"untold": 1}
    assert said["after.at_worst"]["open"] == 1
    assert "after.none_differed" not in said


def test_a_group_is_counted_in_pieces_and_never_in_the_sample(
    client: TestClient, send: Send
) -> None:
    consignment = make(client, units_declared=20, cartons_declared=5)
    plan(client, consignment, nonconforming_share="0.5")
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
    assert keys == {"undecided_conflict", "to_be_confirmed", "no_plan", "no_official_look_up"}
    assert all(one["says"] and one["lift"] for one in seen["in_the_way"])
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
    answer = plan(client, consignment, seed=seed, nonconforming_share="0.5", units=sorted(wanted))
    assert answer.status_code == 201
    drawn = client.get(f"/api/consignments/{consignment}/tick-list").json()["units"]
    assert [one["place"] for one in drawn] == wanted[: len(drawn)]


def look_up(client: TestClient, looked_up: str = "TC-84A-9981", **more: str) -> None:
    body = {
        "id": new_id(),
        "looked_up": looked_up,
        "list_name": "FICTIONAL public list",
        "answer": "listed_same",
        "words": "TC-84A-9981, Vexholm Filtration Works, VX-910, N95",
        **more,
    }
    assert client.post("/api/holders/look-ups", data=body).status_code == 201


def ways(client: TestClient, consignment: str) -> set[str]:
    seen = client.get(f"/api/consignments/{consignment}").json()
    return {one["key"] for one in seen["in_the_way"]}


def whole(client: TestClient, send: Send, *names: str) -> tuple[str, list[dict[str, Any]]]:
    """A consignment of which every unit was looked at, confirmed and looked up."""
    consignment = make(client, units_declared=len(names))
    taken = [send(name, consignment_id=consignment) for name in names]
    for one in taken:
        confirm(client, one["photo_id"], "TC-84A-9981")
    look_up(client)
    return consignment, taken


def sampled(client: TestClient, send: Send, units: int) -> str:
    """A consignment of which two drawn units were looked at, confirmed and looked up.

    Where 9 of 10 are nonconforming, two units of many hundreds miss them with 1 % (binomial).
    """
    consignment = make(client, units_declared=units)
    assert plan(client, consignment, nonconforming_share="0.9").json()["n"] == 2
    for one in client.get(f"/api/consignments/{consignment}").json()["drawn"]:
        taken = send("plain.png", consignment_id=consignment, label=one["place"])
        confirm(client, taken["photo_id"], "TC-84A-9981")
    look_up(client)
    return consignment


def test_one_drawn_unit_that_nobody_looked_at_shuts_the_gate(
    client: TestClient, send: Send
) -> None:
    """24,000 units released by one person with 1 of 59 drawn units looked at: never again."""
    consignment = make(client, units_declared=24_000, cartons_declared=60)
    plan(client, consignment)
    drawn = client.get(f"/api/consignments/{consignment}/tick-list").json()["units"]
    taken = send(consignment_id=consignment, label=drawn[0]["place"])
    confirm(client, taken["photo_id"], "TC-84A-9981")
    look_up(client)
    assert ways(client, consignment) == {"drawn_not_looked_at"}
    refused = decide(client, f"consignments/{consignment}", "release", "needed today")
    assert refused.status_code == 409
    assert "nobody looked at: 58" in refused.json()["error"]["message"]


def test_another_draw_is_added_to_the_first_unless_a_reason_takes_its_place(
    client: TestClient, send: Send
) -> None:
    consignment = make(client, units_declared=20, cartons_declared=5)

    def places() -> set[str]:
        told = client.get(f"/api/consignments/{consignment}/tick-list").json()["units"]
        return {one["place"] for one in told}

    def look_at(wanted: set[str]) -> None:
        for place in sorted(wanted):
            taken = send("plain.png", consignment_id=consignment, label=place)
            confirm(client, taken["photo_id"], "TC-84A-9981")

    plan(client, consignment, nonconforming_share="0.5")
    first = places()
    plan(client, consignment, nonconforming_share="0.9", seed="drawn again")
    both = places()
    assert first < both
    look_at(both - first)
    look_up(client)
    assert ways(client, consignment) == {"drawn_not_looked_at"}
    reason = "the lots were split after opening"
    plan(client, consignment, nonconforming_share="0.9", seed="drawn again", instead_because=reason)
    assert both - first <= places() < both
    look_at(places() - (both - first))
    assert ways(client, consignment) == set()


def test_a_persons_decision_on_the_unit_opens_what_its_outcome_shut(
    client: TestClient, send: Send
) -> None:
    consignment, (_, odd) = whole(client, send, "plain.png", "cannot_tell.png")
    where = f"consignments/{consignment}"
    assert ways(client, consignment) == {"undecided_cannot_tell"}
    unit = f"units/{odd['unit_id']}"
    assert decide(client, unit, "keep_in").status_code == 422
    assert decide(client, unit, "keep_in", "the crease hides the lot only").status_code == 201
    released = decide(client, where, "release", "all looked at", until="2031-12-31")
    assert released.status_code == 201, released.text
    assert (released.json()["code"], released.json()["until"]) == ("D1", "2031-12-31")


def test_a_unit_is_not_released_around_its_consignment(client: TestClient, send: Send) -> None:
    _, (one, _) = whole(client, send, "plain.png", "plain.png")
    refused = decide(client, f"units/{one['unit_id']}", "release", "just this one")
    assert refused.status_code == 409
    assert "released with it" in refused.json()["error"]["message"]


def test_goods_are_not_moved_out_of_a_hold_or_out_of_sight(client: TestClient, send: Send) -> None:
    consignment, (fine, odd) = whole(client, send, "plain.png", "conflict.png")
    other = make(client)

    def move(taken: dict[str, Any]) -> int:
        body = {"id": new_id(), "consignment_id": other}
        return client.post(f"/api/units/{taken['unit_id']}/attach", json=body).status_code

    assert move(odd) == 409
    decide(client, f"consignments/{consignment}", "hold")
    assert move(fine) == 409
    decide(client, f"consignments/{consignment}", "lift_hold", "explained by the holder")
    decide(client, f"units/{odd['unit_id']}", "hand_over", "receipt 77, seals 0041 to 0043")
    assert (move(odd), move(fine)) == (201, 201)


def test_limits_are_asked_for_where_a_release_has_some(client: TestClient, send: Send) -> None:
    consignment, _ = whole(client, send, "plain.png")
    where = f"consignments/{consignment}"
    bare = decide(client, where, "release_limited", "past its date")
    assert bare.status_code == 422
    assert decide(client, where, "crisis_reserve", "old", limits="crisis").status_code == 409
    kept = decide(client, where, "release_limited", "past its date", limits="only for training")
    assert (kept.status_code, kept.json()["code"]) == (201, "D2")


def test_an_answer_is_awaited_until_it_is_recorded_and_dissent_stands_beside(
    client: TestClient, send: Send
) -> None:
    consignment, _ = whole(client, send, "plain.png")
    where = f"consignments/{consignment}"
    decide(client, where, "ask_holder", "are lots A310 and A312 yours?")
    assert ways(client, consignment) == {"answer_awaited"}
    decide(client, where, "holder_answered", "no lot A312", about="differs")
    assert ways(client, consignment) == {"answer_differs"}
    decide(client, where, "holder_answered", "A312 is ours after all", about="agrees")
    assert ways(client, consignment) == set()
    assert decide(client, where, "dissent", "too early", about="release").status_code == 201
    assert decide(client, where, "release", "answered").status_code == 201
    kept = client.get(f"/api/{where}").json()["decisions"]
    assert [one["disposition"] for one in kept][-2:] == ["dissent", "release"]
    assert kept[-2]["about"] == "release"


def test_a_look_up_older_than_the_sites_limit_opens_nothing(client: TestClient, send: Send) -> None:
    """Seven days, where nobody set another limit; the newest answer is the one that counts."""
    consignment = make(client, units_declared=1)
    taken = send("plain.png", consignment_id=consignment)
    confirm(client, taken["photo_id"], "TC-84A-9981")
    look_up(client, looked_up_at="2031-03-10T09:00:00+00:00")
    assert ways(client, consignment) == {"look_up_too_old"}
    look_up(client, looked_up_at="2031-03-11T09:00:00+00:00")
    assert ways(client, consignment) == set()
    look_up(client, answer="not_listed", words="gone")
    assert ways(client, consignment) == {"look_up_says_other"}


def test_with_two_persons_a_release_and_lifting_a_hold_wait_for_another_ones_word(
    tmp_path: Path,
) -> None:
    app = create_app(settings(tmp_path, two_persons=True), clock=lambda: NOW)
    with TestClient(app, headers=HEADERS) as client:
        consignment = make(client, units_declared=1)
        where = f"consignments/{consignment}"
        agree = {"disposition": "agree", "about": "lift_hold"}
        other = {"X-Actor": "Bo%20Terrazin"}

        def post(headers: dict[str, str], **body: str) -> int:
            path = f"/api/{where}/decisions"
            return client.post(path, json={"id": new_id(), **body}, headers=headers).status_code

        assert post({}, disposition="hold") == 201
        lift = {"disposition": "lift_hold", "reason": "the holder answered"}
        assert post({}, **lift) == 409
        assert post({}, **agree) == 201
        assert post({}, **lift) == 409
        assert post(other, **agree) == 201
        assert post({}, **lift) == 201
        assert "second_person" in ways(client, consignment)


def test_a_repeated_decision_changes_nothing_even_where_more_is_known_since(
    client: TestClient, send: Send
) -> None:
    consignment, _ = whole(client, send, "plain.png")
    body = {"id": new_id(), "disposition": "release", "reason": "all looked at"}
    path = f"/api/consignments/{consignment}/decisions"
    assert client.post(path, json=body).status_code == 201
    send("conflict.png", consignment_id=consignment)
    assert client.post(path, json=body).status_code in (200, 201)
    assert len(client.get(f"/api/consignments/{consignment}").json()["decisions"]) == 1


def test_units_stand_beside_each_other_the_worst_first_and_never_added_up(
    client: TestClient, send: Send
) -> None:
    consignment = make(client)
    for name in ("plain.png", "conflict.png", "cannot_tell.png"):
        send(name, consignment_id=consignment)
    seen = client.get(f"/api/consignments/{consignment}").json()
    assert [row["outcome"] for row in seen["rows"]] == [
        "conflict",
        "cannot_tell",
        "no_conflict_found",
    ]
    assert all(sum(states.values()) == 3 for states in seen["aspects"].values())


def test_the_same_photo_under_two_units_is_a_finding_of_the_consignment(
    client: TestClient, send: Send
) -> None:
    consignment = make(client)
    first = send(consignment_id=consignment, data=png(colour="red"), label="one")
    second = send(consignment_id=consignment, data=png(colour="red"), label="two")
    send(consignment_id=consignment, data=png(colour="blue"))
    (found,) = client.get(f"/api/consignments/{consignment}").json()["across"]
    assert found["key"] == "same_photo"
    assert set(found["unit_ids"]) == {first["unit_id"], second["unit_id"]}
    told = client.get(f"/api/consignments/{consignment}/report?format=json").json()
    assert "same photo" in str(told)
    table = client.get(f"/api/consignments/{consignment}/one-product").json()
    assert [one["key"] for one in table["across"]] == ["same_photo"]
    assert {"one", "two"} < set(table["units"].values())
    numbers = next(one for one in table["marks"] if one["mark"] == "approval_number")
    assert sum(len(one["unit_ids"]) for one in numbers["values"]) + len(numbers["without"]) == 3


def test_a_unit_is_renamed_and_keeps_its_place(client: TestClient, send: Send) -> None:
    consignment = make(client)
    unit = send(consignment_id=consignment, label="C001/U01")["unit_id"]
    body = {"id": new_id(), "consignment_id": consignment, "place": "C001/U01", "label": "torn"}
    assert client.post(f"/api/units/{unit}/attach", json=body).json()["label"] == "torn"
    moved = {"id": new_id(), "consignment_id": consignment, "place": "C002/U07"}
    row = client.post(f"/api/units/{unit}/attach", json=moved).json()
    assert (row["label"], row["place"]) == ("torn", "C002/U07")


def test_a_lot_declared_under_two_suppliers_is_said_on_both(client: TestClient) -> None:
    here = make(client, lots=["A310"])
    make(client, lots=["a310"], supplier="Jorvandy Import")
    (found,) = client.get(f"/api/consignments/{here}").json()["across"]
    assert (found["key"], found["values"]["values"]) == ("lot_two_suppliers", "Jorvandy Import")


def test_each_lot_has_its_own_sample_and_statement(client: TestClient, send: Send) -> None:
    lots = [{"code": code, "units": 10} for code in ("A310", "A311")]
    consignment = make(client, lots=lots)
    plan(client, consignment, nonconforming_share="0.5")
    drawn = client.get(f"/api/consignments/{consignment}/tick-list").json()["units"]
    for one in drawn:
        if one["group"] == "A311":
            name = "conflict.png"
            taken = send(name, consignment_id=consignment, label=one["place"])
            confirm(client, taken["photo_id"], "TC-84A-9981")
    worst, other = client.get(f"/api/consignments/{consignment}").json()["lot_samples"]
    assert (worst["code"], worst["outcome"], worst["units"], worst["left_to_do"]) == (
        "A311",
        "conflict",
        10,
        0,
    )
    assert worst["statement"][0]["key"] == "after.hold"
    assert (other["code"], other["outcome"], other["statement"]) == ("A310", None, [])


def test_the_list_comes_in_pages_the_newest_first(client: TestClient) -> None:
    made = [new_id() for _ in range(5)]
    for number, id_ in enumerate(made):
        client.post("/api/consignments", json={"id": id_, "label": f"FICTIONAL {number}"})
    seen: list[str] = []
    page = client.get("/api/consignments", params={"limit": 2}).json()
    while True:
        seen += [one["consignment_id"] for one in page["consignments"]]
        if not page["more"]:
            break
        params: dict[str, str | int] = {"limit": 2, "before": seen[-1]}
        page = client.get("/api/consignments", params=params).json()
    assert seen == made[::-1]
    assert client.get("/api/consignments", params={"limit": 201}).status_code == 422
