"""`/api/holders` against a running application: search, preview, proposals, editions, look-ups."""

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from inkwitness.api.app import create_app
from inkwitness.holders.files.exporting import export
from inkwitness.records.store import new_id
from tests.api.conftest import HEADERS, NOW, png, settings
from tests.holders.house_list import HOUSE_LIST

CSV = export(HOUSE_LIST, "csv")


@pytest.fixture
def client(tmp_path: Path) -> Iterator[TestClient]:
    app = create_app(settings(tmp_path), clock=lambda: NOW)
    with TestClient(app, headers=HEADERS) as opened:
        yield opened


def propose(client: TestClient, data: bytes = CSV, **fields: str) -> dict[str, Any]:
    form = {"id": new_id(), "name": "HOUSE-LIST", "checked_on": "2031-03-12", **fields}
    answer = client.post("/api/holders/proposals", data=form, files={"file": ("l.csv", data)})
    assert answer.status_code == 201, answer.text
    found: dict[str, Any] = answer.json()
    return found


def accept(client: TestClient, proposal_id: str) -> dict[str, Any]:
    answer = client.post(f"/api/holders/proposals/{proposal_id}/accept", json={"id": new_id()})
    assert answer.status_code == 201, answer.text
    found: dict[str, Any] = answer.json()
    return found


@pytest.fixture
def filled(client: TestClient) -> TestClient:
    accept(client, propose(client)["proposal_id"])
    return client


def test_without_a_list_there_is_none_and_a_search_says_what_to_do(client: TestClient) -> None:
    assert client.get("/api/holders").json() is None
    answer = client.get("/api/holders/entries?q=vex")
    assert (answer.status_code, "Import one" in answer.json()["error"]["message"]) == (404, True)


def test_a_preview_names_problems_and_changes_and_stores_nothing(client: TestClient) -> None:
    bad = CSV.replace(b"rescinded", b"odd")
    told = client.post("/api/holders/preview", files={"file": ("l.csv", bad)}).json()
    assert (told["errors"], told["entries"], told["difference"]) == (1, 7, None)
    assert told["problems"][0]["row"] == 5
    good = client.post("/api/holders/preview", files={"file": ("l.csv", CSV)}).json()
    assert (good["errors"], good["difference"]["added"]) == (0, 8)
    assert client.get("/api/holders").json() is None


def test_a_mapping_travels_as_json(client: TestClient) -> None:
    mapping = {"columns": {"models": "Which"}, "fixed": {"scheme": "us-niosh"}}
    data = b"TC number;Maker;Which\nTC-84A-9981;Vexholm;VX-910\n"
    told = client.post(
        "/api/holders/preview",
        files={"file": ("t.csv", data)},
        data={"mapping": json.dumps(mapping)},
    ).json()
    assert told["columns"]["models"] == "'Which' (C)"
    assert told["difference"]["changes"][0]["after"]["models"] == ["VX-910"]
    wrong = client.post(
        "/api/holders/preview", files={"file": ("t.csv", data)}, data={"mapping": "{]"}
    )
    assert (wrong.status_code, wrong.json()["error"]["code"]) == (422, "bad_input")


def test_a_file_with_an_error_is_no_proposal(client: TestClient) -> None:
    form = {"id": new_id()}
    answer = client.post(
        "/api/holders/proposals",
        data=form,
        files={"file": ("l.csv", CSV.replace(b"rescinded", b"odd"))},
    )
    assert answer.status_code == 422
    assert answer.json()["error"]["code"] == "bad_list"
    assert "Row 5" in answer.json()["error"]["message"]


def test_a_proposal_becomes_the_edition_in_force(filled: TestClient) -> None:
    told = filled.get("/api/holders").json()
    assert (told["edition"], told["entries"], told["age_days"]) == (1, 8, 6)
    assert (told["too_old"], told["fictional"]) == (False, False)
    (edition,) = filled.get("/api/holders/editions").json()
    assert edition["accepted_by"] == "Ines Okparo"
    assert filled.get("/api/holders/proposals").json() == []


def test_a_write_without_a_name_is_refused(client: TestClient) -> None:
    answer = client.post(
        "/api/holders/proposals",
        data={"id": new_id()},
        files={"file": ("l.csv", CSV)},
        headers={"X-Actor": ""},
    )
    assert answer.status_code == 400


@pytest.mark.parametrize(
    ("typed", "first"),
    [
        ("vexh", "TC-84A-9981"),
        ("9918", "TC-84A-9918"),
        ("tc84a9890", "TC-84A-9890"),
        ("lumbrel", "TC-84A-9918"),
        ("LC-22", "TC-84A-9918"),
        ("quarri breath", "TC-84A-9918"),
        ("zk 31", ""),
    ],
)
def test_search_as_you_type(filled: TestClient, typed: str, first: str) -> None:
    told = filled.get("/api/holders/entries", params={"q": typed}).json()
    assert told["total"] >= 1
    assert told["entries"][0]["approval_number"] == first


def test_search_by_status_and_page(filled: TestClient) -> None:
    ended = filled.get("/api/holders/entries?status=rescinded").json()
    assert [one["holder"] for one in ended["entries"]] == ["Ostrevane Safety"]
    page = filled.get("/api/holders/entries?limit=3&offset=6").json()
    assert (len(page["entries"]), page["total"]) == (2, 8)


def test_a_number_is_on_the_list_or_near_and_never_both(filled: TestClient) -> None:
    exact = filled.get("/api/holders/check", params={"number": "tc 84a 9981"}).json()
    assert (len(exact["entries"]), exact["near"]) == (1, [])
    near = filled.get("/api/holders/check", params={"number": "TC-84A-99B1"}).json()
    assert near["entries"] == []
    assert near["near"][0]["approval_number"] == "TC-84A-9981"
    assert near["list"]["edition"] == 1


def test_some_entries_are_changed_by_a_proposal_with_source_day_and_name(
    filled: TestClient,
) -> None:
    (entry,) = filled.get("/api/holders/entries?q=9898").json()["entries"]
    ended = {**entry, "status": "rescinded", "valid_until": "2031-03-18"}
    body = {"id": new_id(), "entries": [ended], "note": "user notice"}
    refused = filled.post("/api/holders/proposals/entries", json=body)
    assert (refused.status_code, "by whom" in refused.json()["error"]["message"]) == (422, True)
    ended |= {"source": "user notice", "checked_on": "2031-03-18", "checked_by": "Bo"}
    body |= {"entries": [ended]}
    told = filled.post("/api/holders/proposals/entries", json=body).json()
    assert [told["difference"][kind] for kind in ("added", "changed")] == [0, 1]
    assert accept(filled, told["proposal_id"])["edition"] == 2
    difference = filled.get("/api/holders/difference?old=1&new=2").json()
    fields = {field["field"] for field in difference["changes"][0]["fields"]}
    assert {"status", "valid_until"} <= fields
    assert filled.get("/api/holders/editions/2/recheck").json()["waiting"] == 0


@pytest.mark.parametrize("kind", ["csv", "xlsx", "json"])
def test_an_edition_as_a_file_to_save(filled: TestClient, kind: str) -> None:
    answer = filled.get(f"/api/holders/editions/1/export?format={kind}")
    assert "attachment" in answer.headers["content-disposition"]
    told = filled.post("/api/holders/preview", files={"file": (f"l.{kind}", answer.content)}).json()
    assert (told["errors"], told["difference"]["changes"]) == (0, [])
    assert filled.get("/api/holders/editions/9/export").status_code == 404


def test_an_official_look_up_is_kept_with_its_screenshot(filled: TestClient) -> None:
    form = {
        "id": new_id(),
        "looked_up": "TC-84A-9981",
        "list_name": "Certified Equipment List",
        "answer": "listed_same",
        "scheme": "us-niosh",
        "words": "VX-910 N95",
        "looked_up_at": "2031-03-18T09:30:00+01:00",
    }
    screen = png()
    answer = filled.post(
        "/api/holders/look-ups", data=form, files=[("files", ("s.png", screen, "image/png"))]
    )
    assert answer.status_code == 201, answer.text
    told = answer.json()
    assert (told["by"]["name"], told["attachments"][0]["size"]) == ("Ines Okparo", len(screen))
    (kept,) = filled.get("/api/holders/look-ups").json()
    assert kept == told
    file = filled.get(f"/api/holders/look-ups/{told['look_up_id']}/files/0")
    assert (file.content, file.headers["content-disposition"]) == (screen, "attachment")
    assert file.headers["content-type"] == "application/octet-stream"
    assert filled.get(f"/api/holders/look-ups/{told['look_up_id']}/files/1").status_code == 404


def test_a_look_up_without_its_answer_is_refused(filled: TestClient) -> None:
    form = {"id": new_id(), "looked_up": "TC", "list_name": "CEL", "answer": "listed_same"}
    assert filled.post("/api/holders/look-ups", data=form).status_code == 422


@pytest.mark.parametrize(
    ("path", "advice"), [("preview", "Split the list"), ("look-ups", "Attach")]
)
@pytest.mark.parametrize("megabytes", [25, 27], ids=["a little over", "far over"])
def test_a_file_over_25_mb_is_told_what_to_do_with_such_a_file(
    client: TestClient, path: str, advice: str, megabytes: int
) -> None:
    """Issue 19, point 9: a list has no resolution that could be lowered."""
    file = ("list.csv", b"a;b\n" + b"0" * (megabytes * 1024 * 1024))
    form = {"id": new_id(), "looked_up": "x", "list_name": "x", "answer": "not_listed"}
    field = "file" if path == "preview" else "files"
    answer = client.post(f"/api/holders/{path}", data=form, files={field: file})
    assert answer.status_code == 413
    assert advice in answer.json()["error"]["message"]
    assert "resolution" not in answer.json()["error"]["message"]
