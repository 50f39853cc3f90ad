"""An application in which photos are read by their names, and helpers to keep papers."""

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from inkwitness.api.app import create_app
from inkwitness.records.store import new_id
from tests.api.conftest import HEADERS, NOW, settings
from tests.api.conftest import send as send  # a fixture of theirs

TYPED = {"reader": "tests.api.typed_checker:build", "judge": "tests.api.typed_checker:build_judge"}
#: What is typed of a type-examination certificate and of a declaration: invented.
TYPE = {
    "kind": "type_certificate",
    "title": "EU Type-Examination Certificate",
    "body_number": "9871",
    "number": "ZK/31/0457",
    "holder": "Halcyra Respire",
    "product": "HR-F2",
    "filter_class": "FFP2 NR D",
    "standard": "EN 149:2001+A1:2009",
    "issued": "2029-06-01",
    "expires": "2034-05-31",
}
DECLARATION = {
    "kind": "declaration",
    "title": "EU Declaration of Conformity",
    "holder": "Halcyra Respire",
    "signed_by": "Halcyra Respire",
    "product": "HR-F2",
    "certificate": "ZK/31/0457",
    "standard": "EN 149:2001+A1:2009",
}


@pytest.fixture
def client(tmp_path: Path) -> Iterator[TestClient]:
    app = create_app(settings(tmp_path, **TYPED), clock=lambda: NOW)
    with TestClient(app, headers=HEADERS) as opened:
        yield opened


def consignment(client: TestClient, **more: Any) -> str:
    body = {"id": new_id(), "label": "FICTIONAL delivery", "supplier": "Nordfelle Trading", **more}
    answer = client.post("/api/consignments", json=body)
    assert answer.status_code == 201, answer.text
    return str(answer.json()["consignment_id"])


def keep_paper(
    client: TestClient, fields: dict[str, Any], *, files: Any = None, **about: Any
) -> Any:
    form = {"id": new_id(), "paper": json.dumps(fields), **about}
    return client.post("/api/papers", data=form, files=files)
