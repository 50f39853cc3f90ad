"""Paths by which goods were once released while something stood against it, through the API.

The conditions are decisions of this project (no source). The same over random histories:
tests/consignment/test_histories.py and test_lot_histories.py.
"""

from collections.abc import Callable
from typing import Any

import pytest
from starlette.testclient import TestClient

from inkwitness.records.store import new_id
from tests.api.test_consignments import make, plan, ways
from tests.api.test_units import decide
from tests.intake.conftest import keep_paper
from tests.intake.test_declared import declare
from tests.leaving.test_outgoing import pages
from tests.scenarios.words import as_read

Send = Callable[..., dict[str, Any]]
LOTS = [{"code": "A310", "units": 2}, {"code": "A311", "units": 2}]
WHY = "the code on the cartons is written so"


def lots(client: TestClient, goods: str) -> dict[str, dict[str, Any]]:
    seen = client.get(f"/api/consignments/{goods}").json()["lot_stands"]
    return {one["code"]: one for one in seen}


def keys(stands: dict[str, Any]) -> set[str]:
    return {one["key"] for one in stands["in_the_way"]}


def put(client: TestClient, unit: str, goods: str, place: str = "") -> Any:
    body = {"id": new_id(), "consignment_id": goods, "place": place}
    return client.post(f"/api/units/{unit}/attach", json=body)


def test_a_hold_and_a_question_on_a_lot_outlive_another_spelling_and_a_split(
    client: TestClient, send: Send
) -> None:
    goods = make(client, lots=LOTS)
    where = f"consignments/{goods}"
    send("us-face.png", consignment_id=goods, label="A310/U1")
    for kind in ("hold", "ask_holder"):
        assert decide(client, where, kind, "is it yours?", lot="A310").status_code == 201
    written = [{"code": "A-310", "units": 2}, LOTS[1]]
    assert declare(client, goods, lots=written, reason=WHY).status_code == 201
    now = lots(client, goods)
    assert list(now) == ["A-310", "A311"]
    assert now["A-310"]["held"] is True
    assert {"held", "answer_awaited"} <= keys(now["A-310"])
    split = [{"code": "A310a", "units": 1}, {"code": "A310b", "units": 1}, LOTS[1]]
    assert declare(client, goods, lots=split, reason="two codes in it").status_code == 201
    now = lots(client, goods)
    assert list(now) == ["A310a", "A310b", "A311", "A310"]
    for code in ("A310a", "A310b", "A311"):
        assert {"lost_lot_held", "answer_awaited"} <= keys(now[code])
    assert "lot_gone" in keys(now["A310"])
    assert "lost_lot_held" in ways(client, goods)
    refused = decide(client, where, "release", "wanted", lot="A310")
    assert "not declared any more" in refused.json()["error"]["message"]
    # it is ended under its own code, and under no other
    assert decide(client, where, "lift_hold", "as answered", lot="A310a").status_code == 409
    assert decide(client, where, "lift_hold", "as answered", lot="A310").status_code == 201
    answered = decide(client, where, "holder_answered", "yes", lot="A310", about="agrees")
    assert answered.status_code == 201
    for stands in lots(client, goods).values():
        assert not {"lost_lot_held", "answer_awaited"} & keys(stands)


def test_two_spellings_of_one_lot_are_not_two_lots(client: TestClient) -> None:
    answer = declare(client, make(client), lots=[{"code": "A310"}, {"code": "a-310"}])
    assert answer.status_code == 422
    assert "named twice" in answer.json()["error"]["message"]


def test_who_keeps_a_unit_in_for_one_conflict_said_nothing_of_the_next(
    client: TestClient, send: Send
) -> None:
    """The second box bears N94, a class that 42 CFR Part 84 does not have."""
    goods = make(client, units_declared=1)
    unit = send("us-face.png", consignment_id=goods)["unit_id"]
    send("us-box-other-class.png", unit, surface="inner_box")
    assert "undecided_conflict" in ways(client, goods)
    reason = "the box is another's, thrown away"
    assert decide(client, f"units/{unit}", "keep_in", reason).status_code == 201
    assert "undecided_conflict" not in ways(client, goods)
    send("us-two-boxes.png", unit, surface="inner_box")
    assert "undecided_conflict" in ways(client, goods)
    assert put(client, unit, make(client)).status_code == 409
    assert decide(client, f"units/{unit}", "keep_in", reason).status_code == 201
    assert "undecided_conflict" not in ways(client, goods)


def test_a_plan_speaks_for_what_it_was_drawn_from_and_for_no_more(client: TestClient) -> None:
    """24,000 pieces were released on a plan of 20."""
    goods = make(client, units_declared=20, cartons_declared=5)

    def shut() -> set[str]:
        return ways(client, goods) & {"no_plan", "plan_of_other_goods", "plan_of_unknown"}

    assert shut() == {"no_plan"}
    plan(client, goods, nonconforming_share="0.5")
    assert shut() == set()
    more = [{"code": "A312", "units": 20}, {"code": "A313", "units": 5}]
    assert declare(client, goods, lots=more).status_code == 201
    assert shut() == {"plan_of_other_goods"}
    plan(client, goods, nonconforming_share="0.5", seed="anew", instead_because="lots were added")
    assert shut() == set()
    # the same number in other lots is other goods
    moved = [{"code": "A312", "units": 5}, {"code": "A314", "units": 20}]
    assert declare(client, goods, lots=moved, reason=WHY).status_code == 201
    assert shut() == {"plan_of_other_goods"}
    (said,) = [
        one
        for one in client.get(f"/api/consignments/{goods}").json()["in_the_way"]
        if one["key"] == "plan_of_other_goods"
    ]
    assert "drawn from 25 units, and there are 25 now" in said["says"]
    assert said["lift"]


@pytest.mark.parametrize(
    ("declared", "units", "key"),
    [
        ({"units_declared": 24_000}, ["U1"], "plan_of_other_goods"),
        ({}, ["U1..U9"], "plan_of_unknown"),
        ({"lots": [{"code": "A", "units": 9}]}, ["B/U1..U9"], "plan_of_other_goods"),
        ({"lots": [{"code": "A", "units": 9}]}, ["a/U1..U9"], ""),
        ({"units_declared": 5, "lots": [{"code": "A", "units": 9}, {"code": "B"}]}, ["U1..U5"],
         "plan_of_other_goods"),
    ],
)  # fmt: skip
def test_a_list_to_draw_from_that_a_person_wrote_is_measured_by_what_there_is(
    client: TestClient, declared: dict[str, Any], units: list[str], key: str
) -> None:
    goods = make(client, **declared)
    assert plan(client, goods, units=units, nonconforming_share="0.5").status_code == 201
    assert ways(client, goods) & {"plan_of_other_goods", "plan_of_unknown"} == ({key} - {""})


def test_what_was_received_counts_where_it_is_more_than_was_declared(client: TestClient) -> None:
    goods = make(client, lots=[{"code": "A310", "units": 20}, {"code": "A311", "units": 20}])
    plan(client, goods, nonconforming_share="0.5")
    assert "plan_of_other_goods" not in ways(client, goods)
    body = {"id": new_id(), "kind": "received", "consignment_id": goods, "lot": "a-310"}
    more = {"pieces": 21, "place": "Store 2"}
    assert client.post("/api/stock", json={**body, **more}).status_code == 201
    assert "plan_of_other_goods" in ways(client, goods)
    found = lots(client, goods)
    assert "plan_of_other_goods" in keys(found["A310"])
    assert "plan_of_other_goods" not in keys(found["A311"])


def test_fewer_units_than_were_declared_need_a_reason(client: TestClient) -> None:
    goods = make(client, units_declared=400)
    refused = declare(client, goods, fields={"units": 5})
    assert refused.status_code == 422
    assert "fewer units" in refused.json()["error"]["message"]
    assert declare(client, goods, fields={"units": 5}, reason="counted").status_code == 201
    assert declare(client, goods, fields={"units": 9}).status_code == 201
    told = client.get(f"/api/consignments/{goods}/report?format=json").text
    assert "Quantity declared anew" in told


def test_every_draw_that_counts_is_seen_and_why_one_does_not(
    client: TestClient, send: Send
) -> None:
    goods = make(client, units_declared=20, cartons_declared=5)

    def see() -> dict[str, Any]:
        seen: dict[str, Any] = client.get(f"/api/consignments/{goods}").json()
        return seen

    plan(client, goods, nonconforming_share="0.4")
    first = [one["place"] for one in see()["drawn"]]
    short = plan(client, goods, seed="anew", nonconforming_share="0.4", instead_because="x")
    assert short.status_code == 422
    plan(client, goods, seed="added", nonconforming_share="0.4")
    both = [one["place"] for one in see()["drawn"]]
    assert both[: len(first)] == first
    assert len(both) == len(set(both)) > len(first)
    assert see()["left_to_do"] == len(both)
    ticks = client.get(f"/api/consignments/{goods}/tick-list").json()
    assert [one["place"] for one in ticks["units"]] == both
    (shut,) = [one for one in see()["in_the_way"] if one["key"] == "drawn_not_looked_at"]
    assert first[0] in shut["says"]
    # what one of the draws showed is not drawn away: the sentence on the sample counts both
    reason = "the cartons were counted anew"
    plan(client, goods, seed="instead", nonconforming_share="0.4", instead_because=reason)
    made = see()["plans"]
    assert [one["counts"] for one in made] == [False, False, True]
    assert (made[2]["instead_because"], made[2]["by"]["name"]) == (reason, "Ines Okparo")
    assert [one["place"] for one in see()["drawn"]] != both
    told = client.get(f"/api/consignments/{goods}/report?format=json").text
    assert reason in told
    assert told.count("An earlier draw by") == 2


def test_the_sentence_on_a_sample_counts_what_each_draw_from_one_list_showed(
    client: TestClient, send: Send
) -> None:
    """A union of simple random samples of one list is one, given its size (by symmetry)."""
    goods = make(client, units_declared=20)
    plan(client, goods, nonconforming_share="0.6")
    n = len(client.get(f"/api/consignments/{goods}").json()["drawn"])
    plan(client, goods, nonconforming_share="0.6", seed="dice 5 5 1")
    seen = client.get(f"/api/consignments/{goods}").json()
    for one in seen["drawn"]:
        taken = send("us-face.png", consignment_id=goods, label=one["place"])
        check = client.get(f"/api/units/{taken['unit_id']}").json()["checks"][0]["check"]
        said = as_read(taken["photo_id"], check)
        answer = client.post("/api/confirmations/several", json={"confirmations": said})
        assert answer.status_code == 201, answer.text
    seen = client.get(f"/api/consignments/{goods}").json()
    assert (len(seen["drawn"]) > n, seen["left_to_do"]) == (True, 0)
    looked = {one["values"].get("looked_at") for one in seen["statement"]}
    assert len(seen["drawn"]) in looked


def test_a_unit_is_not_moved_to_another_lot_out_of_sight(client: TestClient, send: Send) -> None:
    goods = make(client, lots=LOTS)
    odd = send("us-face-without-number.png", consignment_id=goods, label="A310/U1")["unit_id"]
    fine = send("us-face.png", consignment_id=goods, label="A311/U1")["unit_id"]
    refused = put(client, odd, goods, "A311/U2")
    assert refused.status_code == 409
    assert "Nobody decided" in refused.json()["error"]["message"]
    # within the lot, and to no lot, where it stands in the way of each
    assert put(client, odd, goods, "a-310/U2").status_code == 201
    assert put(client, odd, goods, "shelf 3").status_code == 201
    assert "undecided_missing" in keys(lots(client, goods)["A311"])
    assert put(client, odd, goods, "A311/U2").status_code == 409
    assert decide(client, f"units/{odd}", "keep_in", "the strap bears it").status_code == 201
    assert put(client, odd, goods, "A311/U2").status_code == 201
    decide(client, f"consignments/{goods}", "hold", lot="A311")
    held = put(client, fine, goods, "A310/U1")
    assert held.status_code == 409
    assert "lot on hold" in held.json()["error"]["message"]
    decide(client, f"consignments/{goods}", "lift_hold", "explained", lot="A311")
    decide(client, f"consignments/{goods}", "ask_holder", "is A311 yours?", lot="A311")
    asked = put(client, fine, goods, "A310/U1")
    assert "holder was asked" in asked.json()["error"]["message"]


def test_papers_of_a_unit_by_itself_stand_in_its_way(client: TestClient, send: Send) -> None:
    unit = send("us-face.png")["unit_id"]
    label = {"kind": "approval_label", "title": "Approval Label", "number": "TC-84A-9918"}
    assert keep_paper(client, label, unit_id=unit).status_code == 201

    def refused() -> str:
        answer = decide(client, f"units/{unit}", "release", "wanted")
        assert answer.status_code == 409
        return str(answer.json()["error"]["message"])

    assert "Papers of this unit leave something open" in refused()
    assert decide(client, f"units/{unit}", "keep_in", "a typing error").status_code == 201
    assert "Papers of this unit" not in refused()
    other = {**label, "number": "TC-84A-9819"}
    assert keep_paper(client, other, unit_id=unit).status_code == 201
    assert "Papers of this unit leave something open" in refused()


def test_who_agrees_to_a_release_with_limits_writes_the_limits(client: TestClient) -> None:
    where = f"consignments/{make(client)}"
    bare = decide(client, where, "agree", "seen", about="release_limited")
    assert bare.status_code == 422
    assert "limits" in bare.json()["error"]["message"]
    more = {"about": "release_limited", "limits": "only for training"}
    assert decide(client, where, "agree", "seen", **more).status_code == 201


def test_reports_and_lots_elsewhere_go_by_what_is_declared_now(client: TestClient) -> None:
    here = make(client, lots=["A310"])
    there = make(client, lots=["Z9"], supplier="Jorvandy Import", cartons_declared=4)

    def across(goods: str) -> set[str]:
        return {one["key"] for one in client.get(f"/api/consignments/{goods}").json()["across"]}

    assert "lot_two_suppliers" not in across(here)
    assert declare(client, there, lots=[{"code": "a-310"}], reason=WHY).status_code == 201
    assert "lot_two_suppliers" in across(here)
    told = client.get(f"/api/consignments/{there}/report?format=json").json()
    (said,) = [one for one in told["sections"] if one["title"] == "Lots"]
    assert "a-310" in str(said)
    assert "Z9" not in str(said)
    assert decide(client, f"consignments/{there}", "hold").status_code == 201
    query = {"size": "100x50", "paper": "own"}
    (label,) = pages(client.get(f"/api/consignments/{there}/labels", params=query).content)
    assert "a-310" in label
    assert "Z9" not in label
