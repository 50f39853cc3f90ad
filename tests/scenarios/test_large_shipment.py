"""Scenario 1: three lots in which nothing differs are still no release, and one is not known.

The share of times that 20 of 60 cartons miss 3 that differ is hypergeometric (none drawn):
57! 40! / (37! 60!) = 0.2887. 59 units show 5 % of 8,000 with 95 %: the table of zero found.
"""

import hashlib
from collections.abc import Iterator
from math import ceil, comb
from typing import Any

import pytest
from starlette.testclient import TestClient

from inkwitness.api.app import create_app
from inkwitness.records.store import new_id
from inkwitness.reports.outgoing import wording
from tests.api.conftest import HEADERS, NOW, png, settings, wait_for
from tests.api.test_consignments import make
from tests.api.test_units import decide
from tests.holders.test_api import accept, propose
from tests.intake.conftest import keep_paper
from tests.scenarios.conftest import confirm_all, look_up
from tests.test_verdicts import judged

LOTS = ("A310", "A311", "A312")
SECOND = {**HEADERS, "X-Actor": "Bo%20Terrazin"}
REPLY = "Lots A310 and A311 are ours. We have no lot A312 in our records."
FAULTS = ["blur"] * 18 + ["glare"] * 9 + ["cut_off"] * 4


@pytest.fixture(scope="module")
def house(tmp_path_factory: pytest.TempPathFactory) -> Iterator[TestClient]:
    """A site on which a release takes a second person; 20 of 60 cartons opened, 177 units read."""
    app = create_app(
        settings(
            tmp_path_factory.mktemp("shipment"),
            reader="tests.scenarios.prints:build",
            judge="tests.scenarios.prints:build_judge",
            two_persons=True,
        ),
        clock=lambda: NOW,
    )
    with TestClient(app, headers=HEADERS) as opened:
        accept(opened, propose(opened)["proposal_id"])
        yield opened


@pytest.fixture(scope="module")
def goods(house: TestClient) -> str:
    lots = [{"code": code, "units": 8000, "cartons": 20} for code in LOTS]
    told: dict[str, Any] = {"units_declared": 24_000, "cartons_declared": 60, "lots": lots}
    id_ = make(house, **told)
    common = {"holder": "Vexholm Filtration Works", "number": "TC-84A-9981", "product": "VX-910"}
    label = {"kind": "approval_label", "title": "Approval Label", **common}
    letter = {"kind": "authorisation", "title": "Letter of Authorisation", "lots": list(LOTS)}
    assert keep_paper(house, label, consignment_id=id_).status_code == 201
    answer = keep_paper(house, {**common, **letter}, consignment_id=id_)
    assert answer.json()["state"] == "no_conflict_found"
    # a letter that names all lots contradicts none of them
    rows = {row["field"]: row["state"] for row in answer.json()["table"]}
    assert rows["lots"] == "agrees"
    question = {
        "id": new_id(),
        "kind": "discovery",
        "seed": "dice 4 1 6 2",
        "nonconforming_share": "0.05",
    }
    each = {"each_lot": True, "open_cartons": 20, "nonconforming_cartons": 3}
    plan = house.post(f"/api/consignments/{id_}/plan", json={**question, **each})
    assert plan.status_code == 201, plan.text
    for lot in LOTS:
        assert decide(house, f"consignments/{id_}", "hold", "awaited", lot=lot).status_code == 201
    faults = list(FAULTS)
    taken: list[dict[str, Any]] = []
    for place in house.get(f"/api/consignments/{id_}/tick-list").json()["units"]:
        name = f"vx-910-{place['place'][:4].lower()}.png"
        form = {"id": new_id(), "unit_id": new_id(), "whole": "yes", "label": place["place"]}
        form |= {"consignment_id": id_, "declared": "head_straps,nose_clip"}
        form |= {"retaken": faults.pop()} if faults else {}
        data = png(colour=f"#{len(taken) + 1:06x}")
        sent = house.post("/api/photos", data=form, files={"file": (name, data, "image/png")})
        assert sent.status_code == 202, sent.text
        taken.append(sent.json())
    for one in taken:
        assert wait_for(house, one["job_id"])["state"] == "done"
        check = confirm_all(house, one)
        assert (check["outcome"], check["holder_match"]["state"]) == (
            "no_conflict_found",
            "listed_agrees",
        )
    return id_


@pytest.fixture(scope="module")
def report(house: TestClient, goods: str) -> dict[str, Any]:
    """The report before anything was looked up or asked."""
    made = house.get(f"/api/consignments/{goods}/report?format=json&lang=en")
    told: dict[str, Any] = made.json()
    return told


def see(house: TestClient, goods: str) -> dict[str, Any]:
    seen: dict[str, Any] = house.get(f"/api/consignments/{goods}").json()
    return seen


def lots(house: TestClient, goods: str) -> dict[str, dict[str, Any]]:
    return {one["code"]: one for one in see(house, goods)["lot_stands"]}


def in_the_way(lot: dict[str, Any]) -> set[str]:
    return {one["key"] for one in lot["in_the_way"]}


def test_59_units_of_each_lot_come_from_20_of_60_cartons_by_a_draw_that_is_kept(
    house: TestClient, goods: str
) -> None:
    seen = see(house, goods)
    assert (seen["plan"]["cartons_opened"], seen["plan"]["seed"]) == (20, "dice 4 1 6 2")
    drawn = {lot["code"]: (lot["drawn"], lot["left_to_do"]) for lot in seen["lot_samples"]}
    assert drawn == dict.fromkeys(LOTS, (59, 0))
    opened = {one["place"].rpartition("/")[0] for one in seen["drawn"]}
    assert (len(seen["drawn"]), opened) == (177, set(seen["plan"]["cartons"]))
    # Each of the 20 is among the first by SHA-256 of seed|carton: a repeat with a hash tool.
    every = [f"{lot}/C{carton:03}" for lot in LOTS for carton in range(1, 21)]
    ticket = {one: hashlib.sha256(f"dice 4 1 6 2|{one}".encode()).hexdigest() for one in every}
    assert opened == set(sorted(every, key=ticket.__getitem__)[:20])
    assert all(lot["statement"] for lot in seen["lot_samples"])


def test_nothing_differs_and_it_is_no_release(
    house: TestClient, goods: str, report: dict[str, Any]
) -> None:
    seen = see(house, goods)
    assert (seen["outcome"], seen["looked_at"]) == ("no_conflict_found", 177)
    first = report["statuses"][0]
    assert first["shape"] == "◆"
    said = str(first)
    assert "No conflict found in what was checked" in said
    assert "Not a release" in said
    assert "%" not in said
    assert "✓" not in said
    assert not wording.judging("en", said)


def test_the_report_says_how_much_was_looked_at_and_what_was_not(
    report: dict[str, Any],
) -> None:
    text = str(report)
    missed = ceil(1000 * comb(57, 20) / comb(60, 20)) / 10
    for said in (
        "If 3 of the 60 cartons are nonconforming",
        "Units looked at: 177 of 24,000, from 20 of 60 cartons.",
        "HOUSE-LIST",
        "2031-03-12",
        "Filtration, breathing resistance, leakage and fit were not tested.",
        "Who made the goods was not established.",
        f"opening 20 of them at random misses every one of these with probability {missed} %.",
        "TC-84A-9981 was not looked up on the authority's own list.",
    ):
        assert said in text, said


def test_photos_taken_again_are_counted(
    house: TestClient, goods: str, report: dict[str, Any]
) -> None:
    again = see(house, goods)["retakes"]
    assert (again["kept"], again["again"], again["percent"]) == (177, 31, 15)
    assert again["reasons"] == {"blur": 18, "glare": 9, "cut_off": 4}
    assert "31 of 208 (15 %)" in again["says"]
    assert "31 of 208 (15 %)" in str(report)


def test_a_lot_that_the_holder_does_not_know_is_a_conflict_and_the_others_wait(
    house: TestClient, goods: str
) -> None:
    path = f"consignments/{goods}"
    # A release waits for the look-up and for the holder, and each says what to do about it.
    for lot in LOTS:
        asked = decide(house, path, "ask_holder", "Is this lot yours?", lot=lot)
        assert (asked.status_code, asked.json()["by"]["name"]) == (201, "Ines Okparo")
    for stands in lots(house, goods).values():
        waits = {"no_official_look_up", "answer_awaited", "held", "second_person"}
        assert waits <= in_the_way(stands)
        assert all(one["lift"] for one in stands["in_the_way"])
    assert decide(house, path, "release", "wanted").status_code == 409
    assert decide(house, path, "release", "wanted", lot="A310").status_code == 409
    look_up(house, "TC-84A-9981")
    for lot, about in (("A310", "agrees"), ("A311", "agrees"), ("A312", "differs")):
        told = decide(house, path, "holder_answered", REPLY, lot=lot, about=about)
        assert told.status_code == 201, told.text
    found = lots(house, goods)
    assert {code: lot["outcome"] for code, lot in found.items()} == {
        "A310": "no_conflict_found",
        "A311": "no_conflict_found",
        "A312": "conflict",
    }
    assert see(house, goods)["outcome"] == "conflict"
    # Letter for letter, with its day; and no more than that the holder does not know it.
    answered = found["A312"]["answered"]
    assert answered["words"] == REPLY
    assert "does not know this as printed" in answered["says"]
    assert "2031-03-18" in answered["says"]
    assert REPLY in answered["says"]
    assert not wording.judging("en", answered["says"])
    assert decide(house, path, "hold_conflict", REPLY, lot="A312").status_code == 201
    report = house.get(f"/api/consignments/{goods}/report?format=json&lang=en")
    (by_lot,) = [one for one in report.json()["sections"] if one["title"] == "Lot by lot"]
    assert REPLY in dict(by_lot["table"]["rows"])["A312"]
    assert not judged("en", report.text)
    # No lot was released by what came in.
    found = lots(house, goods)
    assert {lot["released"] for lot in found.values()} == {""}
    assert all(lot["held"] for lot in found.values())
    decisions = {one["lot"]: one["code"] for one in see(house, goods)["decisions"] if one["code"]}
    assert decisions == {"A310": "D5", "A311": "D5", "A312": "D6"}
    (declared,) = [one for one in see(house, goods)["lots"] if one["code"] == "A312"]
    assert declared["units"] == 8000
    assert "answer_differs" in in_the_way(found["A312"])
    assert in_the_way(found["A310"]) == in_the_way(found["A311"]) == {"held", "second_person"}
    # One person alone ends no hold; the second person's word does.
    assert decide(house, path, "lift_hold", "all is here", lot="A310").status_code == 409
    second = TestClient(house.app, headers=SECOND)
    for about in ("lift_hold", "release"):
        agreed = decide(second, path, "agree", "seen", lot="A310", about=about)
        assert agreed.status_code == 201, agreed.text
    assert decide(house, path, "lift_hold", "all is here", lot="A310").status_code == 201
    assert decide(house, path, "release", "all is here", lot="A310").status_code == 201
    found = lots(house, goods)
    assert {code: lot["released"] for code, lot in found.items()} == {
        "A310": "release",
        "A311": "",
        "A312": "",
    }
    assert (found["A311"]["held"], found["A312"]["held"]) == (True, True)
