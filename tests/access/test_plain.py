"""The plain http port: the authority's certificate and photos by a ticket, and nothing to read."""

import io
from collections.abc import Iterator
from typing import Any

import pytest
from PIL import Image
from starlette.testclient import TestClient

from inkwitness.access import people
from inkwitness.api.routes.joining.plain import create_plain_app
from inkwitness.network.addresses import Reach
from inkwitness.records import chain
from inkwitness.records.store import new_id
from inkwitness.records.tables import photos
from tests.access.conftest import House

PLAIN = "http://192.168.43.1:8001"


@pytest.fixture
def plain(house: House) -> Iterator[TestClient]:
    services = house.app.state.services
    folder = services.settings.web
    (folder / "assets").mkdir(parents=True)
    (folder / "door.html").write_text("<title>door</title>")
    (folder / "index.html").write_text("<title>the page itself</title>")
    (folder / "sw.js").write_text("self")
    (folder / "assets" / "door.js").write_text("export {}")
    app = create_plain_app(
        services.settings,
        lambda: b"-----BEGIN CERTIFICATE-----\n",
        lambda: Reach(("https://192.168.43.1:8000",), PLAIN, "AB 12"),
        lambda: {"192.168.43.1"},
        lambda: services,
    )
    with TestClient(app, base_url=PLAIN, headers={"Origin": PLAIN}) as client:
        yield client


def unit_of(client: TestClient) -> str:
    unit = new_id()
    fields = {"id": new_id(), "unit_id": unit}
    answer = client.post("/api/photos", data=fields, files={"file": ("plain.png", png())})
    assert answer.status_code == 202, answer.text
    return unit


def png(colour: str = "white") -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (20, 20), colour).save(out, "PNG")
    return out.getvalue()


def ticket(house: House) -> tuple[str, str]:
    ines = house.signed("screener", name="Ines Okparo")
    unit = unit_of(ines)
    made = ines.post("/api/tickets", json={"unit_id": unit})
    assert made.status_code == 201, made.text
    assert made.json()["link"]["url"] == f"{PLAIN}/#/ticket/{made.json()['code']}"
    return str(made.json()["code"]), unit


def send(plain: TestClient, code: str, **more: Any) -> Any:
    return plain.post(
        "/plain/photos",
        data={"id": new_id(), "surface": "facepiece", **more},
        files={"file": ("photo", png("grey"))},
        headers={"X-Ticket": code},
    )


def test_a_ticket_sends_photos_to_its_unit_under_the_name_of_whose_it_is(
    house: House, plain: TestClient
) -> None:
    code, unit = ticket(house)
    other = unit_of(house.signed("screener", name="Ines Okparo"))
    answer = send(plain, code, unit_id=other)
    assert (answer.status_code, answer.json()) == (202, {"kept": True})
    with house.app.state.services.store.database.reading() as conn:
        last = chain.entries(conn, photos)[-1]
    assert last.content["unit_id"] == unit
    assert last.context.actor.name == "Ines Okparo (ticket)"
    assert last.context.actor.roles == ("screener",)


def test_a_ticket_ends_after_an_hour(house: House, plain: TestClient) -> None:
    code, _ = ticket(house)
    house.later(minutes=61)
    assert send(plain, code).status_code == 403


def test_a_ticket_ends_with_the_role_or_the_person_that_made_it(
    house: House, plain: TestClient
) -> None:
    code, _ = ticket(house)
    ines = house.ids["Ines Okparo"]
    with house.store.writing() as conn:
        people.set_roles(conn, ines, ["auditor"], house.now, by=ines)
    assert send(plain, code).status_code == 403
    with house.store.writing() as conn:
        people.remove(conn, ines, house.now, by=ines)
    assert send(plain, code).status_code == 404


@pytest.mark.parametrize("code", ["", "0000-0000-0000-0000", "' OR 1=1 --"])
def test_without_a_good_ticket_nothing_comes_in_and_the_body_is_not_read(
    plain: TestClient, code: str
) -> None:
    def endless() -> Any:
        raise AssertionError("the body was asked for")
        yield b""

    answer = plain.post("/plain/photos", content=endless(), headers={"X-Ticket": code})
    assert answer.status_code == 403


def test_a_ticket_is_no_way_in_to_the_page(house: House, plain: TestClient) -> None:
    code, _ = ticket(house)
    stranger = house.client()
    assert stranger.post("/api/access/join", json={"code": code}).status_code == 403
    assert stranger.get("/api/units", headers={"X-Ticket": code}).status_code == 401


def test_nothing_of_the_page_or_of_the_records_is_served_without_https(
    house: House, plain: TestClient
) -> None:
    code, unit = ticket(house)
    for path in (
        "/api/units",
        f"/api/units/{unit}",
        "/api/access",
        "/index.html",
        "/sw.js",
        "/assets/..%2findex.html",
        "/assets/%2e%2e/index.html",
        "/..%2faccess.sqlite",
        "/openapi.json",
        "/docs",
        f"/plain/photos/{unit}",
    ):
        answer = plain.get(path, headers={"X-Ticket": code})
        assert answer.status_code == 404, path
        assert unit not in answer.text.replace(path, "")
    assert plain.get("/plain/photos", headers={"X-Ticket": code}).status_code == 405
    assert plain.get("/").text == "<title>door</title>"
    assert plain.get("/assets/door.js").status_code == 200


def test_no_cookie_is_set_and_no_other_page_may_send(house: House, plain: TestClient) -> None:
    code, _ = ticket(house)
    assert "set-cookie" not in send(plain, code).headers
    for origin in ("http://elsewhere.example", "null", "https://192.168.43.1:8000"):
        answer = plain.post("/plain/photos", headers={"X-Ticket": code, "Origin": origin})
        assert (answer.status_code, answer.json()["error"]["code"]) == (403, "other_page")
    assert plain.get("/", headers={"Host": "rebound.example"}).status_code == 421


def test_it_hands_out_the_authority_and_says_how_to_tell_it(plain: TestClient) -> None:
    answer = plain.get("/plain/inkwitness-authority.crt")
    assert answer.headers["content-type"] == "application/x-x509-ca-cert"
    assert plain.get("/plain/about").json() == {
        "pages": ["https://192.168.43.1:8000/"],
        "fingerprint": "AB 12",
    }


def test_a_photo_that_is_none_is_told_so(house: House, plain: TestClient) -> None:
    code, _ = ticket(house)
    fields, files = {"id": new_id()}, {"file": ("photo", b"no picture")}
    answer = plain.post("/plain/photos", data=fields, files=files, headers={"X-Ticket": code})
    assert answer.status_code == 415
    assert send(plain, code, id="7").status_code == 422
