"""A server furnished with what the pictures show: units in each outcome, goods at each step.

Everything is sent as the page sends it. A photo is read once, however many units it is of.
"""

import time
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import httpx2
from PIL import Image

from inkwitness.records.store import new_id
from tests.web.serving import SAMPLES

WHO = {"X-Actor": "Samira%20Kholvane"}
SUPPLIER = "Kestrane Medical Supply (FICTIONAL)"
#: The lot on the sample that everything agrees on.
LOT = "A42759"


@dataclass(slots=True)
class House:
    """The server's address; units and consignments by what they show; photos sent of each unit."""

    address: str
    units: dict[str, str] = field(default_factory=dict)
    goods: dict[str, str] = field(default_factory=dict)
    photos: Counter[str] = field(default_factory=Counter)

    def post(self, path: str, **body: Any) -> dict[str, Any]:
        """Write something as the page writes it; raises where the server refuses."""
        told = {"id": new_id(), **body}
        answer = httpx2.post(f"{self.address}/api/{path}", json=told, headers=WHO, timeout=120)
        answer.raise_for_status()
        found: dict[str, Any] = answer.json()
        return found

    def get(self, path: str) -> Any:
        return httpx2.get(f"{self.address}/api/{path}", headers=WHO, timeout=120).json()

    def form(self, path: str, fields: Mapping[str, str], photo: Path | None = None) -> Any:
        """Send a form, with a photo or without."""
        where, told = f"{self.address}/api/{path}", {"id": new_id(), **fields}
        file = None if photo is None else {"file": (photo.name, photo.read_bytes())}
        answer = httpx2.post(where, data=told, files=file, headers=WHO, timeout=120)
        answer.raise_for_status()
        return answer.json()

    def send(self, name: str, photo: Path, goods: str = "", **more: str) -> None:
        """A photo of a whole facepiece, of a new unit or of one that was sent before."""
        unit = self.units.setdefault(name, new_id())
        fields = {"unit_id": unit, "surface": "facepiece", "whole": "yes", **more}
        if goods:
            fields["consignment_id"] = self.goods[goods]
        self.form("photos", fields, photo)
        self.photos[name] += 1

    def open(self, name: str, label: str, **more: Any) -> str:
        """A new consignment."""
        made = self.post("consignments", label=label, supplier=SUPPLIER, **more)
        self.goods[name] = str(made["consignment_id"])
        return self.goods[name]

    def read(self, *names: str) -> None:
        """Wait until these units are read, every photo of them; all of them where none is named."""
        for name in names or tuple(self.units):
            for _ in range(1500):
                unit = self.get(f"units/{self.units[name]}")
                if len(unit["checks"]) >= self.photos[name]:
                    break
                time.sleep(0.2)
            else:
                raise AssertionError(f"the unit “{name}” was not read")


def furnish(address: str, folder: Path) -> House:
    """Send everything; it is read while other pictures are taken."""
    house = House(address)
    sample = {path.stem: path for path in SAMPLES.glob("*.jpg")}
    blank = folder / "blank.jpg"
    Image.new("RGB", (800, 600), "#d8d4cb").save(blank)
    house.open("one", "One sealed box", units_declared=1, cartons_declared=1, lots=[LOT])
    house.send("complete", sample["us-complete"], "one")
    house.open("several", "Three that differ", units_declared=3)
    three = {"first": "us-complete", "copy": "us-complete", "other": "us-rescinded"}
    for name, photo in three.items():
        house.send(name, sample[photo], "several", label=f"Unit {name}")
    house.open(
        "sampled",
        "Delivery of 25 November",
        units_declared=40_000,
        cartons_declared=100,
        lots=["A42759", "A42760"],
        reference="PO 1188",
    )
    made = house.goods["sampled"]
    house.post(
        f"consignments/{made}/plan",
        kind="discovery",
        seed="PO 1188; dice 4 1 6",
        nonconforming_share="0.05",
    )
    house.open("held", "Twelve cartons, asked about", units_declared=4800, cartons_declared=12)
    held = house.goods["held"]
    why = "The lot is asked about"
    house.post(f"consignments/{held}/decisions", disposition="hold", reason=why)
    house.send("missing", sample["us-number-missing-sideways"])
    house.send("near", sample["us-near-number"])
    house.send("doubtful", sample["us-orange-small"])
    house.send("rescinded", sample["us-rescinded"])
    house.send("european", sample["en-complete"])
    house.send("sides", sample["us-complete"])
    house.send("sides", sample["us-rescinded"], surface="inner_box")
    house.send("unlisted", sample["us-complete"])
    house.send("taken-back", sample["us-complete"], label="With a badge in the picture")
    house.send("group", sample["us-complete"], count="20", label="From the open box")
    house.send("nothing", blank, whole="unknown")
    return house
