"""What takes two people, and that one person with two devices is still one."""

from pathlib import Path
from typing import Any

from starlette.testclient import TestClient

from inkwitness.records.store import new_id
from tests.access.conftest import House
from tests.api.conftest import NOW, png, wait_for
from tests.api.test_consignments import make, whole


def decide(client: TestClient, consignment: str, disposition: str, **more: str) -> Any:
    body = {"id": new_id(), "disposition": disposition, "reason": "a reason", **more}
    return client.post(f"/api/consignments/{consignment}/decisions", json=body)


def is_held(client: TestClient, consignment: str) -> bool:
    return bool(client.get(f"/api/consignments/{consignment}").json()["held"])


def test_a_hold_is_not_lifted_by_its_setter_alone(house: House) -> None:
    ines = house.signed("screener", "releaser", name="Ines Okparo")
    bo = house.signed("screener", "releaser", name="Bo Terrazin")
    where = make(ines)
    assert decide(ines, where, "hold").status_code == 201
    assert decide(ines, where, "lift_hold").status_code == 409
    # the same person on another device, and by agreeing with themselves
    again = house.signed("screener", "releaser", name="Ines Okparo")
    assert decide(again, where, "agree", about="lift_hold").is_success
    assert decide(again, where, "lift_hold").status_code == 409
    assert is_held(ines, where)
    assert decide(bo, where, "agree", about="lift_hold").is_success
    assert decide(ines, where, "lift_hold").status_code == 201
    assert not is_held(ines, where)


def test_what_comes_next_is_given_to_somebody_of_the_house_alone(house: House) -> None:
    ines = house.signed("screener", "releaser", name="Ines Okparo")
    house.signed("screener", name="Bo Terrazin")
    where = make(ines)
    refused = decide(ines, where, "hold", assignee="Nobody Known")
    assert (refused.status_code, "Nobody Known" in refused.text) == (422, True)
    assert not is_held(ines, where)
    kept = decide(ines, where, "hold", assignee="Bo Terrazin")
    assert (kept.status_code, kept.json()["assignee"]) == (201, "Bo Terrazin")


def test_a_releaser_who_does_not_screen_may_hold(house: House) -> None:
    where = make(house.signed("screener"))
    releaser = house.signed("releaser")
    assert decide(releaser, where, "hold").status_code == 201
    assert is_held(releaser, where)


def test_a_release_needs_its_second_name(house: House) -> None:
    ines = house.signed("screener", "releaser", "list_keeper", name="Ines Okparo")
    bo = house.signed("releaser", name="Bo Terrazin")

    def send(name: str = "plain.png", **fields: Any) -> dict[str, Any]:
        form = {"id": new_id(), "unit_id": new_id(), **fields}
        answer = ines.post("/api/photos", data=form, files={"file": (name, png(), "image/png")})
        taken: dict[str, Any] = answer.json()
        taken["job"] = wait_for(ines, taken["job_id"])
        return taken

    where, _ = whole(ines, send, "plain.png")
    assert decide(ines, where, "release").status_code == 409
    assert decide(ines, where, "agree", about="release").is_success
    refused = decide(ines, where, "release")
    assert refused.status_code == 409
    assert "second person" in refused.json()["error"]["message"].lower()
    # a hold in between takes an agreement away, and has to be lifted by two
    assert decide(bo, where, "agree", about="release").is_success
    assert decide(bo, where, "hold").is_success
    assert decide(ines, where, "release").status_code == 409
    assert decide(ines, where, "agree", about="lift_hold").is_success
    assert decide(bo, where, "lift_hold").is_success
    assert decide(ines, where, "release").status_code == 409
    assert decide(bo, where, "agree", about="release").is_success
    assert decide(ines, where, "release").status_code == 201


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
