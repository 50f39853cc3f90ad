"""Finding units and consignments again: by number, lot, maker, person, day and state."""

import csv
import io
import itertools
from collections.abc import Callable
from pathlib import Path
from typing import Any

from starlette.testclient import TestClient

from inkwitness.api.app import create_app
from inkwitness.records.finding.finder import FILE
from inkwitness.records.store import new_id
from tests.api.conftest import HEADERS, NOW, settings
from tests.api.test_confirmations import confirm
from tests.api.test_consignments import make
from tests.api.test_units import decide

Send = Callable[..., dict[str, Any]]


def find(client: TestClient, **asked: Any) -> list[str]:
    for _ in range(100):  # a slow machine may have more to take in than one answer waits for
        answer = client.get("/api/find", params=asked)
        assert answer.status_code == 200, answer.text
        if answer.json()["left"] == 0:
            break
    assert answer.json()["left"] == 0
    return [one["id"] for one in answer.json()["found"]]


def test_a_unit_is_found_by_what_is_printed_and_by_who_looked(
    client: TestClient, send: Send
) -> None:
    taken = send(label="shelf 4")
    unit = taken["unit_id"]
    for asked in (
        {"q": "9981"},
        {"q": "tc84a 9981"},
        {"number": "TC 84A-9981"},
        {"q": "shelf"},
        {"person": "okparo"},
        {"state": "no_conflict_found"},
        {"state": "to_be_confirmed"},
        {"since": "2031-03-18", "until": "2031-03-18"},
    ):
        assert find(client, **asked) == [unit], asked
    for nothing in ({"q": "9982"}, {"maker": "okparo"}, {"until": "2031-03-17"}, {"state": "held"}):
        assert find(client, **nothing) == []


def test_what_happens_later_is_found_too(client: TestClient, send: Send) -> None:
    """The index takes up what was appended since the last question."""
    taken = send("plain.png")
    where = f"units/{taken['unit_id']}"
    assert find(client, state="held") == []
    decide(client, where, "hold")
    assert find(client, state="held") == [taken["unit_id"]]
    decide(client, where, "lift_hold", "explained")
    assert find(client, state="held") == []
    confirm(client, taken["photo_id"], "TC-84A-9981")
    assert find(client, state="to_be_confirmed") == []
    assert find(client, q="9981", state="no_conflict_found") == [taken["unit_id"]]


def test_a_consignment_is_found_by_lot_and_supplier_and_stands_as_its_worst_unit(
    client: TestClient, send: Send
) -> None:
    goods = make(client, lots=["A310", "A311"], reference="PO 1188")
    for asked in ({"lot": "a-311"}, {"maker": "kestrane"}, {"q": "po 1188"}):
        assert find(client, kind="consignment", **asked) == [goods]
    send("conflict.png", consignment_id=goods)
    assert find(client, kind="consignment", state="conflict") == [goods]


def test_answers_come_by_pages_without_a_gap_and_without_a_repeat(
    client: TestClient, send: Send
) -> None:
    """All have the same moment, as the tests' clock stands still: the order is by id then."""
    units = [send(label=f"row {number}")["unit_id"] for number in range(5)]
    goods = [make(client) for _ in range(2)]
    seen: list[str] = []
    before = ""
    for _ in itertools.count():
        page = client.get("/api/find", params={"limit": 2, "before": before}).json()
        seen += [one["id"] for one in page["found"]]
        if not page["more"]:
            break
        before = page["next"]
    assert sorted(seen) == sorted([*units, *goods])


def test_what_is_shown_is_exported_and_no_cell_runs_as_a_formula(
    client: TestClient, send: Send
) -> None:
    send("plain.png", label="=1+1")
    send("plain.png", label="other")
    file = client.get("/api/find/list.csv", params={"q": "=1+1"}).content.decode("utf-8-sig")
    (row,) = csv.DictReader(io.StringIO(file))
    assert (row["label"], row["number"], row["kind"]) == ("'=1+1", "TC-84A-9981", "unit")


def test_the_index_is_thrown_away_and_made_anew(tmp_path: Path) -> None:
    """It is no record: without its file it is made again."""
    for turn in range(2):
        app = create_app(settings(tmp_path), clock=lambda: NOW)
        with TestClient(app, headers=HEADERS) as client:
            made = make(client, reference=f"PO {turn}")
            assert find(client, q=f"PO {turn}") == [made]
            assert len(find(client)) == turn + 1
        (tmp_path / "data" / FILE).unlink()


def test_words_are_words_and_no_pattern(client: TestClient, send: Send) -> None:
    send("plain.png", label="100 % cotton_bag")
    assert len(find(client, q="0 %")) == 1
    assert find(client, q="9%1") == []
    assert find(client, q="cotton_bag") != []
    assert find(client, q="cottonXbag") == []


def test_days_the_wrong_way_round_are_refused(client: TestClient) -> None:
    answer = client.get("/api/find", params={"since": "2031-03-19", "until": "2031-03-18"})
    assert answer.status_code == 422
    assert "Swap" in answer.json()["error"]["message"]


def test_a_unit_that_moves_is_counted_in_its_new_consignment(
    client: TestClient, send: Send
) -> None:
    first, second = make(client), make(client)
    unit = send("plain.png", consignment_id=first)["unit_id"]
    assert find(client, kind="consignment", state="no_conflict_found") == [first]
    body = {"id": new_id(), "consignment_id": second}
    assert client.post(f"/api/units/{unit}/attach", json=body).status_code == 201
    assert find(client, kind="consignment", state="no_conflict_found") == [second]
