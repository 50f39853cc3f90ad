"""`inkwitness report`, `pack`, `labels`, `message`: what leaves the house, from the data folder.

Whatever is given to somebody is written down in the records, as the page does it.
"""

import datetime as dt
import getpass
import json
import sys
from contextlib import closing
from pathlib import Path
from typing import Annotated, Literal

import typer
from sqlalchemy import Connection

from inkwitness import phrases, rulebook
from inkwitness.api.settings import Settings
from inkwitness.consignment.gate import Terms
from inkwitness.errors import BadInput
from inkwitness.holders.ended import ended_on
from inkwitness.records import lists
from inkwitness.records.chain import WriteContext, local_actor
from inkwitness.records.store import look_at_store, new_id, open_store
from inkwitness.reports import pdf
from inkwitness.reports.consignment import consignment_report
from inkwitness.reports.fonts import find_fonts
from inkwitness.reports.goods.table import as_csv
from inkwitness.reports.outgoing import labels as labels_drawn
from inkwitness.reports.outgoing.labels import Paper
from inkwitness.reports.outgoing.messages import Addressee, message
from inkwitness.reports.pack import verify_pack
from inkwitness.reports.pack.make import make_pack
from inkwitness.rulebook import policy as policies
from inkwitness.rulebook.policy import Policy
from inkwitness.use_cases import dispatches, overview
from inkwitness.use_cases.dispatches import Dispatch, Party, Recipient
from inkwitness.use_cases.look_ups import Attachment

pack_app = typer.Typer(no_args_is_help=True, add_completion=False)

Consignment = Annotated[str, typer.Argument(help="Id of the consignment.")]
Data = Annotated[Path, typer.Option(envvar="INKWITNESS_DATA", help="The data folder.")]
Lang = Annotated[str, typer.Option("--lang", help="Language: en, es, fr, hi or pt.")]
Out = Annotated[Path, typer.Option(help="File to write.")]
By = Annotated[str, typer.Option("--by", help="Your name; else that of your account.")]


def report(
    consignment: Consignment,
    out: Out,
    data: Data = Path("data"),
    lang: Lang = "en",
) -> None:
    """Write the report of a consignment: PDF, JSON or CSV, by the ending of the file."""
    say, now = phrases.shipped().of(lang), dt.datetime.now(dt.UTC)
    if out.suffix not in (".pdf", ".json", ".csv"):
        raise BadInput("report_ending", file=str(out))
    with closing(look_at_store(data)) as store, store.database.reading() as conn:
        document = consignment_report(
            conn,
            store.files,
            rulebook.shipped(),
            consignment,
            now,
            _terms(conn, now),
            _policy(data),
            say,
        )
        if out.suffix == ".pdf":
            made = pdf.draw(document, find_fonts(Settings().font, lang))
        elif out.suffix == ".json":
            made = json.dumps(document.as_json(), ensure_ascii=False).encode()
        else:
            made = as_csv(document, say)
    out.write_bytes(made)


@pack_app.command("make")
def make(
    consignment: Consignment,
    out: Out,
    to: Annotated[str, typer.Option(help="To whom it is given: a name or an office.")],
    party: Annotated[str, typer.Option(help="authority, holder, supplier, manager, other.")],
    by: By = "",
    originals: Annotated[
        bool, typer.Option("--originals", help="With photos as they came; you choose so.")
    ] = False,
    data: Data = Path("data"),
    lang: Lang = "en",
) -> None:
    """Make an evidence pack, and write down to whom it is given. Its seal is printed."""
    say, now = phrases.shipped().of(lang), dt.datetime.now(dt.UTC)
    context = WriteContext(local_actor(by or getpass.getuser()), now)
    fonts = find_fonts(Settings().font, lang)
    recipient = Recipient(_party(party), to)
    with closing(open_store(data)) as store:
        with store.database.reading() as conn:
            made = make_pack(
                conn,
                store.files,
                rulebook.shipped(),
                consignment,
                out,
                _terms(conn, now),
                _policy(data),
                say,
                lambda document: pdf.draw(document, fonts),
                by=context.actor.name,
                made_at=now,
                originals=originals,
            )
        manifest = made.bagged.manifest.encode()
        kept = Attachment(
            store.files.keep_sent(manifest), "manifest-sha256.txt", "text/plain", len(manifest)
        )
        given = Dispatch(
            kind="pack",
            recipients=(recipient,),
            on=now.date(),
            language=lang,
            files=(kept,),
            whole=made.bagged.sha256,
            originals=originals,
        )
        with store.database.writing() as conn:
            dispatches.keep(
                conn, new_id(), given, context, _terms(conn, now), consignment_id=consignment
            )
    for one in made.left_out:
        print(f"note   {one}")
    print(f"{made.bagged.files} files, {made.bagged.size} bytes: {out}")
    print(f"Seal {made.bagged.seal}")


@pack_app.command("verify")
def verify(
    pack: Annotated[Path, typer.Argument(help="A pack: its zip file, or the folder.")],
    seal: Annotated[str, typer.Option(help="64 digits that were written down elsewhere.")] = "",
) -> None:
    """Say whether a pack is as it was made: 0 nothing was found, 1 something was, 2 no pack."""
    raise typer.Exit(verify_pack.main([str(pack), "--seal", seal]))


def labels(
    consignment: Consignment,
    out: Out,
    address: Annotated[str, typer.Option(help="Of the server, for the QR code.")],
    size: Annotated[str, typer.Option(help="a4, a6, 100x50, or millimetres such as 90x60.")] = "a6",
    paper: Annotated[str, typer.Option(help="a4: sheets; own: pages of the label's size.")] = "a4",
    each: Annotated[str, typer.Option(help="one, or one for each carton.")] = "one",
    also: Annotated[str, typer.Option(help="A second language beside the first.")] = "",
    contact: Annotated[str, typer.Option(help="Whom to ask.")] = "",
    data: Data = Path("data"),
    lang: Lang = "en",
) -> None:
    """Write labels for a consignment on hold as PDF."""
    say, now = phrases.shipped().of(lang), dt.datetime.now(dt.UTC)
    where: Paper = "a4" if paper == "a4" else "own"
    which: Literal["one", "carton"] = "carton" if each == "carton" else "one"
    with closing(look_at_store(data)) as store, store.database.reading() as conn:
        found = overview.of_consignment(conn, consignment, _terms(conn, now))
    link = f"{address.rstrip('/')}/#/consignment/{consignment}"
    wanted = labels_drawn.labels_of(found, link, say, each=which, contact=contact)
    languages = [one for one in (lang, also) if one]
    fonts = find_fonts(Settings().font, "hi" if "hi" in languages else lang)
    measures = labels_drawn.size_of(size)
    out.write_bytes(labels_drawn.draw_labels(wanted, measures, where, fonts, languages, now))


def write_message(
    consignment: Consignment,
    to: Annotated[str, typer.Argument(help="supplier, authority, holder or body.")],
    by: By = "",
    note: Annotated[str, typer.Option(help="A paragraph of your own.")] = "",
    data: Data = Path("data"),
    lang: Lang = "en",
) -> None:
    """Print a neutral message about a consignment, to copy. Nothing is sent."""
    say, now = phrases.shipped().of(lang), dt.datetime.now(dt.UTC)
    known: dict[str, Addressee] = {
        "supplier": "supplier",
        "authority": "authority",
        "holder": "holder",
        "body": "body",
    }
    if to not in known:
        raise BadInput("no_message_to", to=to, known=", ".join(known))
    with closing(look_at_store(data)) as store, store.database.reading() as conn:
        found = overview.of_consignment(conn, consignment, _terms(conn, now))
        made = message(
            conn,
            found,
            rulebook.shipped(),
            known[to],
            say,
            by=by or getpass.getuser(),
            on=now.date(),
            note=note,
        )
    typer.echo(made.address, err=True)
    sys.stdout.write(f"{made.subject}\n\n{made.text}")


def _party(text: str) -> Party:
    known: dict[str, Party] = {
        "supplier": "supplier",
        "holder": "holder",
        "authority": "authority",
        "manager": "manager",
        "store": "store",
        "other": "other",
    }
    if text not in known:
        raise BadInput("bad_party", known=", ".join(known))
    return known[text]


def _policy(data: Path) -> Policy:
    """What this site wants where: its own file, or the example that came with the program."""
    return policies.load(policies.find(data, Settings().policy))


def _terms(conn: Connection, now: dt.datetime) -> Terms:
    """What a release waits for, by the settings of this machine."""
    ended = ended_on(lists.current(conn), now.date())
    return Settings().terms(rulebook.shipped().schemes, now.date(), ended)
