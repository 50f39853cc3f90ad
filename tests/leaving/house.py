"""One running server with a consignment on hold, for all tests of a file: making it is slow."""

from collections.abc import Iterator
from typing import NamedTuple

import pytest
from PIL import Image
from starlette.testclient import TestClient

from inkwitness.api.app import create_app
from inkwitness.records.store import new_id
from tests.api.conftest import HEADERS, NOW, png, settings, wait_for
from tests.api.test_consignments import make
from tests.api.test_units import decide

SECRET = "Sollanby Pharmacy"


class House(NamedTuple):
    """The server, and the consignment."""

    client: TestClient
    consignment: str


def located(colour: str = "white") -> bytes:
    """A photo that says where it was taken, and by whose phone."""
    exif = Image.Exif()
    exif[0x010F] = SECRET
    exif.get_ifd(0x8825).update({1: "N", 2: (51.0, 30.0, 0.0), 3: "W", 4: (0.0, 7.0, 39.0)})
    return png(40, 30, colour, exif=exif)


@pytest.fixture(scope="module")
def house(tmp_path_factory: pytest.TempPathFactory) -> Iterator[House]:
    app = create_app(settings(tmp_path_factory.mktemp("house")), clock=lambda: NOW)
    with TestClient(app, headers=HEADERS) as client:
        lots = [{"code": "A310", "units": 400, "cartons": 10}]
        made = make(client, units_declared=400, cartons_declared=10, lots=lots, reference="PO 1188")
        for name, label in (("conflict.png", "C001/U01"), ("plain.png", "C002/U07 =x")):
            form = {"id": new_id(), "unit_id": new_id(), "label": label, "consignment_id": made}
            file = {"file": (name, located("grey" if "U07" in label else "white"), "image/png")}
            wait_for(client, client.post("/api/photos", data=form, files=file).json()["job_id"])
        decide(client, f"consignments/{made}", "hold", "asked")
        yield House(client, made)
