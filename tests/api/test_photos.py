"""Sending photos: what is kept, what is served, and every way it is refused."""

import io
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest
from PIL import Image
from starlette.testclient import TestClient

from inkwitness.api.routes import photos
from inkwitness.photo.served import served_copy
from inkwitness.records.store import new_id
from tests.api.conftest import png, wait_for

Send = Callable[..., dict[str, Any]]


def _post(client: TestClient, data: bytes, **fields: Any) -> Any:
    form = {"id": new_id(), "unit_id": new_id(), **fields}
    return client.post("/api/photos", data=form, files={"file": ("p.png", data, "image/png")})


def test_a_photo_is_taken_read_and_its_check_can_be_opened(client: TestClient, send: Send) -> None:
    taken = send(surface="pouch", whole="yes", declared="ear_loops, valve", label="box 7")
    assert taken["job"]["state"] == "done"
    check = client.get(f"/api/checks/{taken['job']['check_id']}").json()
    assert check["unit_id"] == taken["unit_id"]
    assert check["basis"] == "reading"
    assert check["check"]["outcome"] == "no_conflict_found"
    assert check["check"]["items"][0]["surface"] == "pouch"
    unit = client.get(f"/api/units/{taken['unit_id']}").json()
    assert unit["label"] == "box 7"
    assert unit["photos"][0]["declared"] == ["ear_loops", "valve"]
    assert unit["photos"][0]["file"] == "intact"


def test_the_check_is_made_for_the_day_of_the_servers_clock_or_the_date_sent(
    send: Send, client: TestClient
) -> None:
    today, other = send(), send(on="2030-12-24")
    for taken, on in ((today, "2031-03-18"), (other, "2030-12-24")):
        assert client.get(f"/api/checks/{taken['job']['check_id']}").json()["on"] == on


def test_the_same_photo_again_changes_nothing_and_answers_the_same_job(client: TestClient) -> None:
    ids = {"id": new_id(), "unit_id": new_id()}
    first, again = _post(client, png(), **ids), _post(client, png(), **ids)
    assert again.status_code == 202
    assert again.json() == first.json()
    wait_for(client, first.json()["job_id"])
    unit = client.get(f"/api/units/{ids['unit_id']}").json()
    assert len(unit["photos"]) == len(unit["checks"]) == 1


def test_the_same_id_with_another_photo_is_refused(client: TestClient) -> None:
    ids = {"id": new_id(), "unit_id": new_id()}
    wait_for(client, _post(client, png(), **ids).json()["job_id"])
    answer = _post(client, png(colour="black"), **ids)
    assert answer.status_code == 409
    assert answer.json()["error"]["code"] == "differs"
    assert "new id" in answer.json()["error"]["message"]


def test_a_phone_that_sends_again_after_an_update_is_told_what_it_was_told_before(
    client: TestClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    ids = {"id": new_id(), "unit_id": new_id()}
    first = _post(client, png(), **ids)
    wait_for(client, first.json()["job_id"])
    earlier = served_copy(png())
    # a later version may make another copy of the same bytes, and measure it otherwise
    later = replace(earlier, data=png(colour="black"), how="encoded_again", had_location=True)
    monkeypatch.setattr(photos, "served_copy", lambda _data: later)
    again = _post(client, png(), **ids)
    assert (again.status_code, again.text) == (202, first.text)
    shown = client.get(f"/api/photos/{ids['id']}/picture")
    assert (shown.status_code, shown.content) == (200, earlier.data)


def test_what_is_refused_leaves_no_file(client: TestClient) -> None:
    ids = {"id": new_id(), "unit_id": new_id()}
    wait_for(client, _post(client, png(), **ids).json()["job_id"])
    store = client.app.state.services.store  # type: ignore[attr-defined]
    before = {path for path in store.files.folder.rglob("*") if path.is_file()}
    refused = [
        _post(client, png(colour="red"), consignment_id=new_id()),
        _post(client, png(colour="red"), id=ids["id"]),
        _post(client, png(colour="red"), unit_id=ids["unit_id"], count=7),
        _post(client, png(colour="red"), count=0),
        _post(client, png(colour="red"), unit_id=ids["unit_id"], replaces=ids["id"]),
    ]
    assert [one.status_code for one in refused] == [404, 409, 409, 422, 422]
    assert {path for path in store.files.folder.rglob("*") if path.is_file()} == before


@pytest.mark.parametrize(
    ("data", "status", "code"),
    [
        (b"hello", 415, "not_a_photo"),
        (b"", 415, "not_a_photo"),
        (b"GIF89a" + b"\0" * 40, 415, "not_a_photo"),
        (png()[:60], 415, "not_a_photo"),
        (b"\xff\xd8\xff\xe0" + b"\0" * 30, 415, "not_a_photo"),
    ],
)
def test_what_is_no_whole_picture_is_refused(
    client: TestClient, data: bytes, status: int, code: str
) -> None:
    answer = _post(client, data)
    assert (answer.status_code, answer.json()["error"]["code"]) == (status, code)


def test_over_60_megapixels_is_refused_before_decoding(client: TestClient) -> None:
    out = io.BytesIO()
    Image.new("1", (10_000, 6_001)).save(out, "PNG")
    answer = _post(client, out.getvalue())
    assert answer.status_code == 413
    assert "60 megapixels" in answer.json()["error"]["message"]


def test_over_25_megabytes_is_refused(client: TestClient) -> None:
    slightly = _post(client, png() + b"\0" * (25 * 1024 * 1024))
    much = _post(client, b"\0" * (27 * 1024 * 1024))
    for answer in (slightly, much):
        assert answer.status_code == 413
        assert "25 MB" in answer.json()["error"]["message"]


def test_a_body_without_a_length_is_cut_off_at_the_limit(client: TestClient) -> None:
    def endless() -> Any:
        yield b'--x\r\nContent-Disposition: form-data; name="file"; filename="p.png"\r\n\r\n'
        for _ in range(27):
            yield b"\0" * (1024 * 1024)

    answer = client.post(
        "/api/photos",
        content=endless(),
        headers={"Content-Type": "multipart/form-data; boundary=x"},
    )
    assert answer.status_code == 413


@pytest.mark.parametrize(
    ("fields", "says"),
    [
        ({"surface": "inside"}, "surface"),
        ({"whole": "maybe"}, "whole"),
        ({"on": "yesterday"}, "on"),
        ({"told": "60 months"}, "told"),
        ({"count": "0"}, "count"),
        ({"id": "7"}, "UUID"),
        ({"consignment_id": "x"}, "consignment_id"),
    ],
)
def test_a_field_that_cannot_be_used_is_named(
    client: TestClient, fields: dict[str, str], says: str
) -> None:
    answer = _post(client, png(), **fields)
    assert answer.status_code == 422
    assert says in answer.json()["error"]["message"]


def test_an_unknown_consignment_is_not_found_and_nothing_is_kept(client: TestClient) -> None:
    ids = {"id": new_id(), "unit_id": new_id()}
    assert _post(client, png(), **ids, consignment_id=new_id()).status_code == 404
    assert client.get(f"/api/units/{ids['unit_id']}").status_code == 404


def test_a_write_without_a_name_is_refused(client: TestClient) -> None:
    form = {"id": new_id(), "unit_id": new_id()}
    answer = client.post(
        "/api/photos", data=form, files={"file": ("p.png", png())}, headers={"X-Actor": " "}
    )
    assert answer.status_code == 400
    assert answer.json()["error"]["code"] == "bad_request"


@pytest.mark.parametrize("clock", ["soon", "2031-03-18T09:00:00"])
def test_a_clock_that_cannot_be_read_is_refused(client: TestClient, clock: str) -> None:
    form = {"id": new_id(), "unit_id": new_id()}
    answer = client.post(
        "/api/photos", data=form, files={"file": ("p.png", png())}, headers={"X-Clock": clock}
    )
    assert answer.status_code == 400


def test_the_picture_can_be_had_whole_or_no_wider_than_asked(
    client: TestClient, send: Send
) -> None:
    taken = send(data=png(200, 100))
    whole = client.get(f"/api/photos/{taken['photo_id']}/picture")
    assert whole.headers["content-type"] == "image/png"
    small = client.get(f"/api/photos/{taken['photo_id']}/picture?width=50")
    assert Image.open(io.BytesIO(whole.content)).size == (200, 100)
    assert Image.open(io.BytesIO(small.content)).size == (50, 25)


def test_a_line_of_print_can_be_seen_straightened(client: TestClient, send: Send) -> None:
    taken = send()
    line = client.get(f"/api/photos/{taken['photo_id']}/lines/0")
    assert Image.open(io.BytesIO(line.content)).size == (40, 8)
    assert client.get(f"/api/photos/{taken['photo_id']}/lines/5").status_code == 404
    assert client.get(f"/api/photos/{new_id()}/lines/0").status_code == 404


def test_a_photo_that_was_changed_on_disk_is_not_served(
    client: TestClient, send: Send, tmp_path: Any
) -> None:
    taken = send()
    unit = client.get(f"/api/units/{taken['unit_id']}").json()
    served = unit["photos"][0]["served_sha256"]
    (path,) = (tmp_path / "data" / "photos" / "served").rglob(served)
    path.write_bytes(png(colour="red"))
    answer = client.get(f"/api/photos/{taken['photo_id']}/picture")
    assert answer.status_code == 404
    assert "changed" in answer.json()["error"]["message"]


def test_the_full_photo_takes_the_place_of_the_reduced_one(client: TestClient, send: Send) -> None:
    reduced = send("cannot_tell.png", reduced="true")
    full = send(
        "plain.png",
        data=png(40, 40),
        unit_id=reduced["unit_id"],
        replaces=reduced["photo_id"],
    )
    (row,) = client.get("/api/units").json()["units"]
    assert row["photo_ids"] == [full["photo_id"]]
    assert row["outcome"] == "no_conflict_found"
    photos = client.get(f"/api/units/{reduced['unit_id']}").json()["photos"]
    assert [p["replaced_by"] for p in photos] == [full["photo_id"], None]


def test_only_a_reduced_photo_of_the_same_unit_can_be_replaced(
    client: TestClient, send: Send
) -> None:
    plain, reduced = send(), send(reduced="true")
    same_unit = _post(client, png(), unit_id=plain["unit_id"], replaces=plain["photo_id"])
    other_unit = _post(client, png(), replaces=reduced["photo_id"])
    assert (same_unit.status_code, other_unit.status_code) == (422, 422)


def test_a_word_on_the_reduced_photo_holds_for_the_full_one(client: TestClient, send: Send) -> None:
    reduced = send(reduced="true")
    said = {
        "id": new_id(),
        "photo_id": reduced["photo_id"],
        "mark": "approval_number",
        "printed": "TC-84A-9918",
        "from": "typed",
    }
    assert client.post("/api/confirmations", json=said).status_code == 201
    full = send(data=png(40, 40), unit_id=reduced["unit_id"], replaces=reduced["photo_id"])
    check = client.get(f"/api/checks/{full['job']['check_id']}").json()
    assert check["basis"] == "confirmed"
    assert check["why"] == "carried"
    assert check["check"]["marks"]["approval_number"]["value"] == "TC-84A-9918"
