"""What takes two people, and that one person with two devices is still one."""

from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from inkwitness.consignment.values import LookUp, PhotoState, UnitState
from inkwitness.records import consignments
from inkwitness.records.chain import Actor, Hand
from inkwitness.records.store import new_id
from inkwitness.records.two_people import SecondNeeded
from tests.access.conftest import House
from tests.api.conftest import NOW
from tests.api.test_consignments import make

PHOTO = PhotoState("p", "no_conflict_found", "confirmed")
STATE = UnitState("u", 1, (PHOTO,), list_keys=("TC-84A-9981",))


def decide(client: TestClient, consignment: str, disposition: str) -> Any:
    body = {"id": new_id(), "disposition": disposition, "reason": "a reason"}
    return client.post(f"/api/consignments/{consignment}/decisions", json=body)


def is_held(client: TestClient, consignment: str) -> bool:
    return bool(client.get(f"/api/consignments/{consignment}").json()["held"])


def test_a_hold_is_not_lifted_by_its_setter_alone(house: House) -> None:
    ines = house.signed("screener", "releaser", name="Ines Okparo")
    bo = house.signed("releaser", name="Bo Terrazin")
    where = make(ines)
    assert decide(ines, where, "hold").status_code == 201
    assert decide(ines, where, "lift_hold").json()["error"]["code"] == "second_needed"
    again = house.signed("screener", "releaser", name="Ines Okparo")
    assert decide(again, where, "lift_hold").status_code == 409
    assert is_held(ines, where)
    assert decide(bo, where, "lift_hold").status_code == 201
    assert not is_held(ines, where)


def test_where_two_set_a_hold_either_may_lift_it(house: House) -> None:
    ines = house.signed("screener", "releaser", name="Ines Okparo")
    bo = house.signed("releaser", name="Bo Terrazin")
    where = make(ines)
    assert decide(ines, where, "hold").is_success
    assert decide(bo, where, "hold").is_success
    assert decide(ines, where, "lift_hold").is_success


def release(house: House, name: str, where: str) -> str:
    """A release of what nothing stands in the way of, by somebody; what was kept."""
    actor = Actor(f"person:{name}", name, ("releaser",))
    with house.app.state.services.store.database.writing() as conn:
        entry, _ = consignments.decide(
            conn,
            new_id(),
            Hand(actor, NOW),
            disposition="release",
            reason="a reason",
            limits="",
            states=(STATE,),
            look_ups=(LookUp("TC-84A-9981", "listed", "Ines Okparo", "2031-03-18"),),
            consignment_id=where,
            second_name=True,
        )
    return str(entry.content["disposition"])


def test_a_release_needs_its_second_name(house: House) -> None:
    where = make(house.signed("screener"))
    assert release(house, "Ines Okparo", where) == "release_first"
    with pytest.raises(SecondNeeded):
        release(house, "Ines Okparo", where)
    assert release(house, "Bo Terrazin", where) == "release"
    assert release(house, "Bo Terrazin", where) == "release_first"


def test_a_hold_between_two_names_ends_the_first(house: House) -> None:
    ines = house.signed("screener", "releaser", name="Ines Okparo")
    bo = house.signed("releaser", name="Bo Terrazin")
    where = make(ines)
    assert release(house, "Ines Okparo", where) == "release_first"
    assert decide(ines, where, "hold").is_success
    with pytest.raises(SecondNeeded, match="hold"):
        release(house, "Bo Terrazin", where)
    assert decide(bo, where, "lift_hold").is_success
    assert release(house, "Bo Terrazin", where) == "release_first"


def test_a_list_edition_is_not_accepted_by_its_proposer(house: House) -> None:
    ines = house.signed("list_keeper", name="Ines Okparo")
    bo = house.signed("list_keeper", name="Bo Terrazin")
    table = (
        "scheme,approval_number,holder,status,source,checked_on,checked_by\n"
        "US-NIOSH,TC-84A-9981,Vexholm,valid,FICTIONAL,2031-03-01,Ines Okparo\n"
    )
    fields = {"id": new_id(), "name": "Our list", "checked_on": "2031-03-01"}
    kept = ines.post("/api/holders/proposals", data=fields, files={"file": ("a.csv", table)})
    assert kept.status_code == 201, kept.text
    accept = f"/api/holders/proposals/{fields['id']}/accept"
    refused = ines.post(accept, json={"id": new_id()})
    assert (refused.status_code, refused.json()["error"]["code"]) == (409, "refused")
    assert ines.get("/api/holders").json() is None
    assert bo.post(accept, json={"id": new_id()}).status_code == 201


def test_without_accounts_the_person_who_typed_a_name_does_all(tmp_path: Path) -> None:
    from inkwitness.api.app import create_app
    from tests.api.conftest import HEADERS, settings

    app = create_app(settings(tmp_path), clock=lambda: NOW)
    with TestClient(app, headers=HEADERS) as client:
        where = make(client)
        assert decide(client, where, "hold").is_success
        assert decide(client, where, "lift_hold").is_success
