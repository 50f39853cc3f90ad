"""The evidence pack: a bag as RFC 8493 has it, with a verifier that needs nothing but Python.

Where this machine has another Python, the verifier is run by it, outside of this project.
"""

import hashlib
import io
import json
import re
import shutil
import subprocess
import sys
import zipfile
from pathlib import Path
from typing import Any

import pytest
from PIL import Image
from starlette.testclient import TestClient

from inkwitness.records import chain
from inkwitness.records.integrity.audit import audit
from inkwitness.records.integrity.backups import back_up
from inkwitness.records.store import look_at_store, new_id
from inkwitness.records.tables import photos as photos_table
from inkwitness.reports.pack import bag, verify_pack
from inkwitness.reports.pack.bag import Part
from tests.api.conftest import NOW
from tests.leaving.house import SECRET, House

CUSTOMS = {"party": "authority", "name": "Customs office, Port of Tolvane", "way": "by hand"}


def ask(client: TestClient, consignment: str, **more: Any) -> Any:
    body = {"id": new_id(), "recipients": [CUSTOMS], **more}
    return client.post(f"/api/consignments/{consignment}/packs", json=body)


@pytest.fixture(scope="module")
def packed(house: House) -> bytes:
    answer = ask(house.client, house.consignment)
    assert answer.status_code == 200, answer.text
    return bytes(answer.content)


@pytest.fixture
def client(house: House) -> TestClient:
    return house.client


@pytest.fixture
def consignment(house: House) -> str:
    return house.consignment


@pytest.fixture
def pack(packed: bytes, tmp_path: Path) -> Path:
    path = tmp_path / "pack.zip"
    path.write_bytes(packed)
    return path


def unpacked(pack: Path) -> Path:
    with zipfile.ZipFile(pack) as opened:
        opened.extractall(pack.parent / "bag")
    (top,) = (pack.parent / "bag").iterdir()
    return top


def flip(path: Path, place: int, bit: int = 0) -> None:
    data = bytearray(path.read_bytes())
    data[place] ^= 1 << bit
    path.write_bytes(bytes(data))


def test_a_pack_is_a_bag(pack: Path) -> None:
    """RFC 8493, 2018: 2.1.1 declaration, 2.1.3 manifest, 2.2.1 tag manifest, 2.2.2 bag-info."""
    top = unpacked(pack)
    declared = (top / "bagit.txt").read_bytes()
    assert declared == b"BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n"
    told: dict[str, str] = {}
    for manifest in ("manifest-sha256.txt", "tagmanifest-sha256.txt"):
        for line in (top / manifest).read_text("utf-8").splitlines():
            sha256, name = line.split("  ", 1)
            told[name] = sha256
            assert hashlib.sha256((top / name).read_bytes()).hexdigest() == sha256, name
    there = {one.relative_to(top).as_posix() for one in top.rglob("*") if one.is_file()}
    assert there - set(told) == {"tagmanifest-sha256.txt"}
    info = dict(
        line.split(": ", 1) for line in (top / "bag-info.txt").read_text("utf-8").splitlines()
    )
    payload = [one for one in there if one.startswith("data/")]
    octets = sum((top / one).stat().st_size for one in payload)
    assert info["Payload-Oxum"] == f"{octets}.{len(payload)}"
    assert (info["Contact-Name"], info["Originals"]) == ("Ines Okparo", "not in the pack")


def test_a_pack_holds_reports_records_rules_and_copies_of_photos(pack: Path) -> None:
    names = [one.relative_to(unpacked(pack)) for one in unpacked(pack).rglob("data/**/*")]
    there = {one.as_posix() for one in names}
    for wanted in (
        "report.pdf",
        "report.json",
        "records/photos.jsonl",
        "rules/schemes/us-niosh.yaml",
    ):
        assert f"data/{wanted}" in there
    assert sum(one.startswith("data/photos/") for one in there) == 2
    assert sum(one.startswith("data/units/C00") for one in there) == 2
    assert not any(one.startswith("data/originals") for one in there)
    decisions = (unpacked(pack) / "data/records/decisions.jsonl").read_text("utf-8")
    assert json.loads(json.loads(decisions)["content"])["disposition"] == "hold"


def test_only_photos_as_they_came_say_where_and_only_when_a_person_chose_so(
    client: TestClient, consignment: str, pack: Path, tmp_path: Path
) -> None:
    """Checked with Pillow, and by looking for the bytes in every file of the pack."""
    for path in unpacked(pack).rglob("*"):
        if path.is_file():
            assert SECRET.encode() not in path.read_bytes(), path
        if path.suffix in (".png", ".jpg"):
            with Image.open(path) as opened:
                assert dict(opened.getexif().get_ifd(0x8825)) == {}, path
    chosen = zipfile.ZipFile(io.BytesIO(ask(client, consignment, originals=True).content))
    having = {one for one in chosen.namelist() if SECRET.encode() in chosen.read(one)}
    assert len(having) == 2
    assert all("/data/originals/" in one for one in having)
    given = client.get(f"/api/consignments/{consignment}/dispatches").json()[0]
    assert (given["kind"], given["originals"], given["by"]["name"]) == ("pack", True, "Ines Okparo")


def test_what_was_given_is_written_down_with_the_hash_of_the_whole(
    client: TestClient, consignment: str, pack: Path
) -> None:
    given = client.get(f"/api/consignments/{consignment}/dispatches").json()[-1]
    assert given["whole"] == hashlib.sha256(pack.read_bytes()).hexdigest()
    assert given["recipients"] == [{**CUSTOMS, "contact": ""}]
    kept = client.get(f"/api/dispatches/{given['dispatch_id']}/files/0").content
    assert kept == (unpacked(pack) / "manifest-sha256.txt").read_bytes()


def test_the_same_id_makes_no_second_pack(client: TestClient, consignment: str) -> None:
    body = {"id": new_id(), "recipients": [CUSTOMS]}
    path = f"/api/consignments/{consignment}/packs"
    assert [client.post(path, json=body).status_code for _ in range(2)] == [200, 409]


@pytest.mark.parametrize("recipients", [[], [{"party": "authority", "name": " "}]])
def test_a_pack_for_nobody_is_refused(
    client: TestClient, consignment: str, recipients: list[Any]
) -> None:
    assert ask(client, consignment, recipients=recipients).status_code == 422


def test_nothing_is_found_in_a_pack_as_it_was_made(pack: Path) -> None:
    assert verify_pack.verify(pack) == []
    assert verify_pack.verify(unpacked(pack)) == []
    seal, _ = verify_pack.seal_of(pack)
    assert verify_pack.verify(pack, seal) == []
    assert verify_pack.verify(pack, "0" * 64) == ["the seal is not the one that you gave"]


def test_one_bit_changed_in_any_file_is_found_and_the_file_named(pack: Path) -> None:
    top = unpacked(pack)
    files = [one for one in top.rglob("*") if one.is_file() and one.stat().st_size]
    assert len(files) > 25
    for path in files:
        kept = path.read_bytes()
        flip(path, len(kept) // 2, len(kept) % 8)
        found = verify_pack.verify(top)
        path.write_bytes(kept)
        assert any(path.name in one or "manifest" in one for one in found), path
    assert verify_pack.verify(top) == []


@pytest.fixture
def small(tmp_path: Path) -> Path:
    """A bag of two files, so that every bit of it can be changed in turn."""
    path = tmp_path / "small.zip"
    payload: list[Part] = [("data/a.txt", b"ink"), ("data/b.png", b"\x89PNG")]
    bag.write(path, "small", payload, [("README.txt", b"how\n")], {"Contact-Name": "Ines"}, NOW)
    return path


def test_each_byte_of_a_small_pack_is_looked_at(small: Path) -> None:
    """A capital for a small letter, a blank for a tab: nothing is read with goodwill."""
    top = unpacked(small)
    assert verify_pack.verify(top) == []
    for path in sorted(one for one in top.rglob("*") if one.is_file()):
        # bit 5 makes a capital of a small letter and no blank of a blank
        for place in range(path.stat().st_size):
            for bit in (0, 5):
                flip(path, place, bit)
                assert verify_pack.verify(top), (path.name, place, bit)
                flip(path, place, bit)


def test_each_byte_of_a_small_zip_is_looked_at(small: Path) -> None:
    """Times, sizes and the zip's own table as well, which no manifest sees."""
    for place in range(small.stat().st_size):
        flip(small, place, place % 8)
        assert verify_pack.verify(small), place
        flip(small, place, place % 8)
    assert verify_pack.verify(small) == []


@pytest.mark.parametrize("change", ["removed", "added", "row"])
def test_what_is_missing_put_in_or_written_anew_is_named(pack: Path, change: str) -> None:
    top = unpacked(pack)
    rows = top / "data/records/decisions.jsonl"
    if change == "removed":
        rows.unlink()
    elif change == "added":
        (top / "data/records/more.jsonl").write_text("{}\n", encoding="utf-8")
    else:
        # with the manifests made anew as well: the row itself still says so
        changed = rows.read_text("utf-8").replace("asked", "asked twice")
        rows.write_text(changed, encoding="utf-8")
        for manifest, name in (
            ("manifest-sha256.txt", "data/records/decisions.jsonl"),
            ("tagmanifest-sha256.txt", "manifest-sha256.txt"),
        ):
            path = top / manifest
            sha256 = hashlib.sha256((top / name).read_bytes()).hexdigest()
            line = re.compile(rf"^[0-9a-f]{{64}}(?=  {re.escape(name)}$)", re.MULTILINE)
            path.write_text(line.sub(sha256, path.read_text("utf-8")), encoding="utf-8")
    said = " ".join(verify_pack.verify(top))
    assert {"removed": "is missing", "added": "put in later", "row": "its own hash"}[change] in said


def pythons() -> list[str]:
    """Every Python from 3.8 on that is on this machine beside the project's own."""
    found = {str(one) for one in Path.home().glob(".pyenv/versions/3.*/bin/python3")}
    found |= {one for v in range(8, 15) if (one := shutil.which(f"python3.{v}")) is not None}
    usable = []
    for one in sorted(found):
        told = subprocess.run([one, "-VV"], capture_output=True, text=True, check=False).stdout
        version = re.match(r"Python 3\.(\d+)", told)
        if version is not None and int(version[1]) >= 8:
            usable.append(one)
    return usable or [sys.executable]


@pytest.mark.parametrize("python", pythons())
def test_the_verifier_inside_runs_with_nothing_but_python(pack: Path, python: str) -> None:
    """`-I -S`: no site packages, no environment, nothing of this project."""
    top = unpacked(pack)

    def run(*arguments: str) -> subprocess.CompletedProcess[str]:
        command = [python, "-I", "-S", str(top / "verify.py"), *arguments]
        return subprocess.run(command, capture_output=True, text=True, check=False, cwd="/")

    assert run().returncode == 0
    assert run(str(pack)).returncode == 0
    seal, _ = verify_pack.seal_of(pack)
    assert seal in run(str(pack), "--seal", seal).stdout
    assert run(str(top / "data")).returncode == 2
    assert run("/there/is/no/such/pack").returncode == 2
    flip(top / "data/report.pdf", 1000)
    changed = run()
    assert changed.returncode == 1
    assert "data/report.pdf was changed" in changed.stdout
    flip(pack, 60)
    assert run(str(pack)).returncode == 1


def test_a_photo_that_is_gone_is_said_in_the_pack(client: TestClient, consignment: str) -> None:
    store = client.app.state.services.store  # type: ignore[attr-defined]
    with store.database.reading() as conn:
        photo = chain.entries(conn, photos_table)[0].content
    path = store.files.path_of("sent", photo["sha256"])
    kept = path.read_bytes()
    path.write_bytes(b"changed")
    answer = ask(client, consignment, originals=True)
    path.write_bytes(kept)
    opened = zipfile.ZipFile(io.BytesIO(answer.content))
    (about,) = [one for one in opened.namelist() if one.endswith("data/about.json")]
    (said,) = json.loads(opened.read(about))["left_out"]
    assert said.endswith("is not in the pack: its file is changed.")


def test_what_was_given_is_audited_and_backed_up(
    client: TestClient, consignment: str, pack: Path, tmp_path: Path
) -> None:
    data = client.app.state.services.settings.data  # type: ignore[attr-defined]
    store = client.app.state.services.store  # type: ignore[attr-defined]
    back_up(data, tmp_path / "copy")
    copy = look_at_store(tmp_path / "copy")
    assert audit(copy.database, copy.files).found == []
    copy.close()
    given = client.get(f"/api/consignments/{consignment}/dispatches").json()[0]
    path = store.files.path_of("sent", given["attachments"][0]["sha256"])
    kept = path.read_bytes()
    path.unlink()
    (found,) = audit(store.database, store.files).found
    path.write_bytes(kept)
    assert "manifest-sha256.txt is missing" in found.says
