"""Units: listed newest first, the worst outcome in front, groups, decisions."""

from collections.abc import Callable
from typing import Any

import pytest
from starlette.testclient import TestClient

from inkwitness.records.store import new_id
from tests.api.conftest import png
from tests.api.test_confirmations import confirm

Send = Callable[..., dict[str, Any]]


def decide(client: TestClient, where: str, disposition: str, reason: str = "", **more: Any) -> Any:
    body = {"id": new_id(), "disposition": disposition, "reason": reason, **more}
    return client.post(f"/api/{where}/decisions", json=body)


def test_a_unit_has_the_worst_outcome_of_its_photos(client: TestClient, send: Send) -> None:
    first = send("plain.png")
    for name in ("cannot_tell.png", "missing.png", "conflict.png"):
        send(name, unit_id=first["unit_id"], surface="strap")
        (row,) = client.get("/api/units").json()["units"]
        assert row["outcome"] == name.removesuffix(".png")
    assert len(row["photo_ids"]) == 4
    assert row["approval_number"] == "TC-84A-9981"


def test_a_unit_counts_as_confirmed_only_when_each_photo_is(client: TestClient, send: Send) -> None:
    front = send()
    strap = send(unit_id=front["unit_id"], surface="strap")
    confirm(client, front["photo_id"], "TC-84A-9981")
    assert client.get("/api/units").json()["units"][0]["basis"] == "reading"
    confirm(client, strap["photo_id"], "TC-84A-9981")
    assert client.get("/api/units").json()["units"][0]["basis"] == "confirmed"


def test_units_come_newest_first_and_page_by_page(client: TestClient, send: Send) -> None:
    ids = [send(label=str(number))["unit_id"] for number in range(5)][::-1]
    seen: list[str] = []
    before = ""
    while True:
        page = client.get(f"/api/units?limit=2{before}").json()["units"]
        if not page:
            break
        seen += [row["unit_id"] for row in page]
        before = f"&before={seen[-1]}"
    assert seen == ids


def test_a_group_keeps_its_count_and_another_count_is_refused(
    client: TestClient, send: Send
) -> None:
    group = send(count="30", label="loose")
    send(unit_id=group["unit_id"])  # says nothing of the count
    form = {"id": new_id(), "unit_id": group["unit_id"], "count": "31"}
    answer = client.post("/api/photos", data=form, files={"file": ("p.png", png())})
    assert answer.status_code == 409
    assert client.get(f"/api/units/{group['unit_id']}").json()["count"] == 30


def test_a_unit_that_is_not_there_is_not_found(client: TestClient) -> None:
    assert client.get(f"/api/units/{new_id()}").status_code == 404
    assert client.get("/api/units/7").status_code == 422
    assert decide(client, f"units/{new_id()}", "hold").status_code == 404


def test_a_hold_needs_no_reason_and_everything_else_does(client: TestClient, send: Send) -> None:
    unit = f"units/{send()['unit_id']}"
    assert decide(client, unit, "hold").status_code == 201
    assert client.get(f"/api/{unit}").json()["held"] is True
    refused = decide(client, unit, "return")
    assert refused.status_code == 422
    assert "reason" in refused.json()["error"]["message"]


def test_a_hold_is_lifted_with_a_reason_and_stays_in_the_record(
    client: TestClient, send: Send
) -> None:
    unit = f"units/{send()['unit_id']}"
    decide(client, unit, "hold", "conflict in the class")
    assert decide(client, unit, "lift_hold", "the holder answered").status_code == 201
    kept = client.get(f"/api/{unit}").json()
    assert kept["held"] is False
    assert [entry["disposition"] for entry in kept["decisions"]] == ["hold", "lift_hold"]
    assert decide(client, unit, "lift_hold", "once more").status_code == 409


@pytest.mark.parametrize(
    ("name", "says"),
    [
        ("conflict.png", "conflict"),
        ("plain.png", "no person confirmed"),
        ("plain.png", "was not looked up on the authority's own list"),
    ],
)
def test_a_release_is_refused_while_something_stands_in_its_way(
    client: TestClient, send: Send, name: str, says: str
) -> None:
    unit = f"units/{send(name)['unit_id']}"
    answer = decide(client, unit, "release", "all agree")
    assert answer.status_code == 409
    assert answer.json()["error"]["code"] == "refused"
    assert says in answer.json()["error"]["message"]
    assert client.get(f"/api/{unit}").json()["decisions"] == []


def test_the_file_as_it_came_is_watched(client: TestClient, send: Send, tmp_path: Any) -> None:
    taken = send()
    sha256 = client.get(f"/api/units/{taken['unit_id']}").json()["photos"][0]["sha256"]
    (path,) = (tmp_path / "data" / "photos" / "sent").rglob(sha256)
    assert path.stat().st_mode & 0o077 == 0
    path.write_bytes(b"changed")
    assert client.get(f"/api/units/{taken['unit_id']}").json()["photos"][0]["file"] == "changed"
    path.unlink()
    assert client.get(f"/api/units/{taken['unit_id']}").json()["photos"][0]["file"] == "missing"


def test_a_person_releases_once_all_is_confirmed_and_looked_up(
    client: TestClient, send: Send
) -> None:
    taken = send()
    unit = f"units/{taken['unit_id']}"
    confirm(client, taken["photo_id"], "TC-84A-9981")
    look_up = {
        "id": new_id(),
        "looked_up": "TC-84A-9981",
        "list_name": "FICTIONAL public list",
        "answer": "listed_same",
        "words": "TC-84A-9981, Vexholm Filtration Works, VX-910, N95",
    }
    assert client.post("/api/holders/look-ups", data=look_up).status_code == 201
    decide(client, unit, "hold", "until looked up")
    assert decide(client, unit, "release", "all agree").status_code == 409
    decide(client, unit, "lift_hold", "looked up and listed")
    released = decide(client, unit, "release", "all agree", limits="ward 3 only")
    assert released.status_code == 201, released.text
    kept = client.get(f"/api/{unit}").json()
    assert kept["held"] is False
    told = client.get(f"/api/{unit}/report?format=json").json()
    assert told["statuses"][-1]["text"] == (
        "Released by Ines Okparo, 2031-03-18 09:00 UTC. Limits: ward 3 only."
    )
    assert told["statuses"][0]["text"].endswith("Not a release.")


def test_a_look_up_with_another_answer_does_not_open_a_release(
    client: TestClient, send: Send
) -> None:
    taken = send()
    confirm(client, taken["photo_id"], "TC-84A-9981")
    look_up = {
        "id": new_id(),
        "looked_up": "TC-84A-9981",
        "list_name": "FICTIONAL public list",
        "answer": "listed_other",
        "words": "another model",
    }
    client.post("/api/holders/look-ups", data=look_up)
    answer = decide(client, f"units/{taken['unit_id']}", "release", "all agree")
    assert answer.status_code == 409
