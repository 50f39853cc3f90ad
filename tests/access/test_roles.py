"""Every route of the API, for every role and for nobody."""

import re
from typing import Any

import pytest
from starlette.testclient import TestClient

from inkwitness.api.app import create_app
from inkwitness.api.settings import Settings
from inkwitness.records.chain import ROLES
from inkwitness.records.store import new_id
from tests.access.conftest import House

ANYONE = "anyone"
DESCRIPTION = create_app(Settings()).openapi()
ROUTES = [
    (verb.upper(), path, told.get("x-roles"))
    for path, verbs in DESCRIPTION["paths"].items()
    for verb, told in verbs.items()
]
# One's own account, and a draw that is worked out and stored nowhere.
OWN = re.compile(r"/api/(access/(secrets|join-code|devices/\{device_id\}/revoke)|sampling/draw)")


def ask(client: TestClient, verb: str, path: str) -> Any:
    """The route with ids of nothing and no body: what is let in is then 404, 422 or 200."""
    filled = re.sub(r"\{(number|index)\}", "1", path)
    filled = re.sub(r"\{scheme\}", "us", filled)
    filled = re.sub(r"\{[^}]+\}", new_id(), filled)
    return client.request(verb, filled)


def test_every_route_declares_who_may_ask_for_it() -> None:
    assert len(ROUTES) > 60
    silent = [f"{verb} {path}" for verb, path, roles in ROUTES if not roles]
    assert silent == []
    known = {*ROLES, ANYONE}
    assert all(set(roles) <= known for _, _, roles in ROUTES)


@pytest.mark.parametrize("role", [*ROLES, "nobody"])
def test_each_role_reaches_what_is_declared_for_it_and_nothing_else(
    house: House, role: str
) -> None:
    wrong = []
    for verb, path, declared in ROUTES:
        client = house.client() if role == "nobody" else house.signed(role)
        status = ask(client, verb, path).status_code
        let_in = role in declared or ANYONE in declared
        refused = 401 if role == "nobody" else 403
        # a code or a password that is not sent is a 422 and never a 403
        if (status in (401, 403)) is let_in or (not let_in and status != refused):
            wrong.append(f"{verb} {path}: {status} for {role}, declared {declared}")
    assert wrong == []


def test_an_auditor_reads_everything_and_writes_nothing() -> None:
    """common practice, no source: whoever audits has no hand in what is audited."""
    for verb, path, declared in ROUTES:
        if verb == "GET" and ANYONE not in declared and path not in ("/api/people", "/api/devices"):
            assert "auditor" in declared, path
        if verb != "GET" and not OWN.fullmatch(path):
            assert "auditor" not in declared, path


@pytest.mark.parametrize(
    ("path", "roles"),
    [
        ("/api/photos", {"screener"}),
        ("/api/confirmations", {"screener"}),
        ("/api/holders/proposals", {"list_keeper"}),
        ("/api/holders/proposals/{proposal_id}/accept", {"list_keeper"}),
        ("/api/people", {"administrator"}),
        ("/api/people/{person_id}/roles", {"administrator"}),
        ("/api/devices/{device_id}/revoke", {"administrator"}),
        ("/api/tickets", {"screener"}),
    ],
)
def test_what_a_role_is_for_is_nobody_elses(path: str, roles: set[str]) -> None:
    (declared,) = [set(told) for verb, where, told in ROUTES if (verb, where) == ("POST", path)]
    assert declared == roles


def test_a_route_that_declares_nothing_is_refused_to_everybody(house: House) -> None:
    @house.app.get("/api/forgotten", dependencies=_enforced())
    def forgotten() -> str:
        return "what nobody thought of"

    routes = house.app.router.routes
    routes.insert(0, routes.pop())
    for role in ROLES:
        assert house.signed(role).get("/api/forgotten").status_code == 403
    assert house.client().get("/api/forgotten").status_code == 401


def _enforced() -> list[Any]:
    from fastapi import Depends

    from inkwitness.api.guard.roles import enforce

    return [Depends(enforce)]


def test_a_write_by_nobody_is_refused_before_its_body_is_read(house: House) -> None:
    def endless() -> Any:
        raise AssertionError("the body was asked for")
        yield b""

    answer = house.client().post("/api/photos", content=endless())
    assert answer.status_code == 401


@pytest.mark.parametrize(
    ("disposition", "roles"),
    [
        ("hold", {"screener", "releaser"}),
        ("hold_conflict", {"screener", "releaser"}),
        ("ask_holder", {"screener", "releaser"}),
        ("laboratory", {"screener", "releaser"}),
        ("refuse", {"screener", "releaser"}),
        ("lift_hold", {"releaser"}),
        ("keep_in", {"releaser"}),
        ("return", {"releaser"}),
        ("destroy", {"releaser"}),
        ("release", {"releaser"}),
        ("release_limited", {"releaser"}),
    ],
)
def test_a_decision_takes_the_role_for_it(
    house: House, each: dict[str, TestClient], disposition: str, roles: set[str]
) -> None:
    body = {"id": new_id(), "disposition": disposition, "reason": "a reason"}
    for where in ("units", "consignments"):
        for role, client in each.items():
            answer = client.post(f"/api/{where}/{new_id()}/decisions", json=body)
            assert answer.status_code == (404 if role in roles else 403), (role, answer.text)


def test_the_apis_page_is_for_who_is_signed_in_and_runs_no_script(house: House) -> None:
    page = house.signed("auditor").get("/api/docs")
    assert page.status_code == 200
    assert "<script" not in page.text
    assert house.client().get("/api/docs").status_code == 401
    assert house.client().get("/api/docs.css").status_code == 401


def test_a_program_that_watches_is_told_yes_or_no_and_a_person_more(house: House) -> None:
    assert house.client().get("/api/ready").json().keys() == {"ready"}
    assert "free_mb" in house.signed("auditor").get("/api/ready").json()


def test_the_name_that_is_written_is_that_of_who_is_signed_in(house: House) -> None:
    client = house.signed("screener", name="Ines Okparo")
    body = {"id": new_id(), "label": "FICTIONAL delivery"}
    told = client.post("/api/consignments", json=body, headers={"X-Actor": "ines%20okparo"}).json()
    assert told["by"]["name"] == "Ines Okparo"
    forged = client.post(
        "/api/consignments",
        json={**body, "id": new_id()},
        headers={"X-Actor": "Bo%20Terrazin"},
    )
    assert (forged.status_code, forged.json()["error"]["code"]) == (403, "other_person")
    assert len(client.get("/api/consignments").json()["consignments"]) == 1
