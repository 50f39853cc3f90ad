"""What was declared of goods: put together, nothing overwritten, unanswered questions to be seen.

The questions and signals restate the job map, S1; each names its source in rules/intake.yaml.
"""

import json
import re
import uuid
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from inkwitness.consignment.intake import Declared, DeclaredLot, supplier, together
from inkwitness.consignment.number import number_of
from inkwitness.records.store import new_id
from tests.intake.conftest import consignment

Send = Callable[..., dict[str, Any]]
VECTORS = json.loads((Path(__file__).parent / "numbers.json").read_text(encoding="utf-8"))


def declare(client: TestClient, goods: str, **said: Any) -> Any:
    return client.post(f"/api/consignments/{goods}/declared", json={"id": new_id(), **said})


def test_later_words_add_to_earlier_ones_or_take_their_place_and_all_are_kept(
    client: TestClient,
) -> None:
    goods = consignment(client, units_declared=400)
    first = {
        "goods_from": "walk_in",
        "filter_class": "N95",
        "seals": 0,
        "first_offer": "2031-03-01",
    }
    declare(client, goods, fields=first)
    seen = declare(client, goods, fields={"goods_from": "donation", "pallets": 2}).json()
    assert seen["fields"]["goods_from"] == "donation"
    assert (seen["fields"]["filter_class"], seen["fields"]["units"]) == ("N95", 400)
    assert (seen["fields"]["seals"], seen["fields"]["pallets"]) == (0, 2)
    assert [one["fields"]["goods_from"] for one in seen["history"]] == ["walk_in", "donation"]
    assert seen["history"][0]["by"]["name"] == "Ines Okparo"


def test_what_nobody_answered_is_counted_and_stays_to_be_seen(client: TestClient) -> None:
    """Need P02 of the job map: gaps are visible before money moves."""
    goods = consignment(client)
    before = client.get(f"/api/consignments/{goods}/declared").json()
    assert before["unanswered"] == len(before["questions"]) >= 10
    seen = declare(client, goods, answers={"why-now": "Last carton, cash today."}).json()
    assert seen["unanswered"] == before["unanswered"] - 1
    answered = {one["id"]: one["answer"] for one in seen["questions"]}
    assert answered["why-now"] == "Last carton, cash today."
    assert all(one["text"].endswith("?") or one["text"].endswith(")") for one in seen["questions"])


def test_signals_are_facts_and_questions_and_never_a_score(client: TestClient) -> None:
    """Need P03: neither an accusation nor a false all-clear. More signals are not worse."""
    goods = consignment(client)
    assert client.get(f"/api/consignments/{goods}/declared").json()["supplier"] == "not_looked_at"
    none = {"price-low": {"seen": "no"}}
    assert declare(client, goods, signals=none).json()["supplier"] == "no_conflict_found"
    one = {"price-low": {"seen": "yes", "note": "a third of the usual"}}
    assert declare(client, goods, signals=one).json()["supplier"] == "cannot_tell"
    more = {"bank-changed": {"seen": "yes"}, "money-first": {"seen": "yes"}}
    seen = declare(client, goods, signals=more).json()
    assert seen["supplier"] == "cannot_tell"
    assert not any("score" in key for key in seen)
    view = client.get(f"/api/consignments/{goods}").json()
    assert view["aspects"]["supplier"] == {"cannot_tell": 1}
    assert "papers_open" in {one["key"] for one in view["in_the_way"]}


def test_who_offers_and_cannot_be_confirmed_is_a_question() -> None:
    assert supplier(Declared())[0] == "not_looked_at"
    assert supplier(Declared(identity="not_tried"))[0] == "not_looked_at"
    assert supplier(Declared(identity="confirmed"))[0] == "no_conflict_found"
    state, found = supplier(Declared(identity="not_confirmed"))
    assert (state, [one.severity for one in found]) == ("cannot_tell", ["caution"])


def test_a_crisis_that_was_declared_until_a_day_opens_its_reserve_no_longer(
    client: TestClient,
) -> None:
    """Need P04: what held for a crisis lapses with it. The day of the check is 18 March 2031."""
    goods = consignment(client)

    def refused() -> str:
        body = {
            "id": new_id(),
            "disposition": "crisis_reserve",
            "reason": "old",
            "limits": "crisis",
        }
        answer = client.post(f"/api/consignments/{goods}/decisions", json=body)
        assert answer.status_code == 409
        return str(answer.json()["error"]["message"])

    assert "No crisis was declared" in refused()
    order = {"supply_condition": "crisis", "condition_by": "Invented order 7"}
    assert declare(client, goods, fields={**order, "condition_until": "2031-03-18"}).is_success
    assert not re.search("No crisis was declared|declared until", refused())
    assert declare(client, goods, fields={"condition_until": "2031-03-17"}).is_success
    assert "The crisis was declared until 2031-03-17" in refused()


def test_who_has_some_already_is_counted_and_their_list_is_kept_elsewhere(
    client: TestClient,
) -> None:
    """Need H07: customers can be reached, and stand in no record here."""
    goods = consignment(client)
    told = {"supplied": 14, "supplied_list": "Dispensing book, page 31"}
    assert declare(client, goods, fields=told).is_success
    report = client.get(f"/api/consignments/{goods}/report?format=json").json()
    rows = {row[0]: row[1] for section in report["sections"] for row in _rows(section)}
    assert rows["How many got some of them already"] == "14"
    assert rows["Where the list of them is kept"] == "Dispensing book, page 31"


def _rows(section: dict[str, Any]) -> list[list[str]]:
    table = section.get("table")
    return [row for row in table["rows"] if len(row) == 2] if table else []


def test_lots_can_be_split_after_opening_with_a_reason_and_plans_follow(
    client: TestClient, send: Send
) -> None:
    """Need P26. The lots in force are those that a plan draws from and units lie beside."""
    goods = consignment(client, lots=[{"code": "A310", "units": 400, "cartons": 10}])
    split = [
        {"code": "A310", "units": 200, "cartons": 5},
        {"code": "5", "units": 200, "cartons": 5},
    ]
    assert declare(client, goods, lots=split).status_code == 422
    seen = declare(client, goods, lots=split, reason="two codes on the cartons")
    assert seen.status_code == 201, seen.text
    send("en-box-lot.png", consignment_id=goods, surface="inner_box")
    view = client.get(f"/api/consignments/{goods}").json()
    assert [lot["code"] for lot in view["lots"]] == ["A310", "5"]
    assert "lot_not_declared" not in {one["key"] for one in view["across"]}
    plan = {"id": new_id(), "kind": "discovery", "seed": "dice 4 1", "nonconforming_share": "0.05"}
    made = client.post(f"/api/consignments/{goods}/plan", json=plan)
    assert made.status_code == 201, made.text
    assert {one["group"] for one in client.get(f"/api/consignments/{goods}").json()["drawn"]} == {
        "A310",
        "5",
    }


@pytest.mark.parametrize(
    ("said", "says"),
    [
        ({}, "Nothing is declared"),
        ({"answers": {"shoe-size": "42"}}, "is not asked"),
        ({"signals": {"shoe-size": {"seen": "yes"}}}, "is not asked"),
        ({"lots": [{"code": "A"}, {"code": "A"}]}, "named twice"),
    ],
)
def test_what_cannot_be_used_is_refused(client: TestClient, said: Any, says: str) -> None:
    answer = declare(client, consignment(client), **said)
    assert answer.status_code == 422
    assert says in answer.json()["error"]["message"]


def test_declarations_are_put_together_in_order() -> None:
    steps: list[dict[str, Any]] = [
        {"fields": {"units": 10, "first_offer": "2031-03-01"}, "lots": [{"code": "A"}]},
        {"fields": {"units": 20}, "lots": None},
        {"fields": {}, "lots": [{"code": "B", "units": 5, "cartons": None}]},
    ]
    now = together(Declared(product="HR-F2"), steps)
    assert (now.product, now.units, now.lots) == ("HR-F2", 20, (DeclaredLot("B", 5),))
    assert now.first_offer is not None
    assert now.first_offer.isoformat() == "2031-03-01"


@pytest.mark.parametrize("vector", VECTORS, ids=lambda one: one["id"])
def test_the_number_is_made_of_the_id_alone(vector: dict[str, str]) -> None:
    """RFC 9562, 5.7: the first 48 bits of version 7 are milliseconds since 1970. The page's own
    test runs on the same file."""
    assert number_of(vector["id"]) == vector["number"]


def test_the_day_in_the_number_is_that_of_the_id() -> None:
    """2022-02-22T19:22:22Z, the example of RFC 9562, appendix A.6."""
    assert number_of("017F22E2-79B0-7CC3-98C4-DC0C0C07398F").startswith("220222-")
    assert uuid.UUID("017F22E2-79B0-7CC3-98C4-DC0C0C07398F").version == 7


def test_the_number_is_shown_with_the_consignment(client: TestClient) -> None:
    goods = consignment(client)
    assert client.get(f"/api/consignments/{goods}").json()["number"] == number_of(goods)
    assert client.get("/api/consignments").json()["consignments"][0]["number"] == number_of(goods)
