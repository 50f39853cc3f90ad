"""Runs a command under strace and says whom it spoke to and what it wrote outside its own folders.

What counts as a name look-up: port 53 (RFC 1035, 4.2), or reading the list of name servers, which
resolv.conf(5) says the C library does before it asks one.
"""

import os
import pwd
import re
import signal
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from ipaddress import ip_address
from pathlib import Path

ROOT = Path(__file__).parents[2]
_CALLS = "connect,sendto,sendmsg,sendmmsg,open,openat,creat,mkdir,mkdirat"
_ADDRESS = re.compile(r'inet_(?:addr\(|pton\(AF_INET6, )"([^"]+)"')
_PORT = re.compile(r"sin6?_port=htons\((\d+)\)")
_PATH = re.compile(r'"((?:[^"\\]|\\.)*)"')
_WRITES = ("O_WRONLY", "O_RDWR", "O_CREAT")


@dataclass(frozen=True, slots=True)
class Traced:
    """A command that runs or ran under strace: its process, its home and the trace."""

    process: "subprocess.Popen[str]"
    home: Path
    file: Path

    def stop(self) -> None:
        """Ask the command (not strace) to end, as Ctrl-C does, and wait until both have."""
        first = self.file.read_text("utf-8").split(maxsplit=1)[0]
        os.kill(int(first), signal.SIGINT)
        self.process.communicate(timeout=120)

    def calls(self) -> list[str]:
        return self.file.read_text("utf-8", errors="replace").splitlines()

    def strangers(self) -> list[str]:
        """The calls that look a name up, or reach an address that is not this machine's own."""
        return [call for call in self.calls() if _looks_up(call) or _leaves(call)]

    def left_at_home(self) -> list[str]:
        """Files and folders in the home directory, or that were opened there for writing."""
        there = [str(path) for path in self.home.rglob("*")]
        real = Path(pwd.getpwuid(os.getuid()).pw_dir)
        return there + [call for call in self.calls() if _writes_below(call, real)]


@contextmanager
def traced(folder: Path, *command: str, **env: str) -> Iterator[Traced]:
    """Start a command with a new empty home directory; it is ended with the block."""
    home = folder / "home"
    home.mkdir()
    file = folder / "trace"
    strace = [
        "strace",
        "-f",
        "--seccomp-bpf",
        "-qq",
        "-s",
        "256",
        "-e",
        f"trace={_CALLS}",
        "-o",
        str(file),
    ]
    # Nothing but HOME says where a program may keep its caches; this switch is the program's own.
    own = {k: v for k, v in os.environ.items() if not k.startswith(("XDG_", "ORT_"))}
    process = subprocess.Popen(
        [*strace, *command],
        env={**own, "HOME": str(home), "PYTHONPATH": str(ROOT / "server"), **env},
        cwd=folder,
        text=True,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
    )
    found = Traced(process, home, file)
    try:
        yield found
    finally:
        if process.poll() is None:
            found.stop()


def inkwitness(*arguments: str) -> tuple[str, ...]:
    return (sys.executable, "-m", "inkwitness", *arguments)


def _looks_up(call: str) -> bool:
    return "/resolv.conf" in call or "/run/systemd/resolve/" in call or "53" in _PORT.findall(call)


def _leaves(call: str) -> bool:
    return any(not ip_address(found).is_loopback for found in _ADDRESS.findall(call))


def _writes_below(call: str, folder: Path) -> bool:
    path = _PATH.search(call)
    if path is None or not (any(flag in call for flag in _WRITES) or "mkdir" in call):
        return False
    told = Path(path[1])
    own = (ROOT, Path(sys.prefix).resolve(), Path(sys.base_prefix).resolve())
    return told.is_relative_to(folder) and not any(told.is_relative_to(here) for here in own)
