"""Print in Hangul, which the bundled recogniser has not: read by Tesseract's Korean data.

Real reading of drawn print, no stand-ins. What a KF pack must carry: labelling notice for
quasi-drugs (from memory) and press on MFDS advice of 2020. What the readers do on other scripts:
the project's own expectation.
"""

import io
import json
from dataclasses import replace

import onnxruntime
import pytest
from PIL import Image, ImageDraw, ImageFilter, ImageFont

from inkwitness import rulebook
from inkwitness.check.contract import CheckOut
from inkwitness.check.judge import judge
from inkwitness.check.reader import PhotoReader
from inkwitness.check.values import UNREAD_PRINT
from inkwitness.cli.serving.demo import DAY
from inkwitness.findings.judge import SCRIPT_NOT_READ
from inkwitness.findings.values import Circumstances
from inkwitness.reading.readers import engines
from inkwitness.reading.readers.second import NoSecondReader
from inkwitness.reading.scripts import is_hangul
from inkwitness.records.chain import canonical
from inkwitness.records.stored import reading_content, reading_of
from tests.real import Checker

NANUM = "/usr/share/fonts/truetype/nanum/NanumGothic.ttf"
DEJAVU = "/usr/share/fonts/truetype/dejavu/DejaVuSans.ttf"
POUCH = (
    "보건용 마스크 KF94",
    "HALCYRA RESPIRE",
    "의약외품",
    "제조번호 A2511",
    "사용기한 2028.05.10",
)
WHOLE_POUCH = Circumstances(DAY, "pouch", "yes")


@pytest.fixture(scope="module")
def checker() -> Checker:
    return Checker(engines.load_readers(), rulebook.load())


@pytest.fixture(scope="module")
def pouch(checker: Checker) -> CheckOut:
    return check(checker, *POUCH)


def drawn(*lines: str, font: str = NANUM, size: int = 46, blur: float = 0.0) -> bytes:
    picture = Image.new("RGB", (1100, 200 + 80 * len(lines)), (236, 236, 230))
    pen = ImageDraw.Draw(picture)
    for number, line in enumerate(lines):
        at = (140, 90 + number * 72)
        pen.text(at, line, font=ImageFont.truetype(font, size), fill=(40, 50, 90))
    out = io.BytesIO()
    picture.filter(ImageFilter.GaussianBlur(blur)).save(out, "PNG")
    return out.getvalue()


def check(checker: Checker, *lines: str, font: str = NANUM, blur: float = 0.0) -> CheckOut:
    data = drawn(*lines, font=font, blur=blur)
    return checker.out(data, "pouch.png", WHOLE_POUCH)


def test_the_bundled_recogniser_has_han_and_kana_and_no_hangul() -> None:
    """Why there is a named reader for Hangul and none for the others."""
    file = engines._model_folder() / "PP-OCRv6_rec_small.onnx"
    session = onnxruntime.InferenceSession(str(file), providers=["CPUExecutionProvider"])
    letters = session.get_modelmeta().custom_metadata_map["character"].splitlines()
    assert not any(is_hangul(letter) for letter in letters)
    assert sum("\u4e00" <= letter <= "\u9fff" for letter in letters) > 15_000
    assert sum("\u3040" <= letter <= "\u30ff" for letter in letters) > 160


def test_a_hangul_pouch_is_read_by_the_named_reader(pouch: CheckOut) -> None:
    (item,) = pouch.items
    read = {mark.mark: (mark.value, mark.standing) for mark in item.marks}
    assert read["quasi_drug_word"] == ("의약외품", "read")
    assert read["lot"] == ("A2511", "read")
    assert read["expiry_date"] == ("2028-05-10", "read")
    assert read["filter_class"] == ("KF94", "read")
    assert any(reader.startswith("tesseract-kor") for reader in pouch.readers)
    assert UNREAD_PRINT not in pouch.notes
    assert pouch.outcome == "no_conflict_found"


def test_latin_letters_beside_hangul_come_from_the_readers_of_latin(pouch: CheckOut) -> None:
    """The Korean data reads `42511` for a printed A2511, and is sure of it."""
    lot = pouch.marks["lot"]
    assert lot.printed == "A2511"
    assert lot.readers == ["tesseract-kor", "ppocr", "tesseract"]
    assert pouch.marks["quasi_drug_word"].readers == ["tesseract-kor"]


def test_each_line_has_its_crop(checker: Checker) -> None:
    made = PhotoReader(checker.readers, checker.rulebook).read(drawn(*POUCH), "pouch.png")
    (item,) = made.reading.items
    assert {line.index for line in item.lines} == set(made.images)
    (word,) = [mark for mark in item.marks if mark.mark == "quasi_drug_word"]
    assert word.line is not None
    assert made.images[word.line].shape[1] > 100


def test_without_a_second_reader_of_latin_the_value_is_doubtful(checker: Checker) -> None:
    alone = replace(checker.readers, second=NoSecondReader())
    found = check(replace(checker, readers=alone), *POUCH)
    assert found.marks["lot"].standing == "doubtful"
    assert found.marks["lot"].printed == "A2511"
    assert found.marks["quasi_drug_word"].standing == "read"
    assert found.outcome == "cannot_tell"


def test_what_a_hangul_pack_lacks_is_missing(checker: Checker) -> None:
    found = check(checker, *(line for line in POUCH if "사용기한" not in line))
    assert [one.rule for one in found.findings if one.severity == "missing"] == [
        "kr-pack-expiry-absent"
    ]


def test_where_no_reader_has_the_script_it_is_a_question_and_never_missing(
    checker: Checker,
) -> None:
    blind = replace(checker, readers=replace(checker.readers, scripts=()))
    found = check(blind, *POUCH)
    assert not [one for one in found.findings if one.severity == "missing"]
    assert not any("tesseract-kor" in reader for reader in found.readers)
    assert found.outcome == "cannot_tell"


def test_a_pack_without_any_hangul_stays_a_question(checker: Checker) -> None:
    """Goods for export carry other languages: what no Hangul was seen beside is not missing."""
    found = check(checker, "KF94", "HALCYRA RESPIRE", "LOT A2511", "EXP 2028-05-10", font=DEJAVU)
    assert SCRIPT_NOT_READ in {one.rule for one in found.findings}
    assert not [one for one in found.findings if one.severity == "missing"]


def test_hangul_too_faint_to_be_sure_of_is_print_that_nobody_read(checker: Checker) -> None:
    found = check(checker, *POUCH, blur=9.0)
    assert not [one for one in found.findings if one.severity in ("missing", "conflict")]
    assert found.outcome == "cannot_tell"


@pytest.mark.parametrize(
    "lines",
    [
        ("FFP2 NR", "ЗАЩИТА ОРГАНОВ ДЫХАНИЯ", "EN 149:2001+A1:2009"),
        ("N95", "ΑΝΑΠΝΕΥΣΤΗΡΑΣ", "TC-84A-9981"),
        ("N95 | NIOSH", "VEXHOLM © FILTRATION", "½ MASK"),
    ],
)
def test_other_scripts_are_not_taken_for_hangul(checker: Checker, lines: tuple[str, ...]) -> None:
    found = check(checker, *lines, font=DEJAVU, blur=1.2)
    assert not any(is_hangul(letter) for line in found.lines for letter in line.text)
    assert not any("tesseract-kor" in reader for reader in found.readers)


def test_a_stored_reading_keeps_what_the_named_reader_read(checker: Checker) -> None:
    made = checker.check(drawn(*POUCH), "pouch.png", WHOLE_POUCH)
    kept = json.loads(canonical(reading_content(made.reading)))
    assert judge(reading_of(kept), checker.criteria, WHOLE_POUCH) == made.judgement
