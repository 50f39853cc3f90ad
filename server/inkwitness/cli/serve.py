"""`inkwitness serve`: the page and the API on this machine."""

from pathlib import Path
from typing import Annotated

import typer
import uvicorn

from inkwitness import rulebook
from inkwitness.api.app import create_app
from inkwitness.api.gate import is_loopback
from inkwitness.api.settings import Settings
from inkwitness.check.pipeline import Checker, check_bytes
from inkwitness.cli import demo as demo_data
from inkwitness.cli.report import report_text
from inkwitness.errors import BadInput
from inkwitness.reading.engines import load_readers


def serve(
    data: Annotated[Path, typer.Option(help="Folder for database and photos.")] = Path("data"),
    host: Annotated[str, typer.Option(help="Address to listen on.")] = "127.0.0.1",
    port: Annotated[int, typer.Option(help="Port to listen on.")] = 8000,
    demo: Annotated[
        bool, typer.Option("--demo", help="Fill an empty store with the demo.")
    ] = False,
    once: Annotated[bool, typer.Option("--once", help="Set up, check a sample, stop.")] = False,
) -> None:
    """Serve the page and the API; with --demo on the fictional list and its fixed date."""
    if not is_loopback(host):
        raise BadInput(
            f"--host {host}: accounts are off, and whoever reaches this server has every role. It "
            "listens on this machine alone (127.0.0.1)."
        )
    settings = Settings(data=data, demo=demo, on=demo_data.DAY if demo else None)
    fresh = not (data / demo_data.DONE).exists()
    if demo and fresh:
        demo_data.fill(settings)
    if demo and (fresh or once):
        checker = Checker(load_readers(), rulebook.load(), demo_data.demo_list())
        sample = demo_data.SAMPLES / demo_data.FIRST_SAMPLE
        circumstances = demo_data.circumstances_of(sample)
        print(
            report_text(check_bytes(sample.read_bytes(), sample.name, checker, circumstances).out)
        )
    if once:
        return
    print(f"Inkwitness is at http://{host}:{port}/   (stop with Ctrl-C)", flush=True)
    uvicorn.run(create_app(settings), host=host, port=port, log_level="warning")
