"""A wheel is all that a person needs beside the packages that it asks for.

It is built from this checkout, put alone into a folder, and run from a place where nothing of the
checkout can be found: rules, page, sentences and the demo must come out of it.
"""

import json
import os
import re
import subprocess
import sys
import urllib.request
from pathlib import Path
from zipfile import ZipFile

import pytest

import inkwitness
from tests.web.serving import server

ROOT = Path(__file__).parents[1]
DIST = ROOT / "web" / "dist"


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The wheel that `make wheel` makes."""
    assert (DIST / "index.html").is_file(), "The page is not built: run `make setup` first."
    out = tmp_path_factory.mktemp("dist")
    _run([sys.executable, "-m", "build", "--wheel", "--no-isolation", "--outdir", str(out), "."])
    (made,) = out.glob("*.whl")
    return made


@pytest.fixture(scope="module")
def installed(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with what the wheel holds, put there by pip and nothing else beside it."""
    folder = tmp_path_factory.mktemp("installed")
    pip = [sys.executable, "-m", "pip", "install", "--quiet", "--disable-pip-version-check"]
    _run([*pip, "--no-index", "--no-deps", "--no-compile", "--target", str(folder), str(wheel)])
    return folder


def _run(command: list[str], *, cwd: Path = ROOT, path: Path | None = None) -> str:
    env = {**os.environ, "INKWITNESS_THREADS": "1"}
    env.pop("PYTHONPATH", None)
    if path is not None:
        env["PYTHONPATH"] = str(path)
    done = subprocess.run(command, cwd=cwd, env=env, capture_output=True, text=True)
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


def test_the_version_stands_in_one_place(wheel: Path) -> None:
    assert wheel.name == f"inkwitness-{inkwitness.__version__}-py3-none-any.whl"
    written = [
        file.relative_to(ROOT).as_posix()
        for file in (ROOT / "pyproject.toml", ROOT / "web" / "package.json")
        if re.search(rf'"?version"? ?[:=] ?"{inkwitness.__version__}"', file.read_text("utf-8"))
    ]
    assert written == []


def test_the_wheel_holds_what_the_checkout_holds(wheel: Path) -> None:
    with ZipFile(wheel) as archive:
        names = set(archive.namelist())
    for inside, here in (("rules", "rules"), ("page", "web/dist"), ("sample_images",) * 2):
        folder = ROOT / here
        files = {f.relative_to(folder).as_posix() for f in folder.rglob("*") if f.is_file()}
        assert {f"inkwitness/{inside}/{file}" for file in files} <= names
    assert not [name for name in names if name.startswith(("server/", "tests/", "web/"))]


def test_the_demo_runs_from_the_wheel_alone(installed: Path, tmp_path: Path) -> None:
    """Set up, read and judge a sample with the networks, from a folder without a checkout."""
    where = "import inkwitness as i; print(i.__file__, *map(i.shipped_folder, i._SHIPPED))"
    told = _run([sys.executable, "-c", where], cwd=tmp_path, path=installed).split()
    assert [Path(file).is_relative_to(installed) for file in told] == [True] * 4
    demo = [sys.executable, "-m", "inkwitness", "serve", "--demo", "--once"]
    report = _run(demo, cwd=tmp_path, path=installed)
    assert "TC-84A-9621" in report  # invented; what tests/renderer drew into us-complete.jpg
    assert "To be confirmed" in report
    assert (tmp_path / "demo-data" / "inkwitness.sqlite").is_file()


def test_the_page_and_the_rules_are_served_from_the_wheel_alone(
    installed: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("PYTHONPATH", str(installed))
    reader = "inkwitness.check.reader:build"
    with server(tmp_path / "data", reader=reader, cwd=tmp_path, demo=False) as address:
        scripts = re.findall(r'<script[^>]* src="(/assets/[^"]+)"', _get(f"{address}/"))
        assert all(_get(f"{address}{script}") for script in scripts)
        assert scripts
        schemes = json.loads(_get(f"{address}/api/rules"))
    assert "us-niosh" in json.dumps(schemes)


def _get(url: str) -> str:
    with urllib.request.urlopen(url, timeout=60) as answer:
        return str(answer.read().decode())
