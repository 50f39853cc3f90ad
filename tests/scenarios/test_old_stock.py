"""Scenario 7: stock from before the letter of 2008: no number on the mask, two dates, old straps.

The marking letter of September 2008 is why older masks may bear the number on the box alone
(rules/schemes/us-niosh.yaml names it). Which of two small numbers
is the month, nobody can tell from the print (common practice, no source).
"""

import re
from typing import Any

import pytest
from starlette.testclient import TestClient

from inkwitness.records.store import new_id
from tests.api.test_consignments import make
from tests.api.test_units import decide
from tests.scenarios.conftest import Send, keys

NO_MORE_GOOD = ("good until", "still good", "may be used until")


def unit_of(client: TestClient, unit: str) -> dict[str, Any]:
    found: dict[str, Any] = client.get(f"/api/units/{unit}").json()["unit_check"]["check"]
    return found


def look(client: TestClient, unit: str, **answers: str) -> None:
    told = client.post(f"/api/units/{unit}/construction", json={"id": new_id(), "answers": answers})
    assert told.status_code == 201, told.text


@pytest.fixture
def cellar(client: TestClient, send: Send) -> tuple[str, str]:
    """Goods found in a cellar under an ordinary supply, and one unit of them with its box."""
    goods = make(client, units_declared=3200, supply_condition="conventional")
    face = send("p-8.png", consignment_id=goods, surface="facepiece")
    send("p-8-box.png", unit_id=face["unit_id"], surface="inner_box")
    return goods, face["unit_id"]


def test_a_number_on_the_box_alone_is_explained_and_no_conflict(
    client: TestClient, cellar: tuple[str, str]
) -> None:
    check = unit_of(client, cellar[1])
    assert [one["rule"] for one in check["findings"] if one["severity"] == "conflict"] == []
    assert check["holder_match"]["state"] == "listed_agrees"
    assert any("2008" in one["says"] and "box" in one["says"] for one in check["findings"])


def test_a_date_of_two_small_numbers_gets_no_order_of_day_and_month(
    client: TestClient, cellar: tuple[str, str]
) -> None:
    expiry, _sticker = [
        mark
        for photo in client.get(f"/api/units/{cellar[1]}").json()["checks"]
        for item in photo["check"]["items"]
        for mark in item["marks"]
        if mark["mark"] == "expiry_date"
    ]
    # 5 June or 6 May: it stays as it is printed, and is past either way.
    assert (expiry["value"], expiry["alternatives"]) == ("05/06/2013", [])
    found = unit_of(client, cellar[1])["findings"]
    assert "x-past-its-date" in [one["rule"] for one in found]


def test_the_months_past_each_date_are_counted_and_no_date_stands_for_the_other(
    client: TestClient, cellar: tuple[str, str]
) -> None:
    """To 18 March 2031: 213 from 5 June 2013, 214 from 6 May 2013, 141 from 31 May 2019."""
    counted = {
        one["values"]["printed"]: one["values"]["months_past"]
        for one in unit_of(client, cellar[1])["findings"]
        if one["rule"] == "x-months-past-its-date"
    }
    assert counted == {"05/06/2013": "213–214", "31/05/2019": "141"}


def test_cracked_straps_make_the_conflict_and_the_print_does_not(
    client: TestClient, cellar: tuple[str, str]
) -> None:
    goods, unit = cellar
    before = unit_of(client, unit)
    look(client, unit, fastening="head_straps", straps="cracked", second_sticker="yes")
    check = unit_of(client, unit)
    assert check["outcome"] == "conflict"
    (straps,) = [one for one in check["findings"] if one["severity"] == "conflict"]
    assert (straps["rule"], straps["aspect"]) == ("x-straps-cracked", "construction")
    assert "not on the print" in straps["says"]
    # What was read says what it said before.
    assert check["aspects"]["reading"] == before["aspects"]["reading"]
    assert check["aspects"]["construction"] == "conflict"
    # Who put the second sticker there is asked, not assumed.
    assert any("on whose authority" in one["says"] for one in check["findings"])
    assert decide(client, f"consignments/{goods}", "hold", "straps").status_code == 201
    assert "undecided_conflict" in keys(client, goods)


def test_it_is_counted_on_how_many_units_of_the_sample_the_straps_crack(
    client: TestClient, send: Send
) -> None:
    goods = make(client, units_declared=3200)
    sample = [send("p-8.png", consignment_id=goods)["unit_id"] for _ in range(20)]
    for unit in sample[:4]:
        look(client, unit, fastening="head_straps", straps="cracked")
    (cracked,) = [
        one
        for one in client.get(f"/api/consignments/{goods}").json()["counted"]
        if one["rule"] == "x-straps-cracked"
    ]
    assert (cracked["severity"], cracked["n"], cracked["of"]) == ("conflict", 4, 20)
    assert cracked["says"].startswith("4 of the 20 single units that were looked at: ")
    told = client.get(f"/api/consignments/{goods}/report?format=json&lang=en").json()
    (seen,) = [one for one in told["sections"] if cracked["says"] in one["sentences"]]
    assert seen["title"] == "What was looked at"


def test_goods_of_an_ordinary_supply_go_into_no_crisis_reserve(
    client: TestClient, cellar: tuple[str, str]
) -> None:
    wanted = decide(
        client, f"consignments/{cellar[0]}", "crisis_reserve", "short", limits="training only"
    )
    assert wanted.status_code == 409
    # Holding and destroying under control stay open.
    assert decide(client, f"consignments/{cellar[0]}", "hold", "old").status_code == 201


def test_nobody_is_told_how_long_old_stock_is_good_or_that_it_is_safe(
    client: TestClient, cellar: tuple[str, str]
) -> None:
    report = client.get(f"/api/consignments/{cellar[0]}/report?format=json").text
    assert "Pellanor" in report or "PELLANOR" in report
    assert [words for words in NO_MORE_GOOD if words in report.casefold()] == []
    assert re.findall(r"\b(?:un)?safe\b", report, re.IGNORECASE) == []
