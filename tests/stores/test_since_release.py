"""Goods that a person released: what stops them since is said, on the goods and as a reminder."""

import datetime as dt
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from inkwitness.api.app import create_app
from inkwitness.records.store import new_id
from tests.api.conftest import HEADERS, NOW, png, settings, wait_for
from tests.api.test_confirmations import confirm
from tests.api.test_consignments import look_up, make
from tests.api.test_units import decide
from tests.stores.test_stock import hand_out, move, received, released, where

Send = Callable[..., dict[str, Any]]
NUMBER = "TC-84A-9981"


def declare_lots(client: TestClient, goods: str, *codes: str) -> None:
    lots = [{"code": code, "units": 2} for code in codes]
    body = {"id": new_id(), "lots": lots, "reason": "split after opening"}
    answer = client.post(f"/api/consignments/{goods}/declared", json=body)
    assert answer.status_code == 201, answer.text


def one_lot_released(client: TestClient, send: Send) -> str:
    """Lots A310 and A311 of two units each, all looked at; A310 is released by itself."""
    goods = make(client, units_declared=4)
    declare_lots(client, goods, "A310", "A311")
    for place in ("A310/U1", "A310/U2", "A311/U1", "A311/U2"):
        taken = send("plain.png", consignment_id=goods, label=place)
        confirm(client, taken["photo_id"], NUMBER)
    look_up(client)
    answer = decide(client, f"consignments/{goods}", "release", "all looked at", lot="A310")
    assert answer.status_code == 201, answer.text
    return goods


def test_a_lot_in_store_has_the_spelling_that_is_known_and_its_decisions(
    client: TestClient, send: Send
) -> None:
    goods = one_lot_released(client, send)
    received(client, goods, 2, lot="a-310")
    (found,) = where(client)["lots"]
    assert (found["lot"], found["piles"][0]["status"]) == ("A310", "released")
    assert hand_out(client, goods, 1, lot="A 310").status_code == 201
    held = decide(client, f"consignments/{goods}", "hold", lot="A310")
    assert held.status_code == 201, held.text
    assert hand_out(client, goods, 1, lot="A-310").status_code == 409
    assert where(client)["lots"][0]["piles"][0]["status"] == "held"


def test_a_notice_on_a_lot_stops_it_however_the_lot_is_written(
    client: TestClient, send: Send
) -> None:
    goods = released(client, send)
    assert hand_out(client, goods, 40).status_code == 201
    notice = move(client, "called_back", None, lot="a 310", words="The seam may open.")
    assert (notice.status_code, notice.json()["lot"]) == (201, "A310")
    assert hand_out(client, goods, 1).status_code == 409
    seen = client.get(f"/api/stock/recalls/{notice.json()['movement_id']}").json()
    assert (seen["out"], seen["asked"][0]["recipient"]) == (40, "Ward 3")


def test_a_movement_sent_again_with_its_own_spelling_is_the_same(
    client: TestClient, send: Send
) -> None:
    goods = released(client, send)
    body: dict[str, Any] = {
        "id": new_id(),
        "kind": "received",
        "consignment_id": goods,
        "lot": "a-310",
    }
    body |= {"pieces": 10, "place": "Store 2", "on": "2031-03-18"}
    assert [client.post("/api/stock", json=body).status_code for _ in range(2)] == [201, 201]


def test_a_lot_that_was_split_after_its_release_is_stopped_and_the_list_still_opens(
    client: TestClient, send: Send
) -> None:
    goods = one_lot_released(client, send)
    received(client, goods, 2)
    declare_lots(client, goods, "A310a", "A310b", "A311")
    for path in ("/api/stock", "/api/stock/where?lot=A310", "/api/stock/list.csv"):
        assert client.get(path).status_code == 200, path
    (pile,) = where(client)["lots"][0]["piles"]
    assert (pile["status"], [one["key"] for one in pile["in_the_way"]]) == (
        "stopped",
        ["lot_split"],
    )
    refused = hand_out(client, goods, 1)
    assert refused.status_code == 409
    assert "Lot A310 was released and is not declared" in refused.json()["error"]["message"]


def test_what_stands_in_the_way_since_a_release_is_said_on_the_goods_and_as_a_reminder(
    client: TestClient, send: Send
) -> None:
    goods = released(client, send)
    path = f"/api/consignments/{goods}"
    seen = client.get(path).json()
    assert (seen["released"], seen["stopped_by"]) == ("release", [])
    assert "stopped" not in {one["key"] for one in client.get("/api/reminders").json()}
    look_up(client, answer="not_listed", words="no such number")
    seen = client.get(path).json()
    assert seen["released"] == "release"
    assert [one["key"] for one in seen["stopped_by"]] == ["look_up_says_other"]
    report = client.get(f"{path}/report?format=json").json()
    assert "Released, and now something stands in the way" in str(report["statuses"])
    (told,) = [one for one in client.get("/api/reminders").json() if one["key"] == "stopped"]
    assert (told["subject_id"], told["values"]["n"], told["owner"]) == (goods, "1", "Ines Okparo")


def test_a_lot_released_by_itself_says_what_stops_it(client: TestClient, send: Send) -> None:
    goods = one_lot_released(client, send)
    decide(client, f"consignments/{goods}", "ask_holder", "is A310 yours?", lot="A310")
    lots = client.get(f"/api/consignments/{goods}").json()["lot_stands"]
    said = {one["code"]: [why["key"] for why in one["stopped_by"]] for one in lots}
    assert said == {"A310": ["answer_awaited"], "A311": []}
    (told,) = [one for one in client.get("/api/reminders").json() if one["key"] == "stopped"]
    assert "A310" in told["says"]


def test_a_day_of_before_does_not_go_around_a_limit_that_is_over(
    client: TestClient, send: Send
) -> None:
    more = {"limits": "training", "until": "2031-03-17"}
    goods = released(client, send, "release_limited", **more)
    assert hand_out(client, goods, 1, on="2031-03-17").status_code == 409


def test_goods_that_are_for_training_alone_go_out_as_nothing_else(
    client: TestClient, send: Send
) -> None:
    """Job map D2: only for what it says. One of before, in words alone, goes out as it did."""
    goods = released(client, send, "release_limited", limits="training", only_as="training")
    assert where(client)["lots"][0]["piles"][0]["may_go_as"] == ["training"]
    assert hand_out(client, goods, 1).status_code == 409
    assert hand_out(client, goods, 1, purpose="source_control").status_code == 409
    assert hand_out(client, goods, 1, purpose="training").status_code == 201
    wrong = decide(client, f"consignments/{goods}", "release", "again", only_as="training")
    assert wrong.status_code == 422


@pytest.fixture
def listed(tmp_path: Path) -> Iterator[TestClient]:
    """A house whose list has the number until 20 March 2031."""
    rows = (
        "scheme,approval_number,holder,models,filter_class,status,valid_until,checked_on,source,"
        "checked_by\nus-niosh,TC-84A-9981,Vexholm Filtration,VX-910,N95,current,2031-03-20,"
        "2031-03-12,registry,Bo\n"
    )
    moment = [NOW]
    app = create_app(settings(tmp_path), clock=lambda: moment[0])
    with TestClient(app, headers=HEADERS) as client:
        client.app.state.moment = moment  # type: ignore[attr-defined]
        form = {"id": new_id(), "name": "Ours", "checked_on": "2031-03-12"}
        made = client.post(
            "/api/holders/proposals", data=form, files={"file": ("l.csv", rows.encode())}
        )
        assert made.status_code == 201, made.text
        path = f"/api/holders/proposals/{made.json()['proposal_id']}/accept"
        assert client.post(path, json={"id": new_id()}).status_code == 201
        yield client


def test_an_entry_that_ended_by_its_own_date_stops_the_store_and_stays_a_reminder(
    listed: TestClient,
) -> None:
    """Job map, scenario 8, the end by its own date; that it is no recall is said."""
    goods = make(listed, units_declared=2)
    for _ in range(2):
        form = {"id": new_id(), "unit_id": new_id(), "consignment_id": goods}
        files = {"file": ("plain.png", png(), "image/png")}
        taken = listed.post("/api/photos", data=form, files=files).json()
        wait_for(listed, taken["job_id"])
        confirm(listed, taken["photo_id"], NUMBER)
    look_up(listed)
    assert decide(listed, f"consignments/{goods}", "release", "all looked at").status_code == 201
    received(listed, goods, 2)
    assert hand_out(listed, goods, 1).status_code == 201
    listed.app.state.moment[0] = NOW + dt.timedelta(days=3)  # type: ignore[attr-defined]
    seen = listed.get(f"/api/consignments/{goods}").json()
    assert [one["key"] for one in seen["stopped_by"]] == ["entry_ended"]
    assert hand_out(listed, goods, 1).status_code == 409
    told = {one["key"]: one for one in listed.get("/api/reminders").json()}
    assert "entry_ends" not in told
    assert (told["entry_ended"]["subject_id"], told["entry_ended"]["days"]) == (goods, 1)
    assert "no recall" in told["entry_ended"]["says"]
    look_up(listed, looked_up_at="2031-03-21T08:00:00+00:00")
    assert hand_out(listed, goods, 1).status_code == 201
