"""Everything that can be set or asked for is documented, and nothing else is."""

import re
from pathlib import Path

from inkwitness.api.settings import Settings
from tests import reference

ROOT = Path(__file__).parents[1]
WRITTEN = reference.FILE.read_text(encoding="utf-8")
_SOURCES = ("server", "tests", "web/src", "web/vite.config.ts", "Makefile", ".ci")


def _variables() -> set[str]:
    """Every variable of ours that stands in a source, whole (not the prefix alone)."""
    found: set[str] = set()
    for name in _SOURCES:
        top = ROOT / name
        for file in [top] if top.is_file() else top.rglob("*"):
            if file.suffix in (".py", ".ts", ".tsx", ".md", ".sh", "") and file.is_file():
                found |= set(re.findall(r"INKWITNESS_[A-Z][A-Z_]*[A-Z]\b", file.read_text("utf-8")))
    return found - {"INKWITNESS_NAME"}  # stands for any of them


def test_the_reference_is_what_the_program_has() -> None:
    assert reference.reference() == WRITTEN, "Run `make reference` and look at what changed."


def test_every_variable_that_a_source_names_is_documented() -> None:
    assert len(_variables()) > 10
    assert {name for name in _variables() if f"`{name}`" not in WRITTEN} == set()


def test_every_command_option_setting_and_route_says_what_it_is() -> None:
    """An empty cell in a table would be a thing with a name and no word on it."""
    for _, command in reference.commands():
        assert command.help
        assert [one.name for one in command.params if not one.help and one.name != "help"] == []
    for method, path, about in reference.routes():
        assert about.get("description"), f"{method} {path}"
        assert about.get("x-roles"), f"{method} {path}"
    assert [n for n, f in Settings.model_fields.items() if not f.description] == []


def test_readers_are_led_to_the_reference() -> None:
    for name in ("README.md", "DEVELOPERS.md", "server/OPERATING.md"):
        assert "REFERENCE.md" in (ROOT / name).read_text(encoding="utf-8"), name
