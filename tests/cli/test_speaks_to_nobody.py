"""The program speaks to nobody beyond this machine and leaves nothing in the home directory.

Traced from outside with strace, real reading included: what a library does behind our back shows.
"""

import json
import sys
import time
import urllib.error
import urllib.request
from pathlib import Path

import pytest

from inkwitness.records.store import new_id
from tests.cli.trace import ROOT, Traced, inkwitness, traced
from tests.ports import free_port

PHOTO = ROOT / "sample_images" / "us-complete.jpg"


def test_checking_a_photo(tmp_path: Path) -> None:
    about = ("--surface", "facepiece", "--whole", "yes", "--on", "2026-11-25")
    listed = ("--holders", str(PHOTO.with_name("holders.csv")))
    with traced(tmp_path, *inkwitness("check", str(PHOTO), *about, *listed, "--json")) as run:
        out, err = run.process.communicate(timeout=300)
    told = json.loads(out)
    assert told["marks"]["approval_number"]["standing"] == "read", err
    assert run.process.returncode == int(told["outcome"] != "no_conflict_found")
    assert run.strangers() == []
    assert run.left_at_home() == []


def test_serving_the_page_and_reading_an_uploaded_photo(tmp_path: Path) -> None:
    port = free_port()
    command = inkwitness("serve", "--data", str(tmp_path / "data"), "--port", str(port))
    with traced(tmp_path, *command, INKWITNESS_WORKERS="1") as run:
        assert b"<html" in _get(run, port, "/")
        job = _send(port, PHOTO)
        while (state := json.loads(_get(run, port, f"/api/jobs/{job}")))["state"] != "done":
            assert state["state"] in ("waiting", "reading"), state
            time.sleep(0.2)
    assert run.strangers() == []
    assert run.left_at_home() == []
    workers = {call.split(maxsplit=1)[0] for call in run.calls() if "PP-OCRv6_rec" in call}
    assert workers, "the reader's own process was traced too"
    assert run.calls()[0].split(maxsplit=1)[0] not in workers


@pytest.mark.parametrize(
    ("deed", "noticed"),
    [
        # 192.0.2.1 is nobody's (RFC 5737); connecting a datagram socket sends nothing.
        ("socket.socket(type=socket.SOCK_DGRAM).connect(('192.0.2.1', 443))", "192.0.2.1"),
        ("socket.socket(type=socket.SOCK_DGRAM).connect(('127.0.0.1', 53))", "htons(53)"),
        ("pathlib.Path('/etc/resolv.conf').exists() and open('/etc/resolv.conf')", "resolv.conf"),
        ("pathlib.Path.home().joinpath('.cache').mkdir()", ".cache"),
    ],
)
def test_the_trace_notices(tmp_path: Path, deed: str, noticed: str) -> None:
    with traced(tmp_path, sys.executable, "-c", f"import pathlib, socket; {deed}") as run:
        run.process.communicate(timeout=60)
    assert run.process.returncode == 0
    assert any(noticed in found for found in (*run.strangers(), *run.left_at_home()))


def _get(run: Traced, port: int, path: str) -> bytes:
    for _ in range(600):
        assert run.process.poll() is None, run.process.communicate()
        try:
            with urllib.request.urlopen(f"http://127.0.0.1:{port}{path}", timeout=60) as answer:
                got: bytes = answer.read()
                return got
        except urllib.error.URLError as error:
            if not isinstance(error.reason, ConnectionRefusedError):
                raise
            time.sleep(0.2)
    raise AssertionError("the server did not answer within two minutes")


def _send(port: int, photo: Path) -> str:
    """Upload one photo as a form (RFC 7578); the id of its job."""
    edge = "inkwitness-edge"
    fields = {"id": new_id(), "unit_id": new_id()}
    body = "".join(
        f'--{edge}\r\nContent-Disposition: form-data; name="{name}"\r\n\r\n{value}\r\n'
        for name, value in fields.items()
    )
    body += (
        f'--{edge}\r\nContent-Disposition: form-data; name="file"; filename="{photo.name}"\r\n'
        "Content-Type: image/jpeg\r\n\r\n"
    )
    asked = urllib.request.Request(
        f"http://127.0.0.1:{port}/api/photos",
        data=body.encode() + photo.read_bytes() + f"\r\n--{edge}--\r\n".encode(),
        headers={
            "Content-Type": f"multipart/form-data; boundary={edge}",
            "X-Actor": "Ines%20Okparo",
            "X-Clock": "2031-03-18T09:53:00+01:00",
        },
    )
    with urllib.request.urlopen(asked, timeout=60) as answer:
        assert answer.status == 202
        return str(json.load(answer)["job_id"])
