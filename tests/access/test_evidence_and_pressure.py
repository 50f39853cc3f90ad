"""Scenario 10 of the job map, from end to end: evidence, pressure and a complaint.

Somebody tries to put a number on the list so that goods go through, a picture is cropped and passed
on, a lawyer finds a mistake in a report, and the customs ask for the material. What the scenario
asks of packs, of recipients of a correction and of custody forms is for the tests of what leaves
the house; here is what the records themselves must bear. Names and numbers are invented.
"""

import hashlib
import io
import json
import re
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from PIL import Image
from sqlalchemy import select
from starlette.testclient import TestClient

from inkwitness.access.tables import events
from inkwitness.records.store import new_id
from tests.access.conftest import House
from tests.api.conftest import wait_for
from tests.api.test_confirmations import confirm
from tests.reports.test_reports import banned_in

ENTRY = {
    "scheme": "us-niosh",
    "holder": "Jorvandy Import",
    "approval_number": "TC-84A-9982",
    "models": ["SK-70"],
}


def _photo_with_a_position() -> bytes:
    exif = Image.Exif()
    exif.get_ifd(0x8825)[1] = "N"  # GPSLatitudeRef: Exif 2.32, 4.6.6
    out = io.BytesIO()
    Image.effect_noise((64, 48), 80).convert("RGB").save(out, "JPEG", exif=exif)
    return out.getvalue()


@pytest.fixture
def case(house: House) -> dict[str, Any]:
    """A consignment with one unit at conflict, number and lot confirmed, the lot wrongly."""
    ines = house.signed("screener", name="Ines Okparo")
    rae = house.signed("releaser", name="Rae Quillon")
    made = {"id": new_id(), "label": "FICTIONAL 12,000 from Jorvandy Import"}
    where = rae.post("/api/consignments", json=made).json()["consignment_id"]
    ids = {"id": new_id(), "unit_id": new_id(), "consignment_id": where}
    file = ("conflict.jpg", _photo_with_a_position(), "image/jpeg")
    taken = ines.post("/api/photos", data=ids, files={"file": file})
    assert taken.status_code == 202, taken.text
    wait_for(ines, taken.json()["job_id"])
    assert confirm(ines, ids["id"], "TC-84A-9982").status_code == 201
    lot = {"mark": "lot", "mark_id": "added:lot", "named": "lot", "from": "typed", "read_as": ""}
    wrong = confirm(ines, ids["id"], "LOT 71", **lot)
    assert wrong.status_code == 201, wrong.text
    return {
        "house": house,
        "ines": ines,
        "rae": rae,
        "where": where,
        "photo": ids["id"],
        "unit": ids["unit_id"],
        "lot": lot,
        "wrong": wrong.json()["confirmation_id"],
    }


def report(client: TestClient, unit: str) -> dict[str, Any]:
    told: dict[str, Any] = client.get(f"/api/units/{unit}/report?format=json").json()
    return told


def decide(client: TestClient, path: str, kind: str, **more: str) -> Any:
    asked = {"id": new_id(), "disposition": kind, "reason": "FICTIONAL reason", **more}
    return client.post(f"/api{path}/decisions", json=asked)


def test_a_number_put_on_the_list_lets_nothing_through_and_the_attempt_is_kept(
    case: dict[str, Any],
) -> None:
    house, ines = case["house"], case["ines"]
    lena = house.signed("list_keeper", name="Lena Marsh")
    omar = house.signed("list_keeper", name="Omar Thistle")
    asked = {"id": new_id(), "entries": [ENTRY]}
    assert ines.post("/api/holders/proposals/entries", json=asked).status_code == 403
    with house.store.reading() as conn:
        wanted = select(events.c.by_id, events.c.detail).where(events.c.what == "refused")
        (tried,) = conn.execute(wanted).all()
    assert tried == (house.ids["Ines Okparo"], "POST /api/holders/proposals/entries")
    # without a source it is no proposal, and who proposes does not accept
    assert lena.post("/api/holders/proposals/entries", json=asked).status_code == 422
    known = {"source": "FICTIONAL list", "checked_on": "2031-03-01", "checked_by": "Lena Marsh"}
    whole = {"id": new_id(), "entries": [{**ENTRY, **known}]}
    proposed = lena.post("/api/holders/proposals/entries", json=whole)
    assert proposed.status_code == 201, proposed.text
    path = f"/api/holders/proposals/{whole['id']}/accept"
    assert lena.post(path, json={"id": new_id()}).status_code == 409
    assert omar.post(path, json={"id": new_id()}).status_code == 201
    # and the goods are where they were
    refused = decide(case["rae"], f"/consignments/{case['where']}", "release")
    assert refused.status_code == 409
    assert ines.get(f"/api/units/{case['unit']}").json()["row"]["outcome"] == "conflict"


def test_a_cropped_picture_is_told_from_what_was_kept_by_any_hash_tool(
    case: dict[str, Any], tmp_path: Path
) -> None:
    served = case["ines"].get(f"/api/photos/{case['photo']}/picture").content
    with Image.open(io.BytesIO(served)) as picture:
        assert dict(picture.getexif().get_ifd(0x8825)) == {}, "the copy has no position"
        cropped = io.BytesIO()
        picture.crop((0, 0, 32, 32)).save(cropped, "JPEG")
    printed = json.dumps(report(case["ines"], case["unit"]))
    for name, data, known in (("kept", served, True), ("cropped", cropped.getvalue(), False)):
        (tmp_path / name).write_bytes(data)
        told = subprocess.run(["sha256sum", tmp_path / name], capture_output=True, check=True)
        assert (told.stdout.decode().split()[0] in printed) is known
    unit = case["ines"].get(f"/api/units/{case['unit']}").json()
    assert unit["photos"][0]["file"] == "intact"
    assert hashlib.sha256(served).hexdigest() == unit["photos"][0]["served_sha256"]


def test_a_mistake_is_corrected_beside_the_old_word_and_the_old_reports_head_still_fits(
    case: dict[str, Any],
) -> None:
    ines, unit = case["ines"], case["unit"]
    before = report(ines, unit)
    right = confirm(ines, case["photo"], "LOT 77", supersedes=case["wrong"], **case["lot"])
    assert right.status_code == 201, right.text
    after = report(ines, unit)
    texts = [json.dumps(one) for one in (before, after)]
    said = {lot: [lot in text for text in texts] for lot in ("LOT 71", "LOT 77")}
    assert said["LOT 71"][0]
    assert said["LOT 77"] == [False, True]
    kept = ines.get(f"/api/units/{unit}").json()
    assert {word["printed"] for word in kept["confirmations"]} >= {"LOT 71", "LOT 77"}
    assert len(kept["checks"]) == 4, "the reading, the number, the wrong lot, the right lot"
    for told in (before, after):
        words = " ".join(json.dumps(one, ensure_ascii=False) for one in told["sections"])
        assert banned_in(words) == []
    # the head as it was printed on the report that was sent, typed in again (OPERATING.md)
    data = case["house"].app.state.services.settings.data
    counts = re.search(r"[a-z_]+=\d+(?: [a-z_]+=\d+)+", texts[0])
    assert counts is not None
    rows = counts.group()
    head = f"{before['records_head']} {rows}"
    command = [sys.executable, "-m", "inkwitness", "records", "audit", "--data", str(data)]
    fits = subprocess.run([*command, "--head", head], capture_output=True, text=True, check=False)
    assert (fits.returncode, "Found: 0." in fits.stdout) == (0, True), fits.stdout
    other = subprocess.run(
        [*command, "--head", f"{'0' * 64} {rows}"], capture_output=True, text=True, check=False
    )
    assert other.returncode == 1


def test_what_is_kept_as_evidence_is_neither_destroyed_nor_deleted_until_it_is_released(
    case: dict[str, Any],
) -> None:
    house, ines, rae = case["house"], case["ines"], case["rae"]
    bo = house.signed("releaser", name="Bo Terrazin")
    ada = house.signed("administrator", name="Ada Fenn")
    there = f"/consignments/{case['where']}"
    assert decide(ines, there, "hold_conflict").status_code == 201
    asked = {"id": new_id(), "consignment_id": case["where"], "reason": "the customs asked for it"}
    kept = ines.post("/api/retention/keeps", json=asked)
    assert kept.status_code == 201, kept.text
    assert decide(bo, there, "agree", about="destroy").status_code == 201
    for path in (there, f"/units/{case['unit']}"):
        refused = decide(rae, path, "destroy")
        assert (refused.status_code, "the customs asked" in refused.text) == (409, True)
    back = {"id": new_id(), "reason": "somebody would rather not have it"}
    assert rae.post(f"/api/photos/{case['photo']}/remove", json=back).status_code == 409
    paths = ada.get("/api/openapi.json").json()["paths"]
    about_goods = ("/api/units", "/api/photos", "/api/consignments", "/api/confirmations")
    assert not [p for p, how in paths.items() if p.startswith(about_goods) and "delete" in how]
    # handed over against a receipt; the hold and the evidence stay as they are
    handed = decide(rae, there, "hand_over", limits="seals 0041-0070, receipt of 18 March")
    assert handed.status_code == 201, handed.text
    assert decide(rae, there, "destroy").status_code == 409
    # ended in writing, by somebody else than who began it
    end = {"id": new_id(), "reason": "released in writing, FICTIONAL no. 7"}
    path = f"/api/retention/keeps/{kept.json()['keep_id']}/end"
    assert ines.post(path, json=end).status_code == 403
    assert ada.post(path, json=end).status_code == 201
    assert decide(rae, there, "destroy").status_code == 201
    assert ada.get("/api/records").json()["found"] == []
