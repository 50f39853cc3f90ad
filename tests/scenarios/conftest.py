"""A running application with the job map's own list (8.0) in force, and what people do with it."""

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from inkwitness.api.app import create_app
from inkwitness.records.store import new_id
from tests.api.conftest import HEADERS, NOW, png, settings, wait_for
from tests.holders.test_api import accept, propose
from tests.scenarios.words import as_read

Send = Callable[..., dict[str, Any]]


@pytest.fixture
def client(tmp_path: Path) -> Iterator[TestClient]:
    app = create_app(
        settings(
            tmp_path,
            reader="tests.scenarios.prints:build",
            judge="tests.scenarios.prints:build_judge",
        ),
        clock=lambda: NOW,
    )
    with TestClient(app, headers=HEADERS) as opened:
        accept(opened, propose(opened)["proposal_id"])
        yield opened


@pytest.fixture
def send(client: TestClient) -> Send:
    """A photo of a new unit, of all of its print, read; `unit_id` for another side of one."""
    shades = iter(f"#{shade:06x}" for shade in range(1, 10_000))

    def _send(name: str, **fields: Any) -> dict[str, Any]:
        form = {"id": new_id(), "unit_id": new_id(), "whole": "yes", **fields}
        data = png(colour=next(shades))
        answer = client.post("/api/photos", data=form, files={"file": (name, data, "image/png")})
        assert answer.status_code == 202, answer.text
        taken: dict[str, Any] = answer.json()
        assert wait_for(client, taken["job_id"])["state"] == "done"
        return taken

    return _send


def check_of(client: TestClient, unit: str) -> dict[str, Any]:
    """The newest check of a unit's first photo."""
    found: dict[str, Any] = client.get(f"/api/units/{unit}").json()["checks"][0]["check"]
    return found


def confirm_all(client: TestClient, taken: dict[str, Any]) -> dict[str, Any]:
    """A person says of every mark of a photo that the ink says what was read; the new check."""
    words = as_read(taken["photo_id"], check_of(client, taken["unit_id"]))
    answer = client.post("/api/confirmations/several", json={"confirmations": words})
    assert answer.status_code == 201, answer.text
    made: dict[str, Any] = answer.json()["check"]
    return made


def look_up(client: TestClient, number: str, answer: str = "listed_same", **more: Any) -> None:
    """A person looked at the authority's own list and writes down what it said."""
    form = {
        "id": new_id(),
        "looked_up": number,
        "list_name": "Certified Equipment List",
        "answer": answer,
        "scheme": "us-niosh",
        "words": "as the list says",
        "looked_up_at": "2031-03-18T09:30:00+01:00",
        **more,
    }
    told = client.post("/api/holders/look-ups", data=form)
    assert told.status_code == 201, told.text


def findings(check: dict[str, Any], severity: str) -> list[str]:
    """The sentences of a check's findings of one severity, questions left out."""
    return [
        one["says"]
        for one in check["findings"]
        if one["severity"] == severity and not one["question"]
    ]


def keys(client: TestClient, consignment: str) -> set[str]:
    """What stands in the way of a release."""
    seen = client.get(f"/api/consignments/{consignment}").json()
    return {one["key"] for one in seen["in_the_way"]}
