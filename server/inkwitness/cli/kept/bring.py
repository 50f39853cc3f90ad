"""`inkwitness import`: a folder of photos kept and read; run again, it goes on where it ended."""

import asyncio
import datetime as dt
import sys
import time
from collections import Counter
from collections.abc import Sequence
from pathlib import Path
from typing import Annotated, Literal

import typer
from rich.console import Console
from rich.progress import Progress
from sqlalchemy import select

from inkwitness import phrases
from inkwitness.api.app import create_app
from inkwitness.api.deps import Services
from inkwitness.api.room import check_room
from inkwitness.api.routes.photos import take
from inkwitness.api.settings import Settings
from inkwitness.errors import BadInput, NotAPhoto, TooLarge
from inkwitness.findings.values import Surface, Whole
from inkwitness.jobs import queue as jobs
from inkwitness.photo.served import MAX_BYTES, too_many_bytes
from inkwitness.phrases import Language, Phrases
from inkwitness.records import chain, units
from inkwitness.records.chain import WriteContext, local_actor
from inkwitness.records.store import new_id
from inkwitness.records.tables import photos as photos_table
from inkwitness.records.tables import units as units_table
from inkwitness.use_cases.photos import Sent
from inkwitness.use_cases.stores.folders import Brought, files_of

Per = Literal["file", "folder"]


def bring(
    folder: Annotated[Path, typer.Argument(help="Folder with photos, and folders in it.")],
    by: Annotated[str, typer.Option(help="Who brings them: a name.")],
    per: Annotated[
        Per, typer.Option(help="A unit is each file, or all files of one folder.")
    ] = "file",
    surface: Annotated[Surface, typer.Option(help="What the photos show.")] = "facepiece",
    whole: Annotated[Whole, typer.Option(help="Is all of it in the photo?")] = "unknown",
    consignment: Annotated[str, typer.Option(help="Id of a consignment to put them under.")] = "",
    data: Annotated[Path, typer.Option(help="Folder with database and photos.")] = Path("data"),
    read: Annotated[
        bool, typer.Option("--read/--no-read", help="Read them now, or when a server starts.")
    ] = True,
    lang: Annotated[Language, typer.Option(help="Language of what is said.")] = "en",
) -> None:
    """Keep every photo of a folder and have it read. Run again, it goes on where it ended: a photo
    whose bytes are kept already is left out.

    No server may use the data folder meanwhile. Look first that no face, name or badge is in the
    pictures. Exit code 0: every file is kept (and read); 2: bad usage, or a file that is no photo
    (the others are kept); 3: a fault.
    """
    if not by.strip():
        raise BadInput("bring_by_missing")
    found = files_of(folder)
    if not found:
        raise BadInput("folder_no_file", folder=str(folder))
    told = Sent("", "", "", surface=surface, whole=whole, consignment_id=consignment or None)
    say = phrases.shipped().of(lang)
    app = create_app(Settings(data=data))

    async def work() -> int:
        async with app.router.lifespan_context(app):
            return _work(app.state.services, found, told, per, by, say, read=read)

    raise typer.Exit(asyncio.run(work()))


def _work(
    services: Services,
    found: Sequence[Brought],
    told: Sent,
    per: Per,
    by: str,
    say: Phrases,
    *,
    read: bool,
) -> int:
    kept: list[str] = []
    refused = already = 0
    context = WriteContext(local_actor(by), dt.datetime.now(dt.UTC))
    unit_of = _begun(services, found, per)
    with _progress() as bar:
        keeping = bar.add_task(say("bring.keeping"), total=len(found))
        for one in found:
            bar.advance(keeping)
            try:
                photo_id, new = _keep(services, one, told, per, unit_of, context)
            except (NotAPhoto, TooLarge) as problem:
                print(f"inkwitness: {one.name}: {problem.message}", file=sys.stderr)
                refused += 1
                continue
            kept.append(photo_id)
            already += not new
        if read:
            _wait(services, kept, bar, say)
    _tell(services, kept, say)
    print(say("bring.done", kept=len(kept) - already, already=already, refused=refused))
    return 2 if refused else 0


def _begun(services: Services, found: Sequence[Brought], per: Per) -> dict[str, str]:
    """The units of an earlier run: by the bytes of their photos, where the label is the same too.

    The same picture may lie in two folders; that makes them no one unit.
    """
    begun: dict[str, str] = {}
    if per == "file":
        return begun
    with services.store.database.reading() as conn:
        for one in found:
            if one.path.stat().st_size > MAX_BYTES:
                continue
            sha256 = one.sha256(one.path.read_bytes())
            wanted = select(photos_table.c.unit_id).where(photos_table.c.sha256 == sha256)
            for unit_id in conn.execute(wanted).scalars():
                if chain.get(conn, units_table, unit_id).content["label"] == _group(one, per):
                    begun.setdefault(_group(one, per), unit_id)
    return begun


def _group(one: Brought, per: Per) -> str:
    """What a file's unit is called."""
    return (one.name if per == "file" else one.folder)[-200:]


def _keep(
    services: Services,
    one: Brought,
    told: Sent,
    per: Per,
    unit_of: dict[str, str],
    context: WriteContext,
) -> tuple[str, bool]:
    """The photo's id, and whether it is new: bytes that are kept already are left as they are."""
    if one.path.stat().st_size > MAX_BYTES:
        raise too_many_bytes("photo")
    data = one.path.read_bytes()
    group = _group(one, per)
    with services.store.database.reading() as conn:
        wanted = select(photos_table.c.id).where(photos_table.c.sha256 == one.sha256(data))
        same = conn.execute(wanted).scalar()
    if same is not None:
        return same, False
    check_room(services)
    sent = Sent(
        photo_id=new_id(),
        unit_id=unit_of.setdefault(group, new_id()),
        name=one.path.name[-120:],
        surface=told.surface,
        whole=told.whole,
        label=group,
        consignment_id=told.consignment_id,
    )
    take(services, sent, data, context)
    return sent.photo_id, True


def _wait(services: Services, photo_ids: Sequence[str], bar: Progress, say: Phrases) -> None:
    """Wait until each of these photos was read, or given up."""
    reading = bar.add_task(say("bring.reading"), total=len(photo_ids))
    left = list(photo_ids)
    while left:
        with services.store.database.reading() as conn:
            left = [id_ for id_ in left if jobs.of_photo(conn, id_).state not in ("done", "failed")]
        bar.update(reading, completed=len(photo_ids) - len(left))
        if left:
            time.sleep(0.5)


def _tell(services: Services, photo_ids: Sequence[str], say: Phrases) -> None:
    """A line a unit: how it stands, its id and label; then how many stand so."""
    with services.store.database.reading() as conn:
        photos = chain.get_all(conn, photos_table, photo_ids)
        ids = list(dict.fromkeys(photos[id_].content["unit_id"] for id_ in photo_ids))
        made = units.summaries(conn, ids) if ids else []
    counts: Counter[str] = Counter()
    for unit in made:
        state = say(f"state.{unit.outcome}") if unit.outcome else say("find.not_read")
        counts[state] += 1
        print(f"{unit.unit_id}  {state}  {unit.label}")
    for state, count in counts.most_common():
        print(f"{count:>7}  {state}")


def _progress() -> Progress:
    console = Console(stderr=True)
    return Progress(console=console, disable=not console.is_terminal)
