"""`inkwitness records`: audit what is kept, keep its head elsewhere, back up, restore."""

import datetime as dt
import json
import sys
from contextlib import closing
from dataclasses import asdict
from pathlib import Path
from typing import Annotated

import typer

from inkwitness import phrases
from inkwitness.access import devices
from inkwitness.access.store import open_access
from inkwitness.api.settings import Settings
from inkwitness.cli.speaking import Lang, told
from inkwitness.errors import BadInput
from inkwitness.jobs.watch import MARKS
from inkwitness.records.integrity import backups
from inkwitness.records.integrity.audit import Audit, marks_of
from inkwitness.records.integrity.audit import audit as look
from inkwitness.records.integrity.heads import head_of, read_head
from inkwitness.records.store import ACCESS, look_at_store, open_store, refuse_no_folder
from inkwitness.use_cases import retention

app = typer.Typer(no_args_is_help=True, add_completion=False)
Data = Annotated[Path, typer.Option(help="Folder with database and photos.")]


@app.command()
def audit(
    data: Data = Path("data"),
    head: Annotated[
        str, typer.Option(help="A head kept elsewhere: a file, or the words on a report.")
    ] = "",
    since_last: Annotated[
        bool, typer.Option("--since-last", help="Only what came after the server's last look.")
    ] = False,
    lang: Lang = "en",
    as_json: Annotated[bool, typer.Option("--json", help="One JSON object.")] = False,
) -> None:
    """Say whether every row and file is as it was written. Reads only; a server may be running.

    Exit code 0: nothing was found; 1: something was, and it is named; 2: bad usage.
    """
    kept = read_head(_text_of(head)) if head else None
    marks = data / MARKS
    since = None
    if since_last:
        since = marks_of(marks.read_text(encoding="utf-8")) if marks.is_file() else {}
    with closing(look_at_store(data)) as store:
        done = look(store.database, store.files, since=since, kept=kept)
    if as_json:
        answer = {
            "head": done.head.head,
            "rows_under_head": done.head.rows,
            "rows": done.rows,
            "files": done.files,
            "found": [asdict(one) for one in done.found],
            "notes": done.notes,
        }
        print(json.dumps(answer))
    else:
        for one in done.found:
            print(f"{told('found')}  {one.says}")
        for note in done.notes:
            print(f"{told('note')}   {note}")
        print(told("looked_at", rows=done.rows, files=done.files, n=len(done.found)))
        _print_head(done)
    raise typer.Exit(1 if done.found else 0)


@app.command("head")
def export_head(
    data: Data = Path("data"),
    out: Annotated[Path | None, typer.Option(help="File to write; else it is printed.")] = None,
    lang: Lang = "en",
) -> None:
    """Write the head of the records as JSON, to keep where this folder's keepers cannot write."""
    with closing(look_at_store(data)) as store, store.database.reading() as conn:
        told = head_of(conn).as_json()
    if out is None:
        sys.stdout.write(told)
    else:
        out.write_text(told, encoding="utf-8")


@app.command()
def due(
    data: Data = Path("data"),
    remove: Annotated[
        bool, typer.Option("--remove", help="Remove the bytes of what is due and does not stay.")
    ] = False,
    on: Annotated[str, typer.Option(help="The day it is, YYYY-MM-DD; empty: by the clock.")] = "",
) -> None:
    """Photos whose time is over, by INKWITNESS_KEEP_SETTLED_DAYS and INKWITNESS_KEEP_OPEN_DAYS.

    Without --remove nothing is removed. Rows stay: hash, reason and the period's name. Where the
    clock is before the newest entry, or over 30 days after it, nothing is removed without --on.
    """
    periods = Settings().periods
    now = dt.datetime.now(dt.UTC)
    day = _day(on) if on else now.date()
    refuse_no_folder(data)
    with closing(open_store(data)) as store:
        with store.database.reading() as conn:
            if remove and not on:
                retention.refuse_odd_clock(conn, now)
            found = retention.due(conn, day, periods)
        made = retention.remove_due(store, periods, now, day) if remove else []
    say = phrases.shipped().of("en")
    for one in found:
        stays = one.stays.said(say) if one.stays is not None else "due"
        print(f"{one.photo_id}  {one.kind}, since {one.since}  {stays}".rstrip())
    stay = sum(one.stays is not None for one in found)
    print(
        f"{len(found)} photos are due, {stay} of them stay; the bytes of {len(made)} were removed."
    )
    if not periods.settled and not periods.open:
        print("No period is set: photos are kept without an end.")


@app.command()
def backup(
    target: Annotated[Path, typer.Argument(help="A folder that is not there yet.")],
    data: Data = Path("data"),
    lang: Lang = "en",
) -> None:
    """Copy database, accounts, policy and photos, each checked by its hash; a server may go on.

    The keys of the network stay where they are. Keep the copy as you keep the folder itself.
    """
    _print_copy(backups.back_up(data, target), target)


@app.command()
def restore(
    source: Annotated[Path, typer.Argument(help="A folder that `records backup` made.")],
    data: Data = Path("data"),
    lang: Lang = "en",
) -> None:
    """Put a backup into a new data folder, after looking at every row and file of it.

    Where people sign in, everybody signs in anew: what was taken back since is not known there.
    """
    signed_out: list[int] = []

    def prepare(folder: Path) -> None:
        if (folder / ACCESS).is_file():
            with closing(open_access(folder)) as access, access.writing() as conn:
                signed_out.append(devices.end_all(conn, dt.datetime.now(dt.UTC)))

    _print_copy(backups.restore(source, data, prepare), data)
    for count in signed_out:
        print(told("signed_out", n=count))


def _print_copy(made: Audit, folder: Path) -> None:
    print(told("copied", rows=made.rows, files=made.files, folder=str(folder)))
    _print_head(made)


def _print_head(done: Audit) -> None:
    print(f"{told('head')} {done.head.head}\n     {done.head.counts}")


def _day(text: str) -> dt.date:
    try:
        return dt.date.fromisoformat(text)
    except ValueError as error:
        raise BadInput("on_no_day") from error


def _text_of(head: str) -> str:
    path = Path(head)
    try:
        if path.is_file():
            return path.read_text(encoding="utf-8")
    except (OSError, ValueError) as error:
        raise BadInput("head_not_read", head=head) from error
    return head
