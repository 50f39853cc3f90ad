"""A room of the test's own: network namespaces for the laptop and the phone, joined by a cable.

Addresses are those of a phone's hotspot. Nothing outside the namespaces can be reached from inside
them, and the machine that the tests run on is not touched.
"""

import os
import shutil
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import pytest

from tests.web import read_once
from tests.web.serving import CHROMIUM, ROOT, TODAY

LAPTOP_ADDRESS = "192.168.43.1"
PHONE_ADDRESS = "192.168.43.7"
PORT = 8443


@dataclass(frozen=True)
class Room:
    """Two namespaces: `laptop`, where the server is, and `phone`."""

    laptop: str
    phone: str
    folder: Path

    def inside(self, namespace: str, *command: str, **more: object) -> str:
        """Run a command in a namespace; answers what it printed."""
        done = subprocess.run(
            ["ip", "netns", "exec", namespace, *command],
            check=True,
            capture_output=True,
            text=True,
            timeout=120,
            **more,  # type: ignore[call-overload]
        )
        return str(done.stdout)

    def cable(self, state: str) -> None:
        """Take the phone off the network (`down`) or put it back (`up`)."""
        self.inside(self.phone, "ip", "link", "set", "cable", state)

    def chromium(self, namespace: str) -> Path:
        """A program that starts Debian's Chromium in a namespace."""
        path = self.folder / f"chromium-{namespace}"
        path.write_text(f'#!/bin/sh\nexec ip netns exec {namespace} {CHROMIUM} "$@"\n')
        path.chmod(0o755)
        return path


@contextmanager
def room(folder: Path) -> Iterator[Room]:
    """Make the namespaces, or say plainly that this machine does not let us."""
    if os.geteuid() != 0:
        _cannot("it takes root to make network namespaces; run the tests as root, as CI does")
    made = Room(f"ink-laptop-{os.getpid()}", f"ink-phone-{os.getpid()}", folder)
    try:
        for one in (made.laptop, made.phone):
            subprocess.run(["ip", "netns", "add", one], check=True, capture_output=True, text=True)
    except (subprocess.CalledProcessError, FileNotFoundError) as error:
        _cannot(f"no network namespace can be made: {getattr(error, 'stderr', error)}")
    try:
        ends = (made.laptop, LAPTOP_ADDRESS), (made.phone, PHONE_ADDRESS)
        here, there = f"inkl{os.getpid() % 10**8}", f"inkp{os.getpid() % 10**8}"
        _run("ip", "link", "add", here, "type", "veth", "peer", "name", there)
        for name, (namespace, address) in zip((here, there), ends, strict=True):
            _run("ip", "link", "set", name, "netns", namespace, "name", "cable")
            made.inside(namespace, "ip", "address", "add", f"{address}/24", "dev", "cable")
            made.inside(namespace, "ip", "link", "set", "lo", "up")
            made.inside(namespace, "ip", "link", "set", "cable", "up")
            # multicast DNS goes where the hotspot is
            made.inside(namespace, "ip", "route", "add", "224.0.0.0/4", "dev", "cable")
        yield made
    finally:
        for one in (made.laptop, made.phone):
            subprocess.run(["ip", "netns", "delete", one], check=False, capture_output=True)


def _cannot(why: str) -> None:
    """In CI what cannot be tried has failed; on a desk it is left out, and says so."""
    if os.environ.get("CI"):
        pytest.fail(f"The phone in the room was not tried: {why}.")
    pytest.skip(f"The phone in the room was not tried: {why}.")


def _run(*command: str) -> None:
    subprocess.run(command, check=True, capture_output=True, text=True)


@contextmanager
def server(made: Room, data: Path, *options: str) -> Iterator[str]:
    """`inkwitness serve --network` in the laptop's namespace; gives what it printed."""
    command = ["ip", "netns", "exec", made.laptop, sys.executable, "-m", "inkwitness", "serve"]
    command += ["--network", "--data", str(data), "--port", str(PORT), *options]
    two = {"INKWITNESS_WORKERS": "1", "INKWITNESS_THREADS": "1"}
    once = {"INKWITNESS_READER": "tests.web.read_once:build", **read_once.shared(data)}
    env = {**os.environ, "INKWITNESS_ON": TODAY, "PYTHONUNBUFFERED": "1", **two, **once}
    data.mkdir(parents=True, exist_ok=True)
    log = data / "server.log"
    with log.open("wb") as out:
        process = subprocess.Popen(command, env=env, cwd=ROOT, stdout=out, stderr=subprocess.STDOUT)
        try:
            _wait(made, process, data, log)
            yield log.read_text(encoding="utf-8")
        finally:
            process.terminate()
            process.wait(timeout=120)


def _wait(made: Room, process: "subprocess.Popen[bytes]", data: Path, log: Path) -> None:
    """Ask over https at the address of the room, trusting nothing but the authority made there."""
    asked = (
        "import ssl, sys, urllib.request as u;"
        "c = ssl.create_default_context(cafile=sys.argv[1]);"
        "u.urlopen(sys.argv[2], timeout=5, context=c).read()"
    )
    where = f"https://{LAPTOP_ADDRESS}:{PORT}/api/alive"
    for _ in range(600):
        if process.poll() is not None:
            raise RuntimeError(f"the server ended: {log.read_text(errors='replace')[-2000:]}")
        root = data / "network" / "root.crt"
        if root.exists():
            try:
                made.inside(made.laptop, sys.executable, "-c", asked, str(root), where)
                return
            except subprocess.CalledProcessError:
                pass
        time.sleep(0.2)
    raise RuntimeError(f"the server did not answer: {log.read_text(errors='replace')[-2000:]}")


def trusting(home: Path, root: Path) -> Path:
    """A home folder whose Chromium trusts this authority, as a person installs it there."""
    assert shutil.which("certutil"), "libnss3-tools is missing: run `make setup-dev`"
    store = home / ".pki" / "nssdb"
    store.mkdir(parents=True)
    for arguments in (
        ["-N", "--empty-password"],
        ["-A", "-n", "inkwitness", "-t", "C,,", "-i", str(root)],
    ):
        _run("certutil", "-d", f"sql:{store}", *arguments)
    return home
