"""Re-checking that was cut off: the gate waits for it, and the next start takes it up."""

import time
from pathlib import Path

from starlette.testclient import TestClient

from inkwitness.api.app import create_app
from inkwitness.records import lists
from inkwitness.records.chain import WriteContext, local_actor
from inkwitness.records.store import new_id
from tests.api.conftest import HEADERS, NOW, png, settings, wait_for
from tests.api.fake_checker import NUMBER
from tests.api.test_confirmations import confirm
from tests.api.test_consignments import look_up, make, ways

LIST = (
    b"scheme,approval_number,holder,models,filter_class,status,checked_on,source,checked_by\n"
    b"us-niosh,TC-84A-9981,Vexholm Filtration,VX-910,N95,current,2031-03-12,registry,Bo\n"
)


def test_stock_that_an_edition_was_not_compared_with_waits_and_is_taken_up_at_a_start(
    tmp_path: Path,
) -> None:
    with TestClient(create_app(settings(tmp_path), clock=lambda: NOW), headers=HEADERS) as client:
        goods = make(client, units_declared=1)
        form = {"id": new_id(), "unit_id": new_id(), "consignment_id": goods}
        files = {"file": ("plain.png", png(), "image/png")}
        taken = client.post("/api/photos", data=form, files=files).json()
        wait_for(client, taken["job_id"])
        confirm(client, taken["photo_id"], NUMBER)
        look_up(client)
        assert ways(client, goods) == set()
        told = {"id": new_id(), "name": "Ours", "checked_on": "2031-03-12"}
        made = client.post("/api/holders/proposals", data=told, files={"file": ("l.csv", LIST)})
        proposal = made.json()["proposal_id"]
        # the edition is in force, and the power goes before anything was judged again
        services = client.app.state.services  # type: ignore[attr-defined]
        context = WriteContext(local_actor("Bo Terrazin"), NOW)
        lists.accept_in(services.store.database, new_id(), proposal, context)
        assert ways(client, goods) == {"edition_not_compared"}
    with TestClient(create_app(settings(tmp_path), clock=lambda: NOW), headers=HEADERS) as client:
        until = time.monotonic() + 60
        while ways(client, goods) and time.monotonic() < until:
            time.sleep(0.05)
        assert ways(client, goods) == set()
        assert client.get("/api/holders/editions/1/recheck").json()["done"] == 1
