"""A report as a table: one row a mark and one a finding, for whoever counts on with it."""

import csv
import io

from inkwitness.holders.files.cells import guarded
from inkwitness.phrases import Phrases
from inkwitness.reports import words
from inkwitness.reports.document import Document

_COLUMNS = ("unit", "mark", "printed", "normal", "standing", "why", "on", "confirmed_by", "noted")


def as_csv(document: Document, say: Phrases) -> bytes:
    """CSV (RFC 4180) in UTF-8 with a byte order mark; no cell can run as a formula."""
    out = io.StringIO(newline="")
    writer = csv.writer(out, quoting=csv.QUOTE_ALL, lineterminator="\r\n")
    writer.writerow(words.columns(say, *_COLUMNS))
    for section in document.units:
        for ink in section.inks:
            cells = (ink.mark, ink.printed, ink.value, ink.standing, ink.why, ink.on, ink.by, "")
            writer.writerow([guarded(cell) for cell in (section.title, *cells)])
        for sentence in section.sentences:
            writer.writerow([guarded(cell) for cell in (section.title, *[""] * 7, sentence)])
    return out.getvalue().encode("utf-8-sig")
