"""Every command, setting, environment variable and route, written down from the program itself.

`python -m tests.reference` (`make reference`) writes `server/REFERENCE.md`; a test says where that
file is no longer what the program has.
"""

import re
import tempfile
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

import typer

from inkwitness.api.app import create_app
from inkwitness.api.guard.roles import ANYONE
from inkwitness.api.settings import Settings
from inkwitness.cli.main import app
from inkwitness.records.chain import ROLES

ROOT = Path(__file__).parents[1]
FILE = ROOT / "server" / "REFERENCE.md"
#: Variables that are no setting of the server, and what each does.
OTHERS = {
    "INKWITNESS_RULES": "folder of the rules; by default what came with the program",
    "INKWITNESS_THREADS": "threads of a reading process; by default one for each core",
    "INKWITNESS_API": "for `npm run dev` in `web/`: address of the server that answers `/api`",
    "INKWITNESS_CHROMIUM": "for the tests: the browser, by default `/usr/bin/chromium`",
}
_TOP = """# Commands, settings, routes

Made by `make reference` from the program; a test says when it is not up to date. What a command
needs is in capitals; `--help` says the same.
"""


def commands() -> Iterator[tuple[str, Any]]:
    """Each command with its whole name, in the order of `--help`."""
    yield from _commands(typer.main.get_command(app), "inkwitness")


def _commands(command: Any, name: str) -> Iterator[tuple[str, Any]]:
    inside = getattr(command, "commands", {})
    if not inside:
        yield name, command
    for part, one in inside.items():
        yield from _commands(one, f"{name} {part}")


def routes() -> Iterator[tuple[str, str, dict[str, Any]]]:
    """Method, path and description of each route of the API, in order of the path."""
    with tempfile.TemporaryDirectory() as folder:
        told = create_app(Settings(data=Path(folder))).openapi()
    for path, methods in sorted(told["paths"].items()):
        for method, about in methods.items():
            yield method.upper(), path, about


def reference() -> str:
    """The whole text."""
    parts = [_TOP, "## Commands\n"]
    parts += [_command(name, command) for name, command in commands()]
    parts.append("## Settings of the server\n")
    rows = []
    for name, field in Settings.model_fields.items():
        default = "" if field.default in (None, "") else f"`{field.default}`"
        rows.append((f"`INKWITNESS_{name.upper()}`", default, field.description or ""))
    parts.append(_table(("variable", "default", "what it is"), rows))
    parts.append("## Other variables\n")
    parts.append(
        _table(("variable", "what it is"), [(f"`{name}`", text) for name, text in OTHERS.items()])
    )
    parts.append("## Routes of the API\n")
    parts.append(
        "Shapes and fields stand at `/api/docs` of a running server. Who may ask matters where "
        "people sign in; without accounts whoever is at the machine has every role.\n"
    )
    asked = [
        (f"`{method}`", f"`{path}`", _first_sentence(about), _who(about))
        for method, path, about in routes()
    ]
    parts.append(_table(("", "path", "what it does", "who may ask"), asked))
    return "\n".join(parts)


def _command(name: str, command: Any) -> str:
    text = f"### `{name}`\n\n{' '.join((command.help or '').split())}\n"
    rows = []
    for one in command.params:
        if one.param_type_name == "argument":
            shown = f"`{(one.metavar or one.name).upper()}`"
        else:
            shown = ", ".join(f"`{opt}`" for opt in (*one.opts, *one.secondary_opts))
        variable = f" (or `{one.envvar}`)" if one.envvar else ""
        rows.append((shown, f"{one.help or ''}{variable}"))
    return f"{text}\n{_table(('argument', 'what it is'), rows)}" if rows else text


def _first_sentence(about: dict[str, Any]) -> str:
    text = " ".join((about.get("description") or about.get("summary") or "").split())
    return re.split(r"(?<=[.;]) (?=[A-Z])", text)[0]


def _who(about: dict[str, Any]) -> str:
    named = about.get("x-roles", [])
    if set(named) == set(ROLES):
        return "every role"
    return "anyone" if ANYONE in named else ", ".join(role.replace("_", " ") for role in named)


def _table(head: tuple[str, ...], rows: Sequence[tuple[str, ...]]) -> str:
    lines = [head, tuple("---" for _ in head), *rows]
    return "".join("| " + " | ".join(_cell(one) for one in line) + " |\n" for line in lines)


def _cell(text: str) -> str:
    return text.replace("|", "\\|").replace("\n", " ")


if __name__ == "__main__":
    FILE.write_text(reference(), encoding="utf-8")
