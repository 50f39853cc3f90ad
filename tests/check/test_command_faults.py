"""The command line when things go wrong around it: a code of its own, a word, and the rest done."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
SAMPLE = ROOT / "sample_images" / "us-complete.jpg"
CHECK = [sys.executable, "-m", "inkwitness", "check", "--on", "2026-11-25"]


def _run(*args: str | bytes, env: dict[str, str] | None = None, stdout: int | None = None):
    environment = {**os.environ, "PYTHONPATH": str(ROOT / "server"), **(env or {})}
    return subprocess.run(
        [*CHECK, *args],
        stdout=subprocess.PIPE if stdout is None else stdout,
        stderr=subprocess.PIPE,
        env=environment,
        cwd=ROOT,
        check=False,
    )


def test_a_full_disk_behind_stdout_is_a_fault_and_is_said() -> None:
    # Linux full(4): every write to it fails with ENOSPC
    with Path("/dev/full").open("wb") as full:
        done = _run(str(SAMPLE), "--json", stdout=full.fileno())
    assert done.returncode == 3
    assert b"could not be written whole" in done.stderr


def test_a_name_that_is_no_utf8_and_a_terminal_without_letters_are_taken(tmp_path: Path) -> None:
    odd = os.fsencode(tmp_path) + b"/caf\xe9 \xff.jpg"
    Path(os.fsdecode(odd)).write_bytes(SAMPLE.read_bytes())
    ascii_only = {"LC_ALL": "C", "PYTHONCOERCECLOCALE": "0", "PYTHONUTF8": "0"}
    done = _run(odd, env=ascii_only)
    assert done.returncode in (0, 1), done.stderr
    as_json = _run(odd, "--json", env=ascii_only)
    assert json.loads(as_json.stdout)["photo"].startswith("caf")


def test_a_file_far_over_the_limit_is_not_read_whole(tmp_path: Path) -> None:
    large = tmp_path / "large.jpg"
    with large.open("wb") as out:
        out.truncate(3_000_000_000)  # takes no room on the disk, only when it is read
    code = (
        "import resource, sys; resource.setrlimit(resource.RLIMIT_AS, (6 << 30, 6 << 30)); "
        "from pathlib import Path; from inkwitness.cli.check import _bytes_of\n"
        "try: _bytes_of(Path(sys.argv[1]))\n"
        "except Exception as error: print(error.message)\n"
        "print(Path('/proc/self/status').read_text().split('VmHWM:')[1].split()[0])"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, str(large)],
        capture_output=True,
        env={**os.environ, "PYTHONPATH": str(ROOT / "server")},
        check=True,
    )
    said, most = done.stdout.decode().strip().splitlines()
    assert "2861.0 MB is more than" in said
    # kB, proc(5); getrusage(2) would count what the test's own process had before the exec.
    assert int(most) < 600_000


_TESSERACT = {
    "dies": 'case "$*" in *--version*|*--list-langs*) exec {real} "$@";; esac; kill -9 $$',
    "does not work at all": "exit 7",
}


@pytest.mark.parametrize("how", _TESSERACT)
def test_a_second_reader_that_dies_costs_its_answers_and_is_said(tmp_path: Path, how: str) -> None:
    real = "/usr/bin/tesseract"
    program = tmp_path / "tesseract"
    program.write_text("#!/bin/sh\n" + _TESSERACT[how].format(real=real) + "\n", encoding="utf-8")
    program.chmod(0o755)
    done = _run(str(SAMPLE), "--json", env={"PATH": f"{tmp_path}:{os.environ['PATH']}"})
    assert done.returncode in (0, 1), done.stderr
    out = json.loads(done.stdout)
    assert "one_reader_only" in out["notes"]
    assert out["marks"]["approval_number"]["printed"]
    assert b"Tesseract" in done.stderr


def test_what_goes_wrong_with_one_photo_does_not_stop_the_rest(tmp_path: Path) -> None:
    code = (
        "import sys\n"
        "from inkwitness.cli import check, main\n"
        "real = check.check_bytes\n"
        "def sometimes(data, name, *more):\n"
        "    if name == 'fault.jpg': raise ZeroDivisionError('a bug')\n"
        "    return real(data, name, *more)\n"
        "check.check_bytes = sometimes\n"
        "sys.argv[0] = 'inkwitness'\n"
        "main.main()\n"
    )
    fault = tmp_path / "fault.jpg"
    fault.write_bytes(SAMPLE.read_bytes())
    done = subprocess.run(
        [sys.executable, "-c", code, "check", "--json", str(fault), str(SAMPLE)],
        capture_output=True,
        env={**os.environ, "PYTHONPATH": str(ROOT / "server")},
        check=False,
    )
    assert done.returncode == 3
    assert [json.loads(line)["photo"] for line in done.stdout.splitlines()] == [SAMPLE.name]
    assert b"1 of 2 photos were not checked" in done.stderr
