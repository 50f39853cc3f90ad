"""What several photos of one unit come to, kept and shown: the real rules, typed print.

Expectations are the project's own: a new check stands beside the old one, chained, with every photo
added, every word of a person and every new edition of the list; nothing is rewritten.
"""

import base64
import datetime as dt
import io
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from PIL import Image
from pypdf import PdfReader
from starlette.testclient import TestClient

from inkwitness.api.app import create_app
from inkwitness.records.store import new_id
from tests.api.conftest import HEADERS, NOW, png, settings, wait_for
from tests.api.test_units import decide

Send = Callable[..., dict[str, Any]]
LIST = b"""scheme,approval_number,holder,models,filter_class,status,checked_on,source,checked_by
eu-en149,,Halcyra Respire,HR-F2,FFP2,current,2031-03-12,registry,Bo
"""


@pytest.fixture
def typed(tmp_path: Path) -> Iterator[TestClient]:
    typed_ones = "tests.api.typed_checker"
    set_up = settings(tmp_path, reader=f"{typed_ones}:build", judge=f"{typed_ones}:build_judge")
    app = create_app(set_up, clock=lambda: NOW)
    with TestClient(app, headers=HEADERS) as opened:
        yield opened


@pytest.fixture
def send(typed: TestClient) -> Send:
    """Send a photo of a unit, whole unless said otherwise, and wait until it is read."""

    def _send(name: str, unit_id: str, surface: str = "facepiece", **fields: Any) -> dict[str, Any]:
        form = {"id": new_id(), "unit_id": unit_id, "surface": surface, "whole": "yes", **fields}
        answer = typed.post("/api/photos", data=form, files={"file": (name, png(), "image/png")})
        assert answer.status_code == 202, answer.text
        taken: dict[str, Any] = answer.json()
        assert wait_for(typed, taken["job_id"])["state"] == "done"
        return taken

    return _send


def unit_of(client: TestClient, unit_id: str, **query: str) -> dict[str, Any]:
    found: dict[str, Any] = client.get(f"/api/units/{unit_id}", params=query).json()
    return found


def confirm(client: TestClient, photo_id: str, mark: str, printed: str) -> None:
    body = {
        "id": new_id(),
        "photo_id": photo_id,
        "item": 0,
        "mark": mark,
        "printed": printed,
        "from": "typed",
    }
    assert client.post("/api/confirmations", json=body).status_code == 201


def test_a_unit_of_one_photo_has_no_check_of_its_own(typed: TestClient, send: Send) -> None:
    unit_id = new_id()
    send("us-face.png", unit_id)
    unit = unit_of(typed, unit_id)
    assert unit["unit_check"] is unit["row"]["unit_check_id"] is None
    assert typed.get(f"/api/units/{unit_id}/checks").json() == []


def test_a_second_photo_has_the_unit_checked_and_its_outcome_is_the_units(
    typed: TestClient, send: Send
) -> None:
    """42 CFR 84.33: the number may stand on the harness."""
    unit_id = new_id()
    face = send("us-face-without-number.png", unit_id)
    assert unit_of(typed, unit_id)["row"]["outcome"] == "missing"
    strap = send("us-strap-number.png", unit_id, "strap")
    unit = unit_of(typed, unit_id)
    assert unit["row"]["outcome"] == "no_conflict_found"
    assert unit["row"]["approval_number"] == "TC-84A-9981"
    told = unit["unit_check"]
    assert told["unit_check_id"] == unit["row"]["unit_check_id"]
    assert told["photo_ids"] == [face["photo_id"], strap["photo_id"]]
    assert told["check_ids"] == [
        next(c["check_id"] for c in unit["checks"] if c["photo_id"] == id_)
        for id_ in told["photo_ids"]
    ]
    assert [one["outcome"] for one in told["check"]["photos"]] == ["missing", "no_conflict_found"]
    assert told["check"]["marks"]["approval_number"]["surface"] == "strap"
    assert typed.get("/api/units").json()["units"][0]["outcome"] == "no_conflict_found"


def test_places_of_a_difference_lead_to_both_crops(typed: TestClient, send: Send) -> None:
    unit_id = new_id()
    send("us-face.png", unit_id)
    send("us-box-other-class.png", unit_id, "inner_box")
    told = unit_of(typed, unit_id)["unit_check"]
    assert told["check"]["outcome"] == "conflict"
    (differ,) = [
        one for one in told["check"]["findings"] if one["rule"] == "x-facepiece-and-box-differ"
    ]
    crops = [
        typed.get(f"/api/photos/{told['photo_ids'][p['photo']]}/lines/{p['mark']['line']}")
        for p in differ["places"]
    ]
    assert [crop.status_code for crop in crops] == [200, 200]
    assert [one["surface"] for one in differ["places"]] == ["facepiece", "inner_box"]


def test_every_word_and_photo_appends_a_check_and_none_is_changed(
    typed: TestClient, send: Send
) -> None:
    unit_id = new_id()
    face = send("us-face.png", unit_id)
    box = send("us-box-other-class.png", unit_id, "inner_box")
    first = typed.get(f"/api/units/{unit_id}/checks").json()
    confirm(typed, face["photo_id"], "filter_class", "N95")
    confirm(typed, box["photo_id"], "filter_class", "N95")
    send("us-strap-number.png", unit_id, "strap")
    made = typed.get(f"/api/units/{unit_id}/checks").json()
    assert [one["why"] for one in made] == ["read", "confirmed", "confirmed", "read"]
    assert [one["check"]["outcome"] for one in made] == [
        "no_conflict_found",
        "no_conflict_found",
        "conflict",
        "conflict",
    ]
    assert [one["check"]["basis"] for one in made] == ["reading", "confirmed", "reading", "reading"]
    assert made[-1:] == first
    records = typed.get("/api/records").json()
    (chain,) = [one for one in records["chains"] if one["table"] == "unit_checks"]
    assert (chain["rows"], chain["broken_at"]) == (4, None)


def test_a_word_taken_back_is_judged_again(typed: TestClient, send: Send) -> None:
    unit_id = new_id()
    send("us-face.png", unit_id)
    box = send("us-box-other-class.png", unit_id, "inner_box")
    confirm(typed, box["photo_id"], "filter_class", "N95")
    said = unit_of(typed, unit_id)["confirmations"][0]["confirmation_id"]
    typed.post(f"/api/confirmations/{said}/withdraw", json={"id": new_id()})
    told = unit_of(typed, unit_id)["unit_check"]
    assert (told["why"], told["check"]["outcome"]) == ("withdrawn", "conflict")


def test_a_new_edition_of_the_list_is_asked_about_the_merged_marks(
    typed: TestClient, send: Send
) -> None:
    """EN 149 is looked up by name and model, which here stand on different photos."""
    unit_id = new_id()
    face = send("en-face-name-only.png", unit_id)
    send("en-model-only.png", unit_id, "strap")
    confirm(typed, face["photo_id"], "filter_class", "FFP2")
    before = unit_of(typed, unit_id)["unit_check"]["check"]["holder_match"]["state"]
    form = {"id": new_id(), "name": "HOUSE-LIST", "checked_on": "2031-03-12"}
    proposal = typed.post("/api/holders/proposals", data=form, files={"file": ("l.csv", LIST)})
    id_ = proposal.json()["proposal_id"]
    assert (
        typed.post(f"/api/holders/proposals/{id_}/accept", json={"id": new_id()}).status_code == 201
    )
    told = unit_of(typed, unit_id)["unit_check"]
    assert before == "no_list_for_scheme"
    assert told["why"] == "list_edition"
    assert told["check"]["holder_match"]["state"] == "listed_agrees"
    (changed,) = typed.get("/api/holders/editions/1/recheck").json()["changed"]
    assert (changed["unit_id"], changed["state_after"]) == (unit_id, "listed_agrees")


def test_sentences_come_in_the_readers_language(typed: TestClient, send: Send) -> None:
    unit_id = new_id()
    send("us-face.png", unit_id)
    send("us-box-other-class.png", unit_id, "inner_box")
    (differ,) = [
        one
        for one in unit_of(typed, unit_id, lang="es")["unit_check"]["check"]["findings"]
        if one["rule"] == "x-facepiece-and-box-differ"
    ]
    assert "en un lugar" in differ["says"]


def test_a_release_depends_on_what_the_photos_come_to_together(
    typed: TestClient, send: Send
) -> None:
    unit_id = new_id()
    face = send("us-face.png", unit_id)
    box = send("us-box-other-class.png", unit_id, "inner_box")
    confirm(typed, face["photo_id"], "filter_class", "N95")
    confirm(typed, box["photo_id"], "filter_class", "P95")
    answer = decide(typed, f"units/{unit_id}", "release", "all agree")
    assert answer.status_code == 409
    assert "a conflict" in answer.json()["error"]["message"]


def test_a_consignment_counts_the_unit_once_by_what_its_photos_come_to(
    typed: TestClient, send: Send
) -> None:
    consignment = new_id()
    body = {"id": consignment, "label": "FICTIONAL 7", "units_declared": 10}
    assert typed.post("/api/consignments", json=body).status_code == 201
    unit_id = new_id()
    send("us-face-without-number.png", unit_id, consignment_id=consignment)
    send("us-strap-number.png", unit_id, "strap")
    odd = new_id()
    send("us-face.png", odd, consignment_id=consignment, label="odd one")
    send("us-box-other-class.png", odd, "inner_box")
    told = typed.get(f"/api/consignments/{consignment}").json()
    assert told["by_outcome"] == {"no_conflict_found": 1, "conflict": 1}
    report = typed.get(f"/api/consignments/{consignment}/report?format=json").json()
    (again,) = [one for one in report["sections"] if one["title"] == "Units to look at again"]
    ((where, outcome, noted),) = again["table"]["rows"]
    assert (where, outcome) == ("odd one", "conflict found")
    assert "N95 on the facepiece and P95 on the box" in noted


def test_the_report_shows_both_crops_and_each_photo_on_its_own(
    typed: TestClient, send: Send
) -> None:
    unit_id = new_id()
    send("us-face.png", unit_id)
    send("us-box-other-class.png", unit_id, "inner_box")
    told = typed.get(f"/api/units/{unit_id}/report?format=json").json()
    sections = {one["title"]: one for one in told["sections"]}
    assert told["statuses"][0]["word"] == "conflict"
    assert [row[1:3] for row in sections["Each photo on its own"]["table"]["rows"]] == [
        ["facepiece", "◆ no conflict found in what was checked"],
        ["box", "◆ no conflict found in what was checked"],
    ]
    crops = sections["Print that differs, side by side"]["crops"]
    assert [crop["says"] for crop in crops] == [
        "filter class on the facepiece, photo 1: “N95”",
        "filter class on the box, photo 2: “P95”",
    ]
    sizes = [Image.open(io.BytesIO(base64.b64decode(crop["png"]))).size for crop in crops]
    assert sizes == [(60, 12), (60, 12)]
    pdf = typed.get(f"/api/units/{unit_id}/report").content
    pages = PdfReader(io.BytesIO(pdf)).pages
    shown = [image.image.size for page in pages for image in page.images if image.image]
    assert shown.count((60, 12)) == 2
    text = " ".join(" ".join(page.extract_text() for page in pages).split())
    assert "filter class on the box, photo 2: “P95”" in text


def test_a_full_photo_after_a_reduced_one_does_not_make_two_photos(
    typed: TestClient, send: Send
) -> None:
    unit_id = new_id()
    reduced = send("us-face.png", unit_id, reduced="true")
    send("us-face.png", unit_id, replaces=reduced["photo_id"])
    assert unit_of(typed, unit_id)["unit_check"] is None


def test_the_description_of_the_api_holds_an_example_of_a_unit_check(typed: TestClient) -> None:
    told = typed.get("/api/openapi.json").json()
    (example,) = told["components"]["schemas"]["UnitCheckOut"]["examples"]
    assert [one["surface"] for one in example["findings"][0]["places"]] == [
        "facepiece",
        "inner_box",
    ]
    assert dt.date.fromisoformat(example["on"])
