"""The first link, joining, passwords, PINs, waits, revoking; and what was tried to get around them.

Lengths of waits and of codes are the project's own (common practice, no source).
"""

import sqlite3
import stat
from http.cookies import SimpleCookie
from pathlib import Path
from typing import Any

import pytest
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from starlette.testclient import TestClient

from inkwitness.access import people
from inkwitness.access.store import open_access
from inkwitness.access.tables import metadata
from inkwitness.api.guard.roles import COOKIE
from tests.access.conftest import PASSWORD, House

PIN = "824193"


def post(client: TestClient, path: str, **body: Any) -> Any:
    return client.post(f"/api/access/{path}", json=body)


def me(client: TestClient) -> Any:
    return client.get("/api/access").json()["me"]


def cookie(answer: Any) -> str:
    return SimpleCookie(answer.headers["set-cookie"])[COOKIE].value


def make_first(house: House, name: str = "Ines Okparo") -> TestClient:
    client = house.client()
    made = post(client, "first", code=house.first(), name=name, password=PASSWORD)
    assert made.status_code == 201, made.text
    return house.client(cookie(made))


def test_the_migrations_make_exactly_the_tables_that_the_code_describes(tmp_path: Path) -> None:
    with open_access(tmp_path).reading() as conn:
        assert compare_metadata(MigrationContext.configure(conn), metadata) == []


def test_the_file_is_the_owners_and_holds_no_secret_as_it_is(house: House) -> None:
    client = make_first(house)
    token = client.headers["Cookie"].partition("=")[2]
    code = post(client, "join-code").json()["code"]
    path = house.app.state.services.settings.data / "access.sqlite"
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    with sqlite3.connect(path) as raw:
        text = "\n".join(raw.iterdump())
    raw.close()
    assert "$argon2id$" in text
    for secret in (PASSWORD, token, code, code.replace("-", "")):
        assert secret not in text


def test_the_first_link_makes_the_first_administrator_once(house: House) -> None:
    link = house.first()
    assert house.client().get("/api/access").json()["first"] is True
    body = {"code": link, "name": "Ines Okparo", "password": PASSWORD}
    made = post(house.client(), "first", **body)
    assert made.status_code == 201
    assert "administrator" in made.json()["me"]["roles"]
    assert house.client().get("/api/access").json()["first"] is False
    assert post(house.client(), "first", **{**body, "name": "Mallory"}).status_code == 403


def test_a_newer_first_link_ends_the_older_and_a_day_ends_both(house: House) -> None:
    old, new = house.first(), house.first()
    body = {"name": "Ines Okparo", "password": PASSWORD}
    assert post(house.client(), "first", code=old, **body).status_code == 403
    house.later(hours=25)
    assert post(house.client(), "first", code=new, **body).status_code == 403


def test_the_cookie_is_secure_and_bound_to_this_host(house: House) -> None:
    """RFC 6265bis 4.1.2 and, for the prefix, 4.1.3.2."""
    answer = post(
        house.client(), "first", code=house.first(), name="Ines Okparo", password=PASSWORD
    )
    told = answer.headers["set-cookie"].lower()
    assert told.startswith("__host-")
    for word in ("secure", "httponly", "samesite=strict", "path=/"):
        assert word in told
    assert "domain" not in told


def test_a_phone_joins_by_a_code_once_and_within_ten_minutes(house: House) -> None:
    ines = make_first(house)
    bo = ines.post("/api/people", json={"name": "Bo Terrazin", "roles": ["screener"]}).json()
    made = ines.post(f"/api/people/{bo['person_id']}/join-code", json={}).json()
    assert made["links"][0]["url"] == f"https://testserver/#/join/{made['code']}"
    assert len(made["links"][0]["qr"]) == len(made["links"][0]["qr"][0])
    joined = post(house.client(), "join", code=made["code"].lower().replace("-", " "), device="a")
    assert joined.json()["me"]["name"] == "Bo Terrazin"
    assert me(house.client(cookie(joined)))["roles"] == ["screener"]
    assert post(house.client(), "join", code=made["code"]).status_code == 403
    late = house.code(bo["person_id"])
    house.later(minutes=11)
    assert post(house.client(), "join", code=late).status_code == 403


def test_a_code_of_one_kind_is_none_of_another(house: House) -> None:
    ines = make_first(house)
    join = post(ines, "join-code").json()["code"]
    body = {"name": "Mallory", "password": PASSWORD}
    assert post(house.client(), "first", code=join, **body).status_code == 403
    assert post(house.client(), "join", code=house.first()).status_code == 403


def test_a_device_stays_signed_in_for_weeks_and_not_for_ever(house: House) -> None:
    client = house.signed("screener")
    for _ in range(8):
        house.later(days=20)
        assert me(client) is not None
    house.later(days=21)
    assert me(client) is None
    lost = house.signed("auditor")
    house.later(days=31)
    assert me(lost) is None


def test_a_revoked_device_is_out_at_its_next_request(house: House) -> None:
    ines = make_first(house)
    phone = house.signed("screener", name="Bo Terrazin")
    assert phone.get("/api/units").status_code == 200
    (row,) = [one for one in ines.get("/api/devices").json() if one["person"] == "Bo Terrazin"]
    ines.post(f"/api/devices/{row['device_id']}/revoke")
    assert phone.get("/api/units").status_code == 401
    assert me(phone) is None


def test_one_takes_off_ones_own_devices_and_nobody_elses(house: House) -> None:
    bo, other = house.signed("screener", name="Bo Terrazin"), house.signed("auditor")
    ids = [one["device_id"] for one in bo.get("/api/access/devices").json()]
    assert post(other, f"devices/{ids[0]}/revoke").status_code == 404
    assert me(bo) is not None
    assert post(bo, f"devices/{ids[0]}/revoke").status_code == 200
    assert me(bo) is None


def test_a_role_that_is_taken_away_is_gone_at_once(house: House) -> None:
    ines, bo = make_first(house), house.signed("releaser", "auditor", name="Bo Terrazin")
    path = f"/api/people/{house.ids['Bo Terrazin']}"
    assert ines.post(f"{path}/roles", json={"roles": ["auditor"]}).status_code == 200
    assert me(bo)["roles"] == ["auditor"]
    assert ines.post(f"{path}/remove").status_code == 200
    assert bo.get("/api/units").status_code == 401


def test_the_last_administrator_cannot_be_removed_or_lose_the_role(house: House) -> None:
    ines = make_first(house)
    id_ = me(ines)["person_id"]
    assert ines.post(f"/api/people/{id_}/remove").status_code == 409
    assert ines.post(f"/api/people/{id_}/roles", json={"roles": ["auditor"]}).status_code == 409
    second = ines.post("/api/people", json={"name": "Bo Terrazin", "roles": ["administrator"]})
    assert second.status_code == 201
    assert ines.post(f"/api/people/{id_}/remove").status_code == 200


def test_two_people_of_one_name_cannot_be_told_apart_and_are_refused(house: House) -> None:
    ines = make_first(house)
    again = ines.post("/api/people", json={"name": " ines  OKPARO", "roles": ["auditor"]})
    assert again.status_code == 409


# ---- passwords and waits


def sign_in(house: House, password: str, address: str = "192.168.43.66", token: str = "") -> Any:
    client = house.client(token, address)
    return post(client, "sign-in", name="Ines Okparo", password=password)


def test_a_password_signs_in_and_a_wrong_one_does_not_say_which_was_wrong(house: House) -> None:
    make_first(house)
    assert sign_in(house, PASSWORD).status_code == 201
    wrong = sign_in(house, "another four words here")
    nobody = post(house.client(), "sign-in", name="Nobody Here", password=PASSWORD)
    assert wrong.status_code == nobody.status_code == 403
    assert wrong.json() == nobody.json()


def test_wrong_tries_wait_where_they_come_from_and_lock_no_colleague_out(house: House) -> None:
    ines = make_first(house)
    known = ines.headers["Cookie"].partition("=")[2]
    answers = [sign_in(house, "a wrong password").status_code for _ in range(7)]
    assert answers[:5] == [403] * 5
    assert answers[5:] == [429] * 2
    told = sign_in(house, PASSWORD)
    assert told.status_code == 429
    assert 0 < int(told.headers["Retry-After"]) <= 15 * 60
    # the one whose name was tried: from elsewhere, from the same place on a known device, by a code
    assert sign_in(house, PASSWORD, address="192.168.43.7").status_code == 201
    again = sign_in(house, PASSWORD, token=known)
    assert again.status_code == 201
    code = post(house.client(cookie(again)), "join-code").json()["code"]
    at_that_place = house.client("", "192.168.43.66")
    assert post(at_that_place, "join", code=code).status_code == 201


def test_a_wait_never_grows_past_a_quarter_of_an_hour(house: House) -> None:
    make_first(house)
    for _ in range(12):
        sign_in(house, "a wrong password")
        house.later(minutes=15, seconds=1)
    assert sign_in(house, PASSWORD).status_code == 201


def test_many_addresses_of_one_ipv6_network_are_one_place(house: House) -> None:
    make_first(house)
    answers = [
        sign_in(house, "a wrong password", address=f"fd00::{number:x}").status_code
        for number in range(1, 8)
    ]
    assert answers[-1] == 429


def test_signing_in_again_ends_what_the_browser_was_before(house: House) -> None:
    ines = make_first(house)
    before = ines.headers["Cookie"].partition("=")[2]
    again = sign_in(house, PASSWORD, token=before)
    assert me(house.client(before)) is None
    rows = house.client(cookie(again)).get("/api/devices").json()
    assert [one["this"] for one in rows] == [True]


# ---- a shared tablet


@pytest.fixture
def tablet(house: House) -> TestClient:
    ines = make_first(house)
    for name in ("Bo Terrazin", "Ada Merrow"):
        person = house.person(name, "screener", "administrator")
        house.ids[name] = person
        with house.store.writing() as conn:
            people.keep_pin(conn, person, PIN, house.now)
    code = ines.post(f"/api/people/{house.ids['Bo Terrazin']}/join-code", json={"shared": True})
    return house.client(cookie(post(house.client(), "join", code=code.json()["code"])))


def switched(house: House, tablet: TestClient, name: str, pin: str = PIN) -> Any:
    answer = post(tablet, "switch", person_id=house.ids[name], pin=pin)
    if answer.is_success:
        tablet.headers["Cookie"] = f"{COOKIE}={cookie(answer)}"
    return answer


def test_a_pin_switches_names_and_never_opens_the_administrators_role(
    house: House, tablet: TestClient
) -> None:
    assert me(tablet)["name"] == "Bo Terrazin"
    before = tablet.headers["Cookie"]
    assert switched(house, tablet, "Ada Merrow").status_code == 201
    assert (me(tablet)["name"], me(tablet)["roles"]) == ("Ada Merrow", ["screener"])
    assert tablet.get("/api/people").status_code == 403
    assert post(tablet, "join-code").status_code == 403
    assert post(tablet, "secrets", password="mine from now on").status_code == 403
    # the cookie from before is worth nothing
    assert me(house.client(before.partition("=")[2])) is None


def test_a_password_on_a_shared_tablet_leaves_it_shared(house: House, tablet: TestClient) -> None:
    answer = post(tablet, "sign-in", name="Ines Okparo", password=PASSWORD)
    assert "administrator" in answer.json()["me"]["roles"]
    assert answer.json()["shared"] is True


def test_a_tablet_that_lies_unused_asks_for_a_pin_again(house: House, tablet: TestClient) -> None:
    house.later(minutes=16)
    told = tablet.get("/api/access").json()
    assert told["me"] is None
    assert [one["name"] for one in told["people"]] == ["Ada Merrow", "Bo Terrazin"]
    assert told["house"] == []
    assert tablet.get("/api/units").status_code == 401
    assert switched(house, tablet, "Bo Terrazin").status_code == 201


def test_wrong_pins_wait_for_that_name_on_that_tablet_alone(
    house: House, tablet: TestClient
) -> None:
    answers = [switched(house, tablet, "Ada Merrow", "111222").status_code for _ in range(6)]
    assert answers == [403] * 5 + [429]
    assert switched(house, tablet, "Bo Terrazin").status_code == 201
    house.later(minutes=15, seconds=1)
    assert switched(house, tablet, "Ada Merrow").status_code == 201


def test_a_pin_is_of_no_use_on_a_device_that_is_not_shared_or_not_known(
    house: House, tablet: TestClient
) -> None:
    phone = house.signed("screener", name="Cal Ostry")
    assert post(phone, "switch", person_id=house.ids["Bo Terrazin"], pin=PIN).status_code == 403
    stranger = house.client()
    assert post(stranger, "switch", person_id=house.ids["Bo Terrazin"], pin=PIN).status_code == 401
    told = stranger.get("/api/access").json()
    assert (told["people"], told["house"]) == ([], [])
    # who is signed in may name any of the house for what comes next
    assert {"Bo Terrazin", "Cal Ostry"} <= set(phone.get("/api/access").json()["house"])


@pytest.mark.parametrize("pin", ["12345", "abcdef", "111111", "123456", "987654", "1" * 13])
def test_a_pin_that_is_tried_first_is_refused(house: House, pin: str) -> None:
    client = house.signed("screener")
    assert post(client, "secrets", pin=pin).status_code == 422


def test_who_has_a_password_gives_it_to_change_it(house: House) -> None:
    ines = make_first(house)
    assert post(ines, "secrets", pin=PIN).status_code == 403
    assert post(ines, "secrets", pin=PIN, present=PASSWORD).json()["me"]["has_pin"] is True


def test_a_short_password_is_refused_and_makes_nobody(house: House) -> None:
    link = house.first()
    body = {"code": link, "name": "Ines Okparo"}
    assert post(house.client(), "first", **body, password="short").status_code == 422
    assert post(house.client(), "first", **body, password=PASSWORD).status_code == 201


def test_events_are_only_appended(house: House) -> None:
    make_first(house)
    path = house.app.state.services.settings.data / "access.sqlite"
    with sqlite3.connect(path) as raw, pytest.raises(sqlite3.DatabaseError, match="only appended"):
        raw.execute("DELETE FROM events")
    raw.close()


def test_without_accounts_these_routes_say_how_to_have_them(tmp_path: Path) -> None:
    from inkwitness.api.app import create_app
    from tests.api.conftest import settings

    with TestClient(create_app(settings(tmp_path))) as client:
        assert client.get("/api/access").json()["accounts"] is False
        answer = client.get("/api/people")
        assert answer.status_code == 422
        assert "--network" in answer.json()["error"]["message"]
