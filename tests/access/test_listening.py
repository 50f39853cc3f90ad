"""How the server may be started, and what is refused with a sentence."""

import datetime as dt
import os
import subprocess
import sys
from contextlib import closing
from pathlib import Path

import pytest

from inkwitness.access import codes
from inkwitness.access.store import open_access
from inkwitness.cli.serving.listening import choose, first_link
from inkwitness.errors import BadInput
from inkwitness.records.store import open_store
from tests.web.serving import ROOT


def chosen(host: str = "", **more: object) -> object:
    usual = {"network": False, "accounts": False, "outside": "", "proxies": []}
    return choose(host, 8000, **{**usual, **more})  # type: ignore[arg-type]


@pytest.mark.parametrize("host", ["0.0.0.0", "::", "192.168.43.1", "laptop.example"])
def test_without_accounts_any_address_but_loopback_is_refused(host: str) -> None:
    with pytest.raises(BadInput, match="every role"):
        chosen(host)


@pytest.mark.parametrize("host", ["0.0.0.0", "192.168.43.1"])
def test_with_accounts_and_no_https_it_is_refused_too(host: str) -> None:
    with pytest.raises(BadInput, match="without https"):
        chosen(host, accounts=True)


def test_the_command_line_says_so_and_does_not_start(tmp_path: Path) -> None:
    told = subprocess.run(
        [sys.executable, "-m", "inkwitness", "serve", "--host", "0.0.0.0", "--data", str(tmp_path)],
        capture_output=True,
        text=True,
        check=False,
        timeout=300,
        cwd=ROOT,
        env=dict(os.environ),
    )
    assert told.returncode == 2
    assert "--network" in told.stderr
    assert "Traceback" not in told.stderr


@pytest.mark.parametrize("way", ["--accounts", "--network"])
def test_a_second_server_prints_no_link_and_ends_none_and_says_who_has_the_folder(
    tmp_path: Path, way: str
) -> None:
    first = open_store(tmp_path / "data", alone=True)
    link = first_link(tmp_path / "data", "https://ink.example", dt.datetime.now(dt.UTC))
    told = subprocess.run(
        [sys.executable, "-m", "inkwitness", "serve", way, "--data", str(tmp_path / "data")],
        capture_output=True,
        text=True,
        check=False,
        timeout=300,
        cwd=ROOT,
        env=dict(os.environ),
    )
    first.close()
    assert told.returncode == 2
    assert f"Another server (process {os.getpid()})" in told.stderr
    assert "Traceback" not in told.stderr
    assert told.stdout == ""
    with closing(open_access(tmp_path / "data")) as access, access.writing() as conn:
        code = link.rpartition("/")[2]
        assert codes.use(conn, "first", code, dt.datetime.now(dt.UTC)).kind == "first"


@pytest.mark.parametrize("proxy", ["*", "0.0.0.0/0", "::/0", "proxy.example", "10.0.0.0/4"])
def test_a_proxy_is_named_and_not_everybody(proxy: str) -> None:
    with pytest.raises(BadInput, match="--proxy"):
        chosen("0.0.0.0", outside="https://ink.example", proxies=[proxy])


def test_the_proxy_and_its_address_go_together_and_turn_accounts_on() -> None:
    for half in ({"outside": "https://ink.example"}, {"proxies": ["127.0.0.1"]}):
        with pytest.raises(BadInput, match="go together"):
            chosen(**half)
    how = chosen("0.0.0.0", outside="https://Ink.Example:443", proxies=["10.0.2.2"])
    assert how.accounts  # type: ignore[attr-defined]
    assert how.outside == "https://ink.example"  # type: ignore[attr-defined]


def test_the_room_is_served_with_accounts_and_by_itself() -> None:
    how = chosen(network=True)
    assert how.accounts  # type: ignore[attr-defined]
    for more in ({"host": "10.0.0.1"}, {"outside": "https://ink.example"}):
        with pytest.raises(BadInput, match="by itself"):
            chosen(network=True, **more)
