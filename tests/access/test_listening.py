"""How the server may be started, and what is refused with a sentence."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from inkwitness.cli.listening import choose
from inkwitness.errors import BadInput
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
