"""A new scheme needs no Python: one of a country that does not exist goes all the way.

Only its two files in `made_up_scheme/` are new: the scheme, and its sentences for the phrase book.
"""

import datetime as dt
import io
import shutil
from pathlib import Path
from typing import cast

import pytest
from PIL import Image, ImageDraw, ImageFont
from starlette.testclient import TestClient

from inkwitness import phrases, rulebook
from inkwitness.api.app import create_app
from inkwitness.check.contract import CheckOut
from inkwitness.cli.report import report_text
from inkwitness.consignment.class_parts import compare
from inkwitness.findings.examples import problems
from inkwitness.findings.values import Circumstances
from inkwitness.holders.values import HolderEntry, HolderList
from inkwitness.marks.read_marks import marks_of_text
from inkwitness.reading.readers.engines import Readers, load_readers
from inkwitness.reports.fonts import find_fonts
from inkwitness.reports.papers import papers_needed
from inkwitness.rulebook import Rulebook
from tests.api.conftest import HEADERS, settings
from tests.real import Checker

SAY = phrases.shipped().of("en")
HERE = Path(__file__).with_name("made_up_scheme")
SCHEME = "zz-velmarra"
DAY = dt.date(2026, 11, 25)
NUMBER = "VA-40213-K"
PRINT = ("TAMBERLOW", "VMS 7140:2022", "ZP2", NUMBER)
LIST = HolderList(
    name="FICTIONAL list",
    checked_on=DAY,
    fictional=True,
    entries=(
        HolderEntry(
            SCHEME,
            "Tamberlow",
            NUMBER,
            filter_classes=("ZP2 W",),
            status="current",
            checked_on=DAY,
        ),
    ),
)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The rules with one more scheme."""
    copy = tmp_path_factory.mktemp("made-up") / "rules"
    shutil.copytree(rulebook.default_folder(), copy)
    shutil.copy(HERE / f"{SCHEME}.yaml", copy / "schemes")
    english = copy / "messages" / "en" / "findings.yaml"
    lines = (HERE / "sentences.yaml").read_text("utf-8").splitlines()
    english.write_text(
        english.read_text("utf-8").rstrip() + "\n" + "".join(f"  {one}\n" for one in lines), "utf-8"
    )
    return copy


@pytest.fixture(scope="module")
def book(folder: Path) -> Rulebook:
    return rulebook.load(folder)


@pytest.fixture(scope="module")
def readers() -> Readers:
    return load_readers()


def drawn(lines: tuple[str, ...]) -> bytes:
    """Print on a white facepiece, as a photo from near by."""
    sheet = Image.new("L", (900, 120 * len(lines) + 160), 236)
    pen = ImageDraw.Draw(sheet)
    font = ImageFont.truetype(str(find_fonts().regular), 62)
    for number, line in enumerate(lines):
        pen.text((120, 80 + 120 * number), line, font=font, fill=40)
    out = io.BytesIO()
    sheet.convert("RGB").save(out, "JPEG", quality=92)
    return out.getvalue()


def checked(lines: tuple[str, ...], book: Rulebook, readers: Readers) -> CheckOut:
    seen = Circumstances(DAY, "facepiece", "yes")
    return Checker(readers, book, LIST).out(drawn(lines), "made-up.jpg", seen)


def test_its_examples_do_what_they_say(book: Rulebook) -> None:
    assert problems(book, SCHEME) == []


def test_typed_print_is_taken_apart(book: Rulebook) -> None:
    """Words printed against each other are parted as the scheme's file says."""
    marks = marks_of_text(["VMS7140:2022 ZP2", NUMBER], book.grammars, book.vocabulary)
    found = {mark.mark: (mark.value, mark.scheme) for mark in marks if mark.scheme}
    assert found == {
        "standard": ("VMS 7140", SCHEME),
        "filter_class": ("ZP2", SCHEME),
        "approval_number": (NUMBER, SCHEME),
    }


def test_a_drawn_photo_is_read_judged_and_looked_up(book: Rulebook, readers: Readers) -> None:
    out = checked(PRINT, book, readers)
    assert out.scheme == SCHEME
    assert out.marks["approval_number"].value == NUMBER
    assert out.marks["filter_class"].value == "ZP2"
    assert {one.rule for one in out.findings if one.severity in ("conflict", "missing")} == set()
    match = out.holder_match
    assert match is not None
    assert match.state == "listed_agrees"  # the list's cell says "ZP2 W": W is a mark of its own
    report = report_text(out, SAY)
    assert NUMBER in report
    assert "Tamberlow" in report


def test_what_is_wrong_is_said_in_its_own_sentences(book: Rulebook, readers: Readers) -> None:
    out = checked((*PRINT[:2], "ZP9"), book, readers)
    said = {one.rule: one.says for one in out.findings}
    assert "no class of VMS 7140" in said["zz-class-unknown"]
    assert "zz-number-absent" in said
    assert "no class of VMS 7140" in report_text(out, SAY)


def test_signs_behind_its_class_exclude_each_other_as_its_file_says(book: Rulebook) -> None:
    printing = book.vocabulary.printing
    assert compare("ZP2 W", "ZP2 Q", printing).differ
    assert compare("ZP2", "ZP2 Q", printing).second_alone == ("Q",)


def test_a_seller_is_asked_for_the_papers_that_its_file_names(book: Rulebook) -> None:
    asked = papers_needed([SCHEME], book, SAY).papers
    assert asked[0] == "Letter of the Velmarra office"
    assert asked[0] not in papers_needed(["us-niosh"], book, SAY).papers


def test_the_page_of_the_rules_shows_it(
    folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("INKWITNESS_RULES", str(folder))
    rulebook.shipped.cache_clear()
    try:
        with TestClient(create_app(settings(tmp_path)), headers=HEADERS) as client:
            listed = client.get("/api/rules").json()
            shown = client.get(f"/api/rules/{SCHEME}").json()
    finally:
        rulebook.shipped.cache_clear()
    assert SCHEME in [cast(str, one["scheme"]) for one in listed["schemes"]]
    assert shown["title"] == "VMS 7140 dust masks (invented)"
    assert {"zz-number-absent", "zz-class-unknown"} == {one["rule"] for one in shown["rules"]}
