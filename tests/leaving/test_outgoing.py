"""Labels, messages and reports that are given: neutral, kept as given, corrected with a date."""

import csv
import hashlib
import io
import json
from typing import Any

import pytest
import zxingcpp
from PIL import Image, ImageDraw
from pypdf import PdfReader

from inkwitness import phrases
from inkwitness.errors import BadInput
from inkwitness.network import qr
from inkwitness.records.store import new_id
from inkwitness.reports.document import Document, Section, Status
from inkwitness.reports.fonts import find_fonts
from inkwitness.reports.outgoing import labels, wording
from inkwitness.reports.pdf import draw
from tests.api.conftest import NOW
from tests.api.test_consignments import make
from tests.leaving.house import House

LANGUAGES = sorted(phrases.shipped().languages)
MANAGER = {"party": "manager", "name": "Head of stores", "way": "by hand"}
HOLDER = {"party": "holder", "name": "Vexholm, quality desk", "way": "by post"}


def pages(pdf: bytes) -> list[str]:
    return [" ".join(page.extract_text().split()) for page in PdfReader(io.BytesIO(pdf)).pages]


def get(house: House, what: str, **query: Any) -> Any:
    return house.client.get(f"/api/consignments/{house.consignment}/{what}", params=query)


def post(house: House, what: str, **body: Any) -> Any:
    path = f"/api/consignments/{house.consignment}/{what}"
    return house.client.post(path, json={"id": new_id(), **body})


@pytest.mark.parametrize("what", ["messages/supplier", "messages/authority", "report"])
def test_what_sets_values_apart_in_arabic_is_not_spelt_out(house: House, what: str) -> None:
    """The signs of UAX #9, 2.4 are of our sentence; those of a print are spelt out."""
    told = json.dumps(get(house, what, lang="ar", format="json").json(), ensure_ascii=False)
    assert "\u2066" in told
    assert "U+2066" not in told


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("to", ["supplier", "authority", "holder"])
def test_a_message_says_what_was_noted_and_judges_nobody(
    house: House, to: str, language: str
) -> None:
    """Wording rules 1 and 4 of the job map, section 6.1: no verdict, no word about a person."""
    told = get(house, f"messages/{to}", lang=language).json()
    assert wording.judging(language, told["subject"] + told["text"]) == []
    assert "Ines Okparo" in told["text"]
    assert "PO 1188" in told["text"]
    if to != "holder":
        assert "N96" in told["text"]
    else:
        assert "Kestrane" not in told["text"]
    if to == "authority":
        assert house.client.get("/api/records").json()["head"] in told["text"]


def test_the_holder_learns_who_offered_the_goods_only_if_a_person_says_so(house: House) -> None:
    told = get(house, "messages/holder", name_supplier=True).json()["text"]
    assert "The goods came from “Kestrane Medical Supply”." in told
    assert "Did you deliver these lots" in told


@pytest.mark.parametrize(
    ("language", "note"), [("en", "We think these are fake."), ("es", "Son falsos.")]
)
def test_a_persons_own_words_to_somebody_outside_are_held_to_the_same(
    house: House, language: str, note: str
) -> None:
    assert get(house, "messages/supplier", lang=language, note=note).status_code == 422
    quoted = "Your paper is titled “approved list”."
    assert quoted in get(house, "messages/supplier", note=quoted).json()["text"]


@pytest.mark.parametrize("size", ["a4", "a6", "100x50", "90x60"])
def test_a_label_has_the_word_the_goods_and_who_held_them_and_no_reason(
    house: House, size: str
) -> None:
    answer = get(house, "labels", size=size, paper="own", contact="Stores, ext. 214")
    assert answer.status_code == 200, answer.text
    (text,) = pages(answer.content)
    for said in ("HOLD – do not use.", "PO 1188", "A310", "Ines Okparo", "Stores, ext. 214"):
        assert said in text
    assert "asked" not in text
    assert wording.judging("en", text) == []
    (page,) = PdfReader(io.BytesIO(answer.content)).pages
    width, height = labels.size_of(size)
    assert float(page.mediabox.width) == pytest.approx(width * 72 / 25.4, abs=0.1)
    assert float(page.mediabox.height) == pytest.approx(height * 72 / 25.4, abs=0.1)


def test_a_label_a_carton_ten_a_sheet_in_two_languages(house: House) -> None:
    """2 by 5 labels of 100 x 50 mm stand on A4 (ISO 216:2007, 210 x 297 mm)."""
    query = {"size": "100x50", "each": "carton", "also": "es"}
    (sheet,) = pages(get(house, "labels", **query).content)
    assert sheet.count("HOLD – do not use.") == 10
    assert sheet.count("RETENER") == 10
    assert "10 of 10" in sheet


def test_the_qr_code_of_a_label_leads_to_the_consignment() -> None:
    """Read by zxing, which is not what makes the code."""
    address = "https://ink.example/#/consignment/019a0b50-0000-7abc-8def-001122334455"
    rows = qr.rows(address)
    picture = Image.new("L", ((len(rows) + 8) * 6,) * 2, 255)
    drawn = ImageDraw.Draw(picture)
    for y, row in enumerate(rows):
        for x, module in enumerate(row):
            if module == "1":
                left, top = (x + 4) * 6, (y + 4) * 6
                drawn.rectangle((left, top, left + 5, top + 5), fill=0)
    (read,) = zxingcpp.read_barcodes(picture)
    assert read.text == address


def test_goods_that_are_not_held_get_no_label(house: House) -> None:
    other = make(house.client)
    assert house.client.get(f"/api/consignments/{other}/labels").status_code == 409


@pytest.mark.parametrize("size", ["huge", "10x10", "999x50", "50"])
def test_a_size_that_no_label_has_is_refused(size: str) -> None:
    with pytest.raises(BadInput, match="100x50"):
        labels.size_of(size)


def test_a_report_begins_with_one_page_for_the_person_who_decides(house: House) -> None:
    first, *rest = pages(get(house, "report").content)
    for said in (
        "What was checked",
        "What was not checked",
        "What does not agree",
        "The sample",
        "List and rules",
        "Recommendation: what a person decided",
        "D5 Hold, information awaited – Ines Okparo",
        "Not opened or not looked at: 398 units.",
        house.client.get("/api/records").json()["head"],
    ):
        assert said in first
    after = " ".join(rest)
    assert "Unit “C001/U01” – ▲ conflict found" in after
    assert "Photos, without metadata" in after
    assert after.index("Unit “C001/U01”") < after.index("Unit “C002/U07 =x”")


@pytest.mark.parametrize("language", LANGUAGES)
def test_the_first_page_stays_one_page_however_much_there_is_to_say(language: str) -> None:
    say = phrases.shipped().of(language)
    long = say("report.caveat.ask")
    parts = tuple(Section(say("front.checked"), (long,) * 4) for _ in range(6))
    statuses = (Status("conflict", "▲", say("outcome.conflict")),) * 3
    document = Document(
        "consignment", "x", NOW, statuses, (Section("after", ("after",)),), "0" * 64, language,
        front=parts,
    )  # fmt: skip
    first, second = pages(draw(document, find_fonts(None, language)))
    assert "0" * 64 in first
    assert second.startswith("after")


def test_the_same_report_as_a_table_runs_no_formula(house: House) -> None:
    text = get(house, "report", format="csv").content.decode("utf-8-sig")
    rows = list(csv.reader(io.StringIO(text, newline="")))
    assert len({len(row) for row in rows}) == 1
    assert any("TC-84A-9981" in row for row in rows)
    assert not any(cell[:1] in ("=", "+", "-", "@") for row in rows for cell in row)


def test_a_report_that_was_given_is_kept_and_a_correction_says_what_it_corrects(
    house: House,
) -> None:
    """Job map, scenario 10 (c): the earlier version is kept and marked as corrected."""
    first = post(house, "reports", recipients=[MANAGER, HOLDER]).json()
    kept = [
        house.client.get(f"/api/dispatches/{first['dispatch_id']}/files/{n}").content
        for n in range(3)
    ]
    assert kept[0].startswith(b"%PDF")
    assert [hashlib.sha256(one).hexdigest() for one in kept] == [
        one["sha256"] for one in first["attachments"]
    ]
    what = "The lot printed reads LOT 77; row 3 showed LOT 71."
    refused = post(house, "reports", recipients=[], corrects=first["dispatch_id"])
    assert refused.status_code == 422
    second = post(house, "reports", recipients=[], corrects=first["dispatch_id"], note=what)
    assert second.status_code == 201, second.text
    assert second.json()["recipients"] == [{**one, "contact": ""} for one in (MANAGER, HOLDER)]
    path = f"/api/dispatches/{second.json()['dispatch_id']}/files"
    page = pages(house.client.get(f"{path}/0").content)[0]
    assert page.index("Correction") < page.index("What was checked")
    assert what in page
    assert first["attachments"][0]["sha256"] in page.replace(" ", "")
    told = json.loads(house.client.get(f"{path}/1").content)
    assert told["front"][0]["title"] == "Correction"
    given = {one["dispatch_id"]: one for one in get(house, "dispatches").json()}
    old = given[first["dispatch_id"]]
    assert old["corrected_by"] == second.json()["dispatch_id"]
    again = house.client.get(f"/api/dispatches/{first['dispatch_id']}/files/0").content
    assert again == kept[0]


def test_a_question_to_the_holder_and_the_answer_are_kept_and_stand_in_the_way(
    house: House,
) -> None:
    text = get(house, "messages/holder").json()["text"]
    asked = post(
        house, "dispatches", kind="message", recipients=[HOLDER], text=text, decision_id=new_id()
    )
    assert asked.status_code == 201, asked.text

    def waits() -> bool:
        found = house.client.get(f"/api/consignments/{house.consignment}").json()["in_the_way"]
        return any("await" in one["key"] or "holder" in one["key"] for one in found)

    assert waits()
    answered = post(
        house,
        "dispatches",
        kind="answer",
        recipients=[{**HOLDER, "contact": "register"}],
        text="Yes, lot A310 is ours, made in 2030.",
        answers=asked.json()["dispatch_id"],
        about="agrees",
        decision_id=new_id(),
    )
    assert answered.status_code == 201, answered.text
    assert answered.json()["by"]["name"] == "Ines Okparo"
    assert not waits()
    decided = house.client.get(f"/api/consignments/{house.consignment}").json()["decisions"]
    assert [one["disposition"] for one in decided][-2:] == ["ask_holder", "holder_answered"]
    # need P21: what it weighs rests on where their address was found
    assert [one["contact"] for one in answered.json()["recipients"]] == ["register"]
    told = str(get(house, "report", format="json").json())
    assert "Yes, lot A310 is ours" in told
    assert told.count("Their address is from a public register.") == 1


@pytest.mark.parametrize("language", LANGUAGES)
def test_a_leaflet_on_wearing_one_fits_a_page_and_promises_nothing(
    house: House, language: str
) -> None:
    """Need H15. Beard, seal and doctor: 29 CFR 1910.134, (g)(1)(i), Appendix B-1 and (e)."""
    told = house.client.get(f"/api/leaflet?format=json&lang={language}").json()
    say = phrases.shipped().of(language)
    for point in ("face", "seal", "doctor", "nothing"):
        assert say(f"leaflet.{point}") in told["sentences"]
    for sentence in told["sentences"]:
        assert wording.judging(language, sentence) == []
    drawn = house.client.get(f"/api/leaflet?lang={language}")
    assert len(PdfReader(io.BytesIO(drawn.content)).pages) == 1


@pytest.mark.parametrize(
    ("body", "status"),
    [
        ({"kind": "message", "recipients": [MANAGER], "text": " "}, 422),
        ({"kind": "message", "recipients": [], "text": "x"}, 422),
        ({"kind": "answer", "recipients": [HOLDER], "text": "x", "on": "2031-03-25"}, 422),
        ({"kind": "answer", "recipients": [HOLDER], "text": "x", "answers": new_id()}, 404),
        (
            {"kind": "message", "recipients": [MANAGER], "text": "x", "decision_id": new_id()},
            422,
        ),
    ],
)
def test_what_cannot_be_written_down_is_refused(
    house: House, body: dict[str, Any], status: int
) -> None:
    before = len(get(house, "dispatches").json())
    assert post(house, "dispatches", **body).status_code == status
    assert len(get(house, "dispatches").json()) == before
