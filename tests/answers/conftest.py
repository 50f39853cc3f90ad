"""The application with the real rules; only the readers are stood in for."""

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from inkwitness.api.app import create_app
from inkwitness.records.store import new_id
from tests.api.conftest import HEADERS, NOW, png, settings, wait_for

Send = Callable[..., dict[str, Any]]


@pytest.fixture
def client(tmp_path: Path) -> Iterator[TestClient]:
    typed_ones = "tests.api.typed_checker"
    set_up = settings(tmp_path, reader=f"{typed_ones}:build", judge=f"{typed_ones}:build_judge")
    app = create_app(set_up, clock=lambda: NOW)
    with TestClient(app, headers=HEADERS) as opened:
        yield opened


@pytest.fixture
def send(client: TestClient) -> Send:
    """Send a photo of a unit, whole unless said otherwise, and wait until it is read."""
    shades = iter(f"#{shade:06x}" for shade in range(1, 10_000))

    def _send(name: str, unit_id: str = "", **fields: Any) -> dict[str, Any]:
        form = {"id": new_id(), "unit_id": unit_id or new_id(), "whole": "yes", **fields}
        data = png(colour=next(shades))  # the bytes of each photo are its own
        answer = client.post("/api/photos", data=form, files={"file": (name, data, "image/png")})
        assert answer.status_code == 202, answer.text
        taken: dict[str, Any] = answer.json()
        assert wait_for(client, taken["job_id"])["state"] == "done"
        return taken

    return _send
