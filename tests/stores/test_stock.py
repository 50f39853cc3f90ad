"""Goods in store: where a lot is, who received it, what is handed out, and what is called back."""

import csv
import io
from collections.abc import Callable
from typing import Any

import pytest
from starlette.testclient import TestClient

from inkwitness import phrases
from inkwitness.records.store import new_id
from tests.api.test_consignments import make, sampled, whole
from tests.api.test_units import decide
from tests.test_verdicts import judged

Send = Callable[..., dict[str, Any]]


def move(client: TestClient, kind: str, goods: str | None, **more: Any) -> Any:
    body = {"id": new_id(), "kind": kind, "consignment_id": goods, "lot": "A310", **more}
    return client.post("/api/stock", json=body)


def received(client: TestClient, goods: str, pieces: int = 400, **more: Any) -> None:
    told = {"pieces": pieces, "place": "Store 2", "carton": "C001", **more}
    answer = move(client, "received", goods, **told)
    assert answer.status_code == 201, answer.text


def hand_out(client: TestClient, goods: str, pieces: int = 100, **more: Any) -> Any:
    told = {"place": "Store 2", "carton": "C001", "recipient": "Ward 3", **more}
    return move(client, "handed_out", goods, pieces=pieces, **told)


def released(client: TestClient, send: Send, kind: str = "release", **more: Any) -> str:
    goods = sampled(client, send, 400)
    answer = decide(client, f"consignments/{goods}", kind, "all looked at", **more)
    assert answer.status_code == 201, answer.text
    received(client, goods)
    return goods


def where(client: TestClient, lot: str = "A310") -> dict[str, Any]:
    answer: dict[str, Any] = client.get("/api/stock/where", params={"lot": lot}).json()
    return answer


def test_a_lot_is_found_however_spaces_and_dashes_stand_in_it(
    client: TestClient, send: Send
) -> None:
    released(client, send)
    (found,) = where(client, "a-310")["lots"]
    (pile,) = found["piles"]
    assert (found["lot"], pile["place"], pile["pieces"]) == ("A310", "Store 2", 400)
    assert (pile["status"], pile["may_go_as"]) == ("released", ["protection", "source_control"])
    assert where(client, "A31") == {"lots": [], "alike": ["A310"]}


@pytest.mark.parametrize(
    ("decisions", "status"),
    [
        ([], "not_decided"),
        (["hold"], "held"),
        (["hold", "return"], "held"),
        (["destroy"], "on_its_way_out"),
    ],
)
def test_nothing_is_handed_out_that_nobody_released(
    client: TestClient, send: Send, decisions: list[str], status: str
) -> None:
    """Issue 24, point 9: only released goods may be handed out as protection."""
    goods, _ = whole(client, send, "plain.png")
    received(client, goods)
    for kind in decisions:
        assert decide(client, f"consignments/{goods}", kind, "as the test says").status_code == 201
    (pile,) = where(client)["lots"][0]["piles"]
    assert (pile["status"], pile["may_go_as"]) == (status, [])
    for purpose in ("protection", "source_control"):
        refused = hand_out(client, goods, purpose=purpose)
        assert (refused.status_code, refused.json()["error"]["code"]) == (409, "refused")
    assert where(client)["lots"][0]["hands"] == []


def test_a_release_is_no_licence_for_ever(client: TestClient, send: Send) -> None:
    """What shuts the gate after the release stops the store as well: a hold on one unit of it."""
    goods = released(client, send)
    assert hand_out(client, goods).status_code == 201
    unit = client.get(f"/api/units?consignment_id={goods}").json()["units"][0]["unit_id"]
    decide(client, f"units/{unit}", "hold")
    assert hand_out(client, goods).status_code == 409
    assert where(client)["lots"][0]["piles"][0]["status"] == "held"
    decide(client, f"units/{unit}", "lift_hold", "explained by the holder")
    assert hand_out(client, goods).status_code == 201
    send("conflict.png", consignment_id=goods)
    shut = hand_out(client, goods)
    assert shut.status_code == 409
    assert "conflict" in shut.json()["error"]["message"]
    assert where(client)["lots"][0]["piles"][0]["status"] == "stopped"


def test_down_graded_goods_go_out_as_face_masks_and_never_as_protection(
    client: TestClient, send: Send
) -> None:
    """Job map D4 (source control, relabelled, not respiratory protection)."""
    goods = released(client, send, "downgrade", limits="face masks for visitors")
    assert hand_out(client, goods).status_code == 409
    assert hand_out(client, goods, purpose="source_control").status_code == 201


def test_what_came_beyond_what_was_looked_into_is_not_handed_out(
    client: TestClient, send: Send
) -> None:
    """Five pieces were declared, looked at and released, and 24,000 received and handed out."""
    goods = released(client, send)
    assert hand_out(client, goods).status_code == 201
    received(client, goods, 24_000, carton="C002")
    shut = hand_out(client, goods)
    assert shut.status_code == 409
    assert "drawn from 400 units, and there are 24400" in shut.json()["error"]["message"]
    assert where(client)["lots"][0]["piles"][0]["status"] == "stopped"
    few, _ = whole(client, send, "plain.png")
    assert decide(client, f"consignments/{few}", "release", "all seen").status_code == 201
    received(client, few, 2, lot="B7")
    assert hand_out(client, few, 1, lot="B7").status_code == 409


def test_a_limit_that_is_over_stops_the_store(client: TestClient, send: Send) -> None:
    """The tests' clock stands at 18 March 2031."""
    more = {"limits": "training", "until": "2031-03-17"}
    goods = released(client, send, "release_limited", **more)
    assert hand_out(client, goods).status_code == 409
    assert where(client)["lots"][0]["piles"][0]["status"] == "limit_over"


def test_goods_that_lost_their_lot_are_not_handed_out_as_protection(
    client: TestClient, send: Send
) -> None:
    """Job map S22: loose units can never be traced, so they can never be D1."""
    goods = released(client, send)
    received(client, goods, lot="")
    refused = hand_out(client, goods, lot="")
    assert refused.status_code == 409
    assert "without a lot" in refused.json()["error"]["message"]


def test_no_more_goes_than_lies_there(client: TestClient, send: Send) -> None:
    goods = released(client, send)
    answer = hand_out(client, goods, 401)
    assert answer.status_code == 422
    assert "400 pieces of lot A310, carton C001" in answer.json()["error"]["message"]
    assert hand_out(client, goods, 400).status_code == 201
    assert hand_out(client, goods, 1).status_code == 422


def test_leaving_for_good_takes_the_decision_that_says_so(client: TestClient, send: Send) -> None:
    goods, _ = whole(client, send, "plain.png")
    received(client, goods)
    told = {"pieces": 400, "place": "Store 2", "carton": "C001", "words": "as decided"}
    assert move(client, "destroyed", goods, **told).status_code == 409
    decide(client, f"consignments/{goods}", "hold")
    decide(client, f"consignments/{goods}", "destroy", "the authority agreed")
    assert move(client, "sent_back", goods, **told).status_code == 409
    assert move(client, "destroyed", goods, **told).status_code == 201
    (gone,) = where(client)["lots"][0]["gone"]
    assert (gone["how"], gone["pieces"]) == ("destroyed", 400)


def test_a_recall_reaches_whoever_received_the_lot_and_counts_what_came_back(
    client: TestClient, send: Send
) -> None:
    """Job map, S22 and scenario 8: ward messages and the count recovered."""
    goods = released(client, send)
    for ward, pieces in (("Ward 3", 120), ("Ward 4", 60)):
        assert hand_out(client, goods, pieces, recipient=ward).status_code == 201
    notice = move(client, "called_back", None, words="The seam of lot A310 may open.")
    assert notice.status_code == 201, notice.text
    recall_id = notice.json()["movement_id"]
    assert hand_out(client, goods, 1).status_code == 409
    assert move(client, "told", None, recall=recall_id, recipient="Ward 3").status_code == 201
    assert move(client, "told", None, recall=recall_id, recipient="Ward 9").status_code == 422
    back = {"carton": "C001", "recipient": "Ward 3", "to_place": "Hold area"}
    assert move(client, "brought_back", goods, pieces=90, **back).status_code == 201
    assert move(client, "used_up", goods, pieces=30, **back).status_code == 201
    seen = client.get(f"/api/stock/recalls/{recall_id}").json()
    counts = (seen["out"], seen["recovered"], seen["used_up"], seen["unaccounted"])
    assert counts == (180, 90, 30, 60)
    asked = [(one["recipient"], one["pieces"], one["told"]) for one in seen["asked"]]
    assert asked == [("Ward 3", 120, True), ("Ward 4", 60, False)]
    # what came back is set apart, also once the notice is closed
    ended = move(client, "call_ended", None, recall=recall_id, words="all located")
    assert ended.status_code == 201
    refused = hand_out(client, goods, 1, place="Hold area")
    assert refused.status_code == 422
    status = {pile["place"]: pile["status"] for pile in where(client)["lots"][0]["piles"]}
    assert status == {"Store 2": "released", "Hold area": "brought_back"}


@pytest.mark.parametrize("language", ["en", "es", "fr", "pt", "hi", "ar"])
@pytest.mark.parametrize("notice", ["recall", "correction", "information"])
def test_a_message_of_a_recall_is_neutral_in_every_language(
    client: TestClient, send: Send, language: str, notice: str
) -> None:
    """Job map, section 6: no verdict, no accusation; "not a finding about any person or firm"."""
    goods = released(client, send)
    hand_out(client, goods)
    id_ = move(client, "called_back", None, notice=notice).json()["movement_id"]
    (asked,) = client.get(f"/api/stock/recalls/{id_}?lang={language}").json()["asked"]
    say = phrases.shipped().of(language)
    assert say("recall.no_finding") in asked["message"]
    assert say(f"recall.do.{notice}") in asked["message"]
    assert "A310" in asked["message"]
    assert not judged(language, asked["message"])


def test_who_received_which_lot(client: TestClient, send: Send) -> None:
    goods = released(client, send)
    hand_out(client, goods, 5, recipient="Ward 3, night")
    (row,) = client.get("/api/stock/received-by", params={"recipient": "ward 3"}).json()
    assert (row["lot"], row["pieces"], row["recipient"]) == ("A310", 5, "Ward 3, night")


def test_the_stock_list_is_paged_by_lot_and_goes_into_a_spreadsheet(client: TestClient) -> None:
    """Common practice, no source (formula injection): a cell that begins with a sign of a formula
    gets an apostrophe."""
    goods = make(client)
    for lot in ("A310", "B2", "C7"):
        received(client, goods, lot=lot, place="=HYPERLINK(1)")
    first = client.get("/api/stock?limit=2").json()
    assert ([one["lot"] for one in first["lots"]], first["more"]) == (["A310", "B2"], True)
    after = client.get("/api/stock?limit=2&after=B2").json()
    assert ([one["lot"] for one in after["lots"]], after["more"]) == (["C7"], False)
    file = client.get("/api/stock/list.csv").content.decode("utf-8-sig")
    rows = list(csv.DictReader(io.StringIO(file)))
    assert [(row["lot"], row["pieces"], row["status"]) for row in rows] == [
        (lot, "400", "not_decided") for lot in ("A310", "B2", "C7")
    ]
    assert {row["where"] for row in rows} == {"'=HYPERLINK(1)"}


def test_the_same_movement_again_changes_nothing(client: TestClient, send: Send) -> None:
    goods = released(client, send)
    body = {
        "id": new_id(),
        "kind": "handed_out",
        "consignment_id": goods,
        "lot": "A310",
        "pieces": 400,
        "place": "Store 2",
        "carton": "C001",
        "recipient": "Ward 3",
        "on": "2031-03-18",
    }
    answers = [client.post("/api/stock", json=body).status_code for _ in range(2)]
    assert answers == [201, 201]
    assert where(client)["lots"][0]["hands"][0]["pieces"] == 400
    assert client.post("/api/stock", json={**body, "pieces": 1}).status_code == 409
