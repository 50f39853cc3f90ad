"""A running application on a real database in a new folder, with a stand-in for the readers."""

import datetime as dt
import io
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from PIL import Image
from starlette.testclient import TestClient

from inkwitness.api.app import create_app
from inkwitness.api.settings import Settings
from inkwitness.records.store import new_id

NOW = dt.datetime(2031, 3, 18, 9, 0, tzinfo=dt.UTC)
HEADERS = {"X-Actor": "Ines%20Okparo", "X-Clock": "2031-03-18T09:53:00+01:00"}


def settings(folder: Path, **more: Any) -> Settings:
    return Settings(
        data=folder / "data",
        web=folder / "web",
        **{
            "workers": 0,
            "names": "testserver",
            "helpers": 0,
            "reader": "tests.api.fake_checker:build",
            "judge": "tests.api.fake_checker:build_judge",
            **more,
        },
    )


@pytest.fixture
def client(tmp_path: Path) -> Iterator[TestClient]:
    app = create_app(settings(tmp_path), clock=lambda: NOW)
    with TestClient(app, headers=HEADERS) as opened:
        yield opened


def png(width: int = 20, height: int = 20, colour: str = "white", **save: Any) -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (width, height), colour).save(out, "PNG", **save)
    return out.getvalue()


def wait_for(client: TestClient, job_id: str, *, seconds: float = 180) -> dict[str, Any]:
    """The job once it is done or failed."""
    until = time.monotonic() + seconds
    while time.monotonic() < until:
        job: dict[str, Any] = client.get(f"/api/jobs/{job_id}").json()
        if job["state"] in ("done", "failed"):
            return job
        time.sleep(0.02)
    raise AssertionError(f"job {job_id} is still {job['state']}")


@pytest.fixture
def send(client: TestClient) -> Callable[..., dict[str, Any]]:
    """Send a photo whose name says what the stand-in reads, and wait until it is read."""

    def _send(
        name: str = "plain.png", *, data: bytes | None = None, **fields: Any
    ) -> dict[str, Any]:
        form = {"id": new_id(), "unit_id": new_id(), **fields}
        answer = client.post(
            "/api/photos", data=form, files={"file": (name, data or png(), "image/png")}
        )
        assert answer.status_code == 202, answer.text
        taken: dict[str, Any] = answer.json()
        taken["job"] = wait_for(client, taken["job_id"])
        return taken

    return _send
