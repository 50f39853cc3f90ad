"""`inkwitness people`: help from the machine itself for a house that is locked out."""

import datetime as dt
from pathlib import Path
from typing import Annotated

import typer

from inkwitness.cli.serving.listening import first_link
from inkwitness.cli.speaking import Lang
from inkwitness.errors import BadInput

app = typer.Typer(no_args_is_help=True, help="Accounts, from this machine.")


@app.callback()
def _group() -> None:
    """Accounts, from this machine."""


@app.command("link")
def link(
    address: Annotated[str, typer.Argument(help="As you open the page: https://ink.example")],
    data: Annotated[Path, typer.Option(help="Folder for database and photos.")] = Path("data"),
    lang: Lang = "en",
) -> None:
    """Print a link that makes an administrator, once and within a day.

    For when every administrator has lost their devices and passwords. It takes whoever may read
    the data folder on this machine; that it was used is kept among the events.
    """
    if not data.is_dir():
        raise BadInput("no_folder", folder=str(data))
    print(first_link(data, address.rstrip("/"), dt.datetime.now(dt.UTC)))
