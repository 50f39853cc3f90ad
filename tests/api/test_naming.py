"""A person says what a piece of ink is: named by id, several in one go, kept as it was said.

Expectations are the project's own contract: issue 19, points 1 and 9, and the decisions on marks.
"""

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from inkwitness.api.app import create_app
from inkwitness.records.store import new_id
from tests.api.conftest import HEADERS, NOW, png, settings, wait_for

BO = {"X-Actor": "Bo%20Terrazin"}


@pytest.fixture
def typed(tmp_path: Path) -> Iterator[TestClient]:
    typed_ones = "tests.api.typed_checker"
    set_up = settings(tmp_path, reader=f"{typed_ones}:build", judge=f"{typed_ones}:build_judge")
    app = create_app(set_up, clock=lambda: NOW)
    with TestClient(app, headers=HEADERS) as opened:
        yield opened


def send(client: TestClient, name: str = "us-free-print.png", **fields: str) -> dict[str, Any]:
    """Send a photo whose print the file's name says, and wait until it is read."""
    form = {"id": new_id(), "unit_id": new_id(), "whole": "yes", **fields}
    answer = client.post("/api/photos", data=form, files={"file": (name, png(), "image/png")})
    taken: dict[str, Any] = answer.json()
    wait_for(client, taken["job_id"])
    return taken


def word(photo_id: str, mark_id: str, printed: str | None, **more: Any) -> dict[str, Any]:
    return {
        "id": new_id(),
        "photo_id": photo_id,
        "mark_id": mark_id,
        "printed": printed,
        "from": "as_read",
        **more,
    }


def say(client: TestClient, body: dict[str, Any], **headers: str) -> Any:
    return client.post("/api/confirmations", json=body, headers=headers)


def unit_of(client: TestClient, taken: dict[str, Any]) -> dict[str, Any]:
    found: dict[str, Any] = client.get(f"/api/units/{taken['unit_id']}").json()
    return found


def test_a_word_names_a_mark_by_its_id_and_says_what_it_is(typed: TestClient) -> None:
    taken = send(typed)
    body = word(taken["photo_id"], "0:0:manufacturer", "TAMBERLOW", named="manufacturer")
    answer = say(typed, body)
    assert answer.status_code == 201
    mark = answer.json()["check"]["marks"]["manufacturer"]
    assert (mark["printed"], mark["standing"], mark["named_by"]) == ("TAMBERLOW", "read", "person")
    (kept,) = unit_of(typed, taken)["confirmations"]
    assert (kept["mark_id"], kept["mark"], kept["named"]) == (
        "0:0:manufacturer",
        "manufacturer",
        "manufacturer",
    )


def test_two_people_who_name_the_same_ink_differ_whichever_offer_each_answered(
    typed: TestClient,
) -> None:
    taken = send(typed)
    photo = taken["photo_id"]
    first = say(typed, word(photo, "0:1:model", "9417", named="model")).json()
    other = say(typed, word(photo, "0:1:lot", "9417", named="lot"), **BO).json()
    assert other["check"]["basis"] == "reading"
    assert any(note.startswith("confirmations_differ") for note in other["check"]["notes"])
    again = word(photo, "0:1:lot", "9417", named="lot", supersedes=first["confirmation_id"])
    chosen = say(typed, again, **BO).json()
    assert chosen["check"]["marks"]["lot"]["printed"] == "9417"


def test_several_words_are_kept_in_one_go_with_one_new_check(typed: TestClient) -> None:
    taken = send(typed)
    words = [
        word(taken["photo_id"], "0:0:manufacturer", "TAMBERLOW", named="manufacturer"),
        word(taken["photo_id"], "0:1:model", "9417", named="lot"),
        word(taken["photo_id"], "0:2:model", None, named="other_text"),
    ]
    answer = typed.post("/api/confirmations/several", json={"confirmations": words})
    assert answer.status_code == 201
    assert answer.json()["confirmation_ids"] == [one["id"] for one in words]
    assert len(unit_of(typed, taken)["checks"]) == 2
    # The same again, as a phone sends it that had no answer: nothing is added.
    again = typed.post("/api/confirmations/several", json={"confirmations": words})
    assert again.json() == answer.json()
    assert len(unit_of(typed, taken)["confirmations"]) == 3
    assert len(unit_of(typed, taken)["checks"]) == 2


def test_of_several_words_either_all_are_kept_or_none(typed: TestClient) -> None:
    taken = send(typed)
    words = [
        word(taken["photo_id"], "0:0:manufacturer", "TAMBERLOW", named="manufacturer"),
        word(taken["photo_id"], "no such mark", "9417"),
    ]
    answer = typed.post("/api/confirmations/several", json={"confirmations": words})
    assert answer.status_code == 422
    assert unit_of(typed, taken)["confirmations"] == []


def test_several_words_are_of_one_photo(typed: TestClient) -> None:
    photos = [send(typed)["photo_id"] for _ in range(2)]
    words = [word(photo, "0:1:model", "9417", named="lot") for photo in photos]
    answer = typed.post("/api/confirmations/several", json={"confirmations": words})
    assert answer.status_code == 422
    assert "each photo by itself" in answer.json()["error"]["message"]


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"mark_id": "no such mark"}, "no mark no such mark"),
        ({"named": "colour"}, "no mark is called so"),
        ({"mark_id": ""}, "Say which mark it is"),
    ],
)
def test_a_word_that_names_no_mark_is_refused_with_what_to_do(
    typed: TestClient, change: dict[str, str], says: str
) -> None:
    answer = say(typed, {**word(send(typed)["photo_id"], "0:1:model", "9417"), **change})
    assert answer.status_code == 422
    assert says in answer.json()["error"]["message"]


def test_a_mark_that_was_not_read_is_added_under_an_id_of_the_senders_own(
    typed: TestClient,
) -> None:
    taken = send(typed)
    id_ = f"added:{new_id()}"
    body = word(taken["photo_id"], id_, "2034-03", mark="expiry_date", **{"from": "typed"})
    added = say(typed, body).json()["check"]["marks"]["expiry_date"]
    assert (added["id"], added["printed"], added["named_by"]) == (id_, "2034-03", "person")


def test_a_word_from_before_marks_had_ids_is_resolved_and_one_by_id_takes_its_place(
    typed: TestClient,
) -> None:
    taken = send(typed, "dual-face.png")
    old = word(taken["photo_id"], "", "N99", mark="filter_class", scheme="us-niosh", occurrence=1)
    del old["mark_id"]
    first = say(typed, old).json()
    classes = [
        mark for mark in first["check"]["items"][0]["marks"] if mark["mark"] == "filter_class"
    ]
    assert [(mark["printed"], mark["confirmed"]) for mark in classes] == [
        ("FFP2", False),
        ("N99", True),
    ]
    (kept,) = unit_of(typed, taken)["confirmations"]
    assert kept["mark_id"] == classes[1]["id"] != ""
    # The same person says another thing by id: the old word is no longer in force.
    now = say(typed, word(taken["photo_id"], classes[1]["id"], "N95")).json()["check"]
    assert [m["printed"] for m in now["items"][0]["marks"] if m["mark"] == "filter_class"] == [
        "FFP2",
        "N95",
    ]
    assert [entry["in_force"] for entry in unit_of(typed, taken)["confirmations"]] == [False, True]


def test_what_is_sent_again_from_before_marks_had_ids_changes_nothing(typed: TestClient) -> None:
    """A phone may still hold a word in the shape of the page before: it is stored as it was."""
    taken = send(typed)
    old = word(taken["photo_id"], "", "N95", mark="filter_class", occurrence=0)
    del old["mark_id"]
    assert say(typed, old).json() == say(typed, old).json()
    with typed.app.state.services.store.database.reading() as conn:  # type: ignore[attr-defined]
        (content,) = conn.exec_driver_sql("SELECT content FROM confirmations").scalars()
    assert {"mark_id", "named", "ink"}.isdisjoint(json.loads(content))


def test_words_on_the_reduced_copy_go_over_to_the_same_ink_of_the_full_photo(
    typed: TestClient,
) -> None:
    quick = send(typed, reduced="true")
    say(typed, word(quick["photo_id"], "0:1:model", "9417", named="lot"))
    say(typed, word(quick["photo_id"], "0:2:model", None, named="other_text"))
    send(typed, unit_id=quick["unit_id"], replaces=quick["photo_id"])
    check = unit_of(typed, quick)["checks"][0]["check"]
    marks = [(mark["mark"], mark["printed"]) for mark in check["items"][0]["marks"]]
    assert ("lot", "9417") in marks
    assert ("other_text", "KEEP DRY") in marks
    assert ("model", "KEEP DRY") not in marks
    assert check["basis"] == "confirmed"


def test_a_makers_logo_is_no_agencys_logo_nor_the_other_way_round(typed: TestClient) -> None:
    """Issue 19, point 9: the page's "agency logo" excused a missing maker's name."""

    def rules(declared: str) -> set[str]:
        taken = send(typed, "en-face-no-name.png", declared=declared)
        check = unit_of(typed, taken)["checks"][0]["check"]
        return {finding["rule"] for finding in check["findings"]}

    assert rules("agency_logo_seen") == rules("")
    assert rules("maker_logo_seen") < rules("")
    # As photos have it that were sent by the page that called it "agency logo".
    assert rules("logo_seen") == rules("")
