"""`inkwitness serve`: the page and the API on this machine."""

import os
from pathlib import Path
from typing import Annotated

import typer

from inkwitness import rulebook
from inkwitness.api.settings import Settings
from inkwitness.check.judge import Criteria
from inkwitness.check.outward import check_out
from inkwitness.check.pipeline import check_bytes
from inkwitness.check.reader import PhotoReader
from inkwitness.cli.report import report_text
from inkwitness.cli.serving import demo as demo_data
from inkwitness.cli.serving.listening import choose, listen
from inkwitness.cli.speaking import Lang, spoken


def serve(
    data: Annotated[
        Path | None,
        typer.Option(help="Folder for database and photos; by default data, or demo-data."),
    ] = None,
    host: Annotated[str, typer.Option(help="Address to listen on; this machine alone.")] = "",
    port: Annotated[int, typer.Option(help="Port to listen on.")] = 8000,
    demo: Annotated[
        bool, typer.Option("--demo", help="Fill an empty store with the demo.")
    ] = False,
    log: Annotated[str, typer.Option(help="File for the log; by default it goes to stderr.")] = "",
    once: Annotated[bool, typer.Option("--once", help="Set up, check a sample, stop.")] = False,
    network: Annotated[
        bool, typer.Option("--network", help="https for phones in the room, with accounts.")
    ] = False,
    accounts: Annotated[
        bool, typer.Option("--accounts", help="People sign in and have roles.")
    ] = False,
    outside: Annotated[
        str, typer.Option(help="Address of the proxy in front: https://ink.example")
    ] = "",
    proxy: Annotated[
        list[str] | None, typer.Option(help="Address from which the proxy comes; repeatable.")
    ] = None,
    lang: Lang = "en",
) -> None:
    """Serve the page and the API; with --demo on the fictional list and its fixed date."""
    how = choose(
        host, port, network=network, accounts=accounts, outside=outside, proxies=proxy or []
    )
    folder = data or Path("demo-data" if demo else "data")
    os.umask(0o077)
    demo_data.check_folder(folder, demo=demo)
    settings = Settings(data=folder, demo=demo, accounts=how.accounts, outside=how.outside)
    if demo:
        settings.on = demo_data.DAY
    fresh = not (folder / demo_data.DONE).exists()
    if demo and fresh:
        demo_data.fill(settings)
    if demo and (fresh or once):
        rules = rulebook.shipped()
        criteria = Criteria(rules, demo_data.demo_list())
        sample = demo_data.SAMPLES / demo_data.FIRST_SAMPLE
        circumstances = demo_data.circumstances_of(sample)
        data_of_it = sample.read_bytes()
        made = check_bytes(data_of_it, sample.name, PhotoReader(), criteria, circumstances)
        print(report_text(check_out(made, rules, lang), spoken()))
    if once:
        return
    listen(settings, how, log)
