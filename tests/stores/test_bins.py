"""Sorted goods without a consignment: counts by bin on the server, and their hand-over."""

from typing import Any

import pytest
from starlette.testclient import TestClient

from inkwitness import phrases
from inkwitness.records.store import new_id
from tests.test_verdicts import judged

#: Job map, scenario 6: a hall of donations, sorted into bins.
SORTED = {
    "sealed": 300,
    "opened": 260,
    "loose": 180,
    "medical": 150,
    "ear_loop": 90,
    "child": 60,
    "discard": 70,
    "no_print": 30,
}


def put(client: TestClient, sorting: str, bin_: str, count: int, **more: Any) -> Any:
    body = {"id": new_id(), "sorting_id": sorting, "bin": bin_, "count": count, **more}
    return client.post("/api/bins/entries", json=body)


def hand_over(client: TestClient, sorting: str, counts: dict[str, int]) -> Any:
    body = {"id": new_id(), "received_by": "Samira Kholvane, pharmacist", "counts": counts}
    return client.post(f"/api/bins/sortings/{sorting}/hand-over", json=body)


@pytest.fixture
def hall(client: TestClient) -> str:
    sorting = new_id()
    for name, count in SORTED.items():
        assert put(client, sorting, name, count, place="Hall A").status_code == 201
    return sorting


def test_the_sum_of_the_bins_is_what_was_counted(client: TestClient, hall: str) -> None:
    """Job map, scenario 6: 1,140 pieces."""
    seen = client.get(f"/api/bins/sortings/{hall}").json()
    assert (seen["pieces"], seen["counts"], seen["place"]) == (1140, SORTED, "Hall A")


def test_a_group_sent_twice_counts_once_and_one_taken_back_counts_no_more(
    client: TestClient,
) -> None:
    sorting = new_id()
    body = {"id": new_id(), "sorting_id": sorting, "bin": "sealed", "count": 40}
    for _ in range(2):
        assert client.post("/api/bins/entries", json=body).status_code == 201
    assert client.get(f"/api/bins/sortings/{sorting}").json()["pieces"] == 40
    back = {"id": new_id(), "entry_id": body["id"]}
    assert client.post("/api/bins/taken-back", json=back).json()["pieces"] == 0


def test_a_sheet_is_signed_for_the_counts_that_are_kept_and_for_no_others(
    client: TestClient, hall: str
) -> None:
    """A phone that had no network may hold groups that the sheet does not show."""
    refused = hand_over(client, hall, {**SORTED, "sealed": 299})
    assert (refused.status_code, refused.json()["error"]["code"]) == (409, "refused")
    assert hand_over(client, hall, SORTED).status_code == 201
    entry = client.get(f"/api/bins/sortings/{hall}").json()["groups"][0]["entry_id"]
    back = {"id": new_id(), "entry_id": entry}
    assert client.post("/api/bins/taken-back", json=back).status_code == 409
    assert put(client, hall, "sealed", 12).json()["late"] == 1
    (open_still,) = client.get("/api/bins/sortings?open_only=true").json()
    assert open_still["sorting_id"] == hall


@pytest.mark.parametrize("language", ["en", "es", "fr", "pt", "hi", "ar"])
def test_sheet_and_note_say_no_verdict_and_promise_nothing(
    client: TestClient, hall: str, language: str
) -> None:
    """Job map, section 6.3 (words to a donor) and scenario 6: no item labelled released."""
    path = f"/api/bins/sortings/{hall}"
    sheet = client.get(f"{path}/sheet?format=json&lang={language}").json()
    say = phrases.shipped().of(language)
    told = [said for part in sheet["sections"] for said in part["sentences"]]
    assert say("bins.never_released") in told
    assert say("bins.line") in told
    rows = sheet["sections"][0]["table"]["rows"]
    assert sum(int(row[2]) for row in rows) == 1140
    note = client.get(f"{path}/donor-note?format=json&lang={language}").json()
    assert say("donor.may_be") in note
    assert not any(judged(language, text) for text in [*told, *note])


def test_both_can_be_printed(client: TestClient, hall: str) -> None:
    for name in ("sheet", "donor-note"):
        data = client.get(f"/api/bins/sortings/{hall}/{name}?lang=hi").content
        assert data.startswith(b"%PDF")


@pytest.mark.parametrize(("bin_", "count"), [("released", 1), ("sealed", 0)])
def test_there_is_no_bin_that_releases(client: TestClient, bin_: str, count: int) -> None:
    assert put(client, new_id(), bin_, count).status_code == 422
