"""A report in Arabic: lines begin at the right, values in them keep their order.

Order of letters: UAX #9 (Unicode 15.1); where tables begin is common practice, no source.
"""

import io

from pypdf import PdfReader

from inkwitness import phrases
from inkwitness.reports.document import Document, Section, Table, as_said, shown
from inkwitness.reports.fonts import find_fonts, laid_out
from inkwitness.reports.pdf import draw
from tests.api.conftest import NOW

SAY = phrases.shipped().of("ar")


def drawn() -> list[tuple[str, float]]:
    """Each piece of text of a page with a sentence and a table, and how far from the left it is."""
    told = SAY("report.not.whole", what="TC-84A-9981, +A1:2009, (EU) 2016/425")
    table = Table(
        (SAY("report.column.mark"), SAY("report.column.by")), (("N95", "قاسم, 2031-03-18"),)
    )
    section = Section("ما قُرئ", (told,), table)
    document = Document("unit", "تقرير", NOW, (), (section,), "0" * 64, "ar")
    pieces: list[tuple[str, float]] = []
    page = PdfReader(io.BytesIO(draw(document, find_fonts(language="ar")))).pages[0]
    page.extract_text(visitor_text=lambda text, cm, tm, *_: pieces.append((text, cm[4] + tm[4])))
    return [(text.strip(), x) for text, x in pieces if text.strip()]


def test_values_keep_their_order_and_the_first_column_is_at_the_right() -> None:
    pieces = drawn()
    text = " ".join(one for one, _ in pieces)
    for value in ("TC-84A-9981", "+A1:2009", "(EU) 2016/425", "2031-03-18"):
        assert value in text
    first, second = (
        next(x for one, x in pieces if SAY(f"report.column.{key}") in one) for key in ("mark", "by")
    )
    assert first > second


def test_a_line_begins_with_a_mark_of_its_direction_where_its_letters_have_one() -> None:
    assert laid_out("قسم 3\nN95", right_to_left=True) == "\u200fقسم 3\n\u200fN95"
    assert laid_out("قاسم, 2031-03-18", right_to_left=True) == "\u200fقاسم، \u20662031-03-18\u2069"
    assert laid_out("N95", right_to_left=True) == "N95"
    # a report in another language is laid out as ever, with an Arabic name in it too
    assert laid_out("Held by قاسم, 2031-03-18", right_to_left=False) == "Held by قاسم, 2031-03-18"


def test_only_signs_of_our_own_sentence_stay_unseen() -> None:
    assert as_said("وُجد \u2066N95\u202e\u2069") == "وُجد \u2066N95‹U+202E›\u2069"
    assert as_said("N95\u2069") == "N95‹U+2069›"
    assert shown("\u2066N95\u2069") == "‹U+2066›N95‹U+2069›"
