"""`inkwitness serve`: the page and the API on this machine."""

import os
from pathlib import Path
from typing import Annotated

import typer
import uvicorn

from inkwitness import rulebook
from inkwitness.api.app import create_app
from inkwitness.api.connections import MOST_CONNECTIONS, CarefulProtocol, log_settings
from inkwitness.api.settings import Settings
from inkwitness.check.pipeline import Checker, check_bytes
from inkwitness.cli import demo as demo_data
from inkwitness.cli.report import report_text
from inkwitness.reading.engines import load_readers


def serve(
    data: Annotated[
        Path | None,
        typer.Option(help="Folder for database and photos; by default data, or demo-data."),
    ] = None,
    host: Annotated[str, typer.Option(help="Address to listen on.")] = "127.0.0.1",
    port: Annotated[int, typer.Option(help="Port to listen on.")] = 8000,
    demo: Annotated[
        bool, typer.Option("--demo", help="Fill an empty store with the demo.")
    ] = False,
    log: Annotated[str, typer.Option(help="File for the log; by default it goes to stderr.")] = "",
    once: Annotated[bool, typer.Option("--once", help="Set up, check a sample, stop.")] = False,
) -> None:
    """Serve the page and the API; with --demo on the fictional list and its fixed date."""
    folder = data or Path("demo-data" if demo else "data")
    os.umask(0o077)
    demo_data.check_folder(folder, demo=demo)
    settings = Settings(data=folder, demo=demo, on=demo_data.DAY if demo else None)
    fresh = not (folder / demo_data.DONE).exists()
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
    uvicorn.run(
        create_app(settings),
        host=host,
        port=port,
        http=CarefulProtocol,
        log_config=log_settings(log),
        log_level="warning",
        access_log=False,
        server_header=False,
        limit_concurrency=MOST_CONNECTIONS,
        timeout_keep_alive=15,
        timeout_graceful_shutdown=30,
        h11_max_incomplete_event_size=32 * 1024,
    )
