"""`inkwitness holders`: the user's list of approval holders, from files and in the data folder."""

import datetime as dt
import getpass
import json
from dataclasses import asdict
from pathlib import Path
from typing import Annotated

import typer

from inkwitness import rulebook
from inkwitness.cli.check import date_of
from inkwitness.cli.speaking import Lang, spoken, told
from inkwitness.errors import BadInput, NotFound
from inkwitness.holders import match
from inkwitness.holders.editions import Change, difference
from inkwitness.holders.files import exporting, importing, own_json
from inkwitness.holders.files.columns import ColumnMap
from inkwitness.holders.files.importing import Preview
from inkwitness.holders.files.rows import Problem, RowRules
from inkwitness.holders.lookup import entries_of
from inkwitness.holders.values import HolderEntry, HolderList, NearMatch
from inkwitness.records import lists
from inkwitness.records.chain import WriteContext, local_actor
from inkwitness.records.store import DATABASE, Store, new_id, open_store

app = typer.Typer(no_args_is_help=True)

Data = Annotated[Path, typer.Option(envvar="INKWITNESS_DATA", help="The data folder.")]
Json = Annotated[bool, typer.Option("--json", help="One JSON object instead of sentences.")]
Mapping = Annotated[
    list[str] | None,
    typer.Option("--map", help="field=Header of the file, or field=#C for column C."),
]
Fixed = Annotated[
    list[str] | None, typer.Option("--set", help="field=value, the same in every row.")
]
_SHOWN = 20


@app.command("import")
def import_(
    file: Annotated[Path, typer.Argument(help="CSV, XLSX, or JSON exported from here.")],
    maps: Mapping = None,
    fixed: Fixed = None,
    sheet: Annotated[str | None, typer.Option(help="Name of the sheet; the first if none.")] = None,
    header_row: Annotated[
        int | None, typer.Option(min=1, help="Row of the header; found if not given.")
    ] = None,
    name: Annotated[str | None, typer.Option(help="Name of the list.")] = None,
    checked_on: Annotated[
        str | None, typer.Option(help="Day on which the list was compared with its sources.")
    ] = None,
    dry_run: Annotated[bool, typer.Option(help="Show what is wrong and what changes.")] = False,
    accept: Annotated[bool, typer.Option(help="Make the next edition of it.")] = False,
    actor: Annotated[str | None, typer.Option(help="Your name, kept with the edition.")] = None,
    on: Annotated[str | None, typer.Option(help="Day of the import; today if none.")] = None,
    data: Data = Path("data"),
    lang: Lang = "en",
    as_json: Json = False,
) -> None:
    """Look at a file, and with --accept make the next edition of the list of it.

    Exit code 0: no error in the file; 1: nothing stored, because of doubts that nobody accepted;
    2: an error in the file, and the list is as it was.
    """
    now = dt.datetime.now(dt.UTC)
    book = rulebook.load()
    rules = RowRules(
        schemes=[scheme.scheme for scheme in book.schemes],
        grammars=book.grammars,
        on=_day(on) or now.astimezone().date(),
    )
    mapping = ColumnMap(_pairs(maps, "--map"), _pairs(fixed, "--set"), header_row)
    found = importing.preview(_bytes(file), mapping=mapping, sheet=sheet, rules=rules)
    base = _in_force(data)
    changes: tuple[Change, ...] = ()
    if not found.errors:
        proposed = importing.list_of(
            found,
            name=name or (base.name if base else file.stem),
            checked_on=_day(checked_on),
            fictional=False if base is not None and not base.fictional else None,
        )
        kept = base.entries if base is not None and base.fictional == proposed.fictional else ()
        changes = difference(kept, proposed.entries)
    if as_json:
        print(json.dumps(_preview_json(found, changes), ensure_ascii=False))
    else:
        print(_preview_text(file, found, changes))
    if found.errors:
        raise typer.Exit(2)
    if dry_run or not accept:
        if not as_json:
            print(told("nothing_stored" if dry_run else "nothing_stored_yet"))
        raise typer.Exit(1 if found.doubts and not dry_run else 0)
    store = open_store(data)
    try:
        context = WriteContext(local_actor(actor or getpass.getuser()), now)
        note = f"from {file.name}"
        proposal, _ = lists.propose_in(store.database, new_id(), proposed, context, note=note)
        edition, _ = lists.accept_in(store.database, new_id(), proposal.id, context)
        if not as_json:
            number, its_name = edition.content["edition"], edition.content["name"]
            print(told("stored_as", edition=number, name=its_name))
    finally:
        store.close()


@app.command()
def export(
    file: Annotated[Path, typer.Argument(help="File to write: .csv, .xlsx or .json.")],
    edition: Annotated[int | None, typer.Option(help="Number; the one in force if none.")] = None,
    source: Annotated[
        Path | None, typer.Option("--from", help="A list file instead of the data folder.")
    ] = None,
    data: Data = Path("data"),
    lang: Lang = "en",
) -> None:
    """Write an edition to a file. No cell of it can run as a formula."""
    kinds: dict[str, exporting.Format] = {
        ".csv": "csv",
        ".xlsx": "xlsx",
        ".json": "json",
    }
    kind = kinds.get(file.suffix.lower())
    if kind is None:
        raise BadInput("no_kind_of_list", suffix=file.suffix)
    holder_list = _list(data, edition, source)
    try:
        file.write_bytes(exporting.export(holder_list, kind))
    except OSError as error:
        raise BadInput("file_not_written", file=str(file), why=error.strerror) from error
    n = len(holder_list.entries)
    print(told("exported", n=n, title=_title(holder_list), file=str(file)))


@app.command()
def diff(
    old: Annotated[str, typer.Argument(help="Edition number or list file.")],
    new: Annotated[str, typer.Argument(help="Edition number or list file.")],
    data: Data = Path("data"),
    lang: Lang = "en",
    as_json: Json = False,
) -> None:
    """What differs between two editions or files. Exit code 1 where anything does."""
    changes = difference(_any(old, data).entries, _any(new, data).entries)
    if as_json:
        print(json.dumps([change_json(change) for change in changes], ensure_ascii=False))
    else:
        print("\n".join(_change_text(change) for change in changes) or told("no_difference"))
    raise typer.Exit(1 if changes else 0)


@app.command()
def check(
    numbers: Annotated[list[str], typer.Argument(help="Numbers as they are printed.")],
    scheme: Annotated[str | None, typer.Option(help="Only in this scheme, such as us-niosh.")] = (
        None
    ),
    source: Annotated[
        Path | None, typer.Option("--from", help="A list file instead of the data folder.")
    ] = None,
    data: Data = Path("data"),
    lang: Lang = "en",
    as_json: Json = False,
) -> None:
    """Look numbers up: the entry of exactly this number, or what is near and not equal.

    Exit code 0: every number is on the list; 1: some are not. Being on the list is no proof of
    anything about a unit that bears the number.
    """
    holder_list = _list(data, None, source)
    missing = False
    answers = []
    for number in numbers:
        entries = entries_of(holder_list, number, scheme or "")
        near = (
            ()
            if entries
            else match.near_numbers(number, holder_list, schemes=(scheme,) if scheme else ())
        )
        missing = missing or not entries
        answers.append(
            {
                "number": number,
                "entries": [own_json.content_of(entry) for entry in entries],
                "near": [asdict(hit) for hit in near],
            }
        )
        if not as_json:
            print(_answer_text(number, entries, near))
    title = _title(holder_list)
    if as_json:
        print(json.dumps({"list": title, "answers": answers}, ensure_ascii=False))
    else:
        print(told("looked_up_in", title=title))
    raise typer.Exit(1 if missing else 0)


def change_json(change: Change) -> dict[str, object]:
    """A change as plain JSON values."""
    return {
        "kind": change.kind,
        "key": change.key,
        "before": own_json.content_of(change.before) if change.before else None,
        "after": own_json.content_of(change.after) if change.after else None,
        "fields": [asdict(field) for field in change.fields],
    }


def _pairs(given: list[str] | None, option: str) -> dict[str, str]:
    pairs = {}
    for text in given or ():
        field, sign, value = text.partition("=")
        if not sign or not field.strip() or not value.strip():
            raise BadInput("not_field_value", option=option, text=text)
        pairs[field.strip()] = value.strip()
    return pairs


def _bytes(file: Path) -> bytes:
    try:
        return file.read_bytes()
    except OSError as error:
        raise BadInput("file_not_opened", file=str(file), why=error.strerror) from error


def _day(text: str | None) -> dt.date | None:
    return None if text is None else date_of(text)


def _in_force(data: Path) -> HolderList | None:
    """The edition in force; a folder without a database has none, and is not made here."""
    if not (data / DATABASE).is_file():
        return None
    store = open_store(data)
    try:
        with store.database.reading() as conn:
            return lists.current(conn)
    finally:
        store.close()


def _list(data: Path, edition: int | None, source: Path | None) -> HolderList:
    if source is not None:
        return importing.read_csv(source)
    if (data / DATABASE).is_file():
        store: Store = open_store(data)
        try:
            with store.database.reading() as conn:
                found = lists.edition(conn, edition) if edition else lists.current(conn)
        finally:
            store.close()
        if found is not None:
            return found
    raise NotFound("no_list_in", folder=str(data))


def _any(text: str, data: Path) -> HolderList:
    if text.isdecimal():
        return _list(data, int(text), None)
    return importing.read_csv(Path(text))


def _title(holder_list: HolderList) -> str:
    parts = [holder_list.name]
    if holder_list.edition is not None:
        parts.append(told("edition", number=holder_list.edition))
    day = holder_list.checked_on
    parts.append(told("checked_on", day=day.isoformat()) if day else told("never_checked"))
    return ", ".join(parts) + (" FICTIONAL" if holder_list.fictional else "")


def _preview_json(found: Preview, changes: tuple[Change, ...]) -> dict[str, object]:
    return {
        "rows": found.rows,
        "entries": len(found.entries),
        "header_row": found.header_row,
        "columns": dict(found.columns),
        "notes": list(found.notes),
        "problems": [_problem_json(problem) for problem in found.problems],
        "changes": [change_json(change) for change in changes],
    }


def _problem_json(problem: Problem) -> dict[str, object]:
    return {
        "row": problem.row,
        "column": problem.column,
        "level": problem.level,
        "message": problem.why.said(spoken()),
        "value": problem.value,
    }


def _preview_text(file: Path, found: Preview, changes: tuple[Change, ...]) -> str:
    lines = [f"{file.name}: {'; '.join(found.notes)}"]
    if found.header_row:
        lines.append(told("header_in", row=found.header_row))
    lines += [
        f"  {told('field_from', field=name, column=column)}" for name, column in found.columns
    ]
    lines.append(told("rows_and_entries", rows=found.rows, entries=len(found.entries)))
    for level, problems in (("errors", found.errors), ("doubts", found.doubts)):
        lines += _some(level, [problem.sentence.said(spoken()) for problem in problems])
    if found.errors:
        return "\n".join([*lines, told("file_with_error")])
    for kind in ("added", "changed", "absent"):
        lines += _some(kind, [_change_text(change) for change in changes if change.kind == kind])
    if not changes:
        lines.append(told("no_difference_in_force"))
    return "\n".join(lines)


def _some(key: str, all_: list[str]) -> list[str]:
    """How many there are, the first of them, and how many more; nothing where there is none."""
    if not all_:
        return []
    lines = [told(key, n=len(all_)), *(f"  {one}" for one in all_[:_SHOWN])]
    if len(all_) > _SHOWN:
        lines.append(f"  {told('more', n=len(all_) - _SHOWN)}")
    return lines


def _change_text(change: Change) -> str:
    entry = change.after or change.before
    assert entry is not None
    sign = {"added": "+", "changed": "~", "absent": "-"}[change.kind]
    number = entry.approval_number or entry.certificate_number or "; ".join(entry.models)
    text = f"{sign} {entry.scheme} {number} {entry.holder}"
    for field in change.fields:
        before, after = field.before or told("empty"), field.after or told("empty")
        text += f"\n      {field.field}: {before} -> {after}"
    return text


def _answer_text(number: str, entries: list[HolderEntry], near: tuple[NearMatch, ...]) -> str:
    lines = []
    for entry in entries:
        day = f" {entry.valid_until.isoformat()}" if entry.valid_until else ""
        lines.append(
            told(
                "on_the_list",
                number=number,
                holder=entry.holder,
                classes="; ".join(entry.filter_classes),
                models="; ".join(entry.models),
                status=f"{entry.status}{day}",
            )
        )
        for label in entry.private_labels:
            models = ", ".join(label.models) or told("models_not_said")
            lines.append(f"    {told('private_label', name=label.name, models=models)}")
    if not entries:
        lines.append(told("not_on_the_list", number=number))
    for hit in near:
        letters = "".join(
            f"[{pair.printed or '_'}|{pair.listed or '_'}]" if pair.differs else pair.printed or ""
            for pair in hit.letters
        )
        lines.append(f"    {spoken()('terminal.near', letters=letters, holder=hit.holder)}")
    return "\n".join(lines)
