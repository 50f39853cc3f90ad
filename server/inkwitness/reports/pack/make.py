"""An evidence pack of one consignment, written to a file."""

import datetime as dt
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from sqlalchemy import Connection

import inkwitness
from inkwitness.consignment.gate import Terms
from inkwitness.photo.files import PhotoFiles
from inkwitness.phrases import Phrases
from inkwitness.reports.consignment import consignment_report
from inkwitness.reports.document import Document
from inkwitness.reports.goods.table import as_csv
from inkwitness.reports.pack import bag, contents
from inkwitness.reports.pack.bag import Bagged, Part
from inkwitness.reports.unit import unit_report
from inkwitness.rulebook import Rulebook
from inkwitness.rulebook.policy import Policy
from inkwitness.use_cases import overview

#: Draws a report as PDF, in a process of its own where there is one.
Draw = Callable[[Document], bytes]


@dataclass(frozen=True, slots=True)
class Packed:
    """A pack that was written, the name to save it under, and what is not in it."""

    bagged: Bagged
    name: str
    left_out: tuple[str, ...]


def make_pack(
    conn: Connection,
    files: PhotoFiles,
    rulebook: Rulebook,
    consignment_id: str,
    out: Path,
    terms: Terms,
    policy: Policy,
    say: Phrases,
    draw: Draw,
    *,
    by: str,
    made_at: dt.datetime,
    originals: bool = False,
) -> Packed:
    """Write the pack of a consignment to `out`; raises NotFound.

    Photos as they came are in it only with `originals`: `by` chose so, and the pack says it.
    """
    found = overview.of_consignment(conn, consignment_id, terms)
    inside = contents.gather(conn, files, found, say, originals=originals)
    report = consignment_report(conn, files, rulebook, consignment_id, made_at, terms, policy, say)
    payload: list[Part] = [
        ("data/report.pdf", draw(report)),
        ("data/report.json", contents.as_json(report.as_json())),
        ("data/report.csv", as_csv(report, say)),
    ]
    for unit in found.units:
        told = unit_report(conn, files, rulebook, unit.unit_id, made_at, say).as_json()
        name = contents.plain_name(unit.state.place or unit.label)
        payload.append((f"data/units/{name}-{unit.unit_id}.json", contents.as_json(told)))
    label = contents.plain_name(found.entry.content["label"])
    top = f"inkwitness-{label}-{made_at:%Y%m%dT%H%M%SZ}"
    about = {
        "Bag-Software-Agent": f"Inkwitness {inkwitness.__version__}",
        "Contact-Name": by,
        "External-Identifier": consignment_id,
        "Records-Head": inside.head,
        "Originals": f"in the pack, chosen by {by}" if originals else "not in the pack",
        "Left-Out": f"{len(inside.left_out)}",
    }
    bagged = bag.write(out, top, (*payload, *inside.payload), inside.tags, about, made_at)
    return Packed(bagged, f"{top}.zip", inside.left_out)
