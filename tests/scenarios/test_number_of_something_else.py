"""Scenario 2: a number that belongs to something else."""

from starlette.testclient import TestClient

from tests.api.test_consignments import make
from tests.api.test_units import decide
from tests.scenarios.conftest import Send, check_of, confirm_all
from tests.test_verdicts import judged


def test_a_number_listed_for_another_model_and_class(client: TestClient, send: Send) -> None:
    lots = [{"code": "77", "units": 12_000, "cartons": 30}]
    goods = make(client, supplier="Jorvandy Import", lots=lots)
    units = [send("sk-70.png", consignment_id=goods) for _ in range(5)]
    before = check_of(client, units[0]["unit_id"])
    assert before["basis"] == "reading"
    for taken in units:
        check = confirm_all(client, taken)
        match = check["holder_match"]
        assert (check["outcome"], match["state"]) == ("conflict", "listed_differs")
        differs = {one["field"] for one in match["fields"] if one["state"] == "differs"}
        assert differs == {"model", "filter_class"}
        # The missing holder is not hidden because the number was found.
        missing = [one for one in check["findings"] if one["severity"] == "missing"]
        assert any("maker" in one["says"] for one in missing)
        # SK-70 is not called nearly VX-940.
        assert match["near"] == []
    assert decide(client, f"consignments/{goods}", "hold_conflict").status_code == 201
    seen = client.get(f"/api/consignments/{goods}").json()
    assert (seen["held"], seen["outcome"]) == (True, "conflict")
    # Returning is a disposition of held goods: it takes a reason and ends no hold.
    assert decide(client, f"consignments/{goods}", "return").status_code == 422
    assert decide(client, f"consignments/{goods}", "return", "as agreed").status_code == 201
    assert client.get(f"/api/consignments/{goods}").json()["held"] is True
    report = client.get(f"/api/consignments/{goods}/report?format=json&lang=en")
    assert report.status_code == 200
    assert not judged("en", report.text)
