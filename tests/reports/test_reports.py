"""Reports: everything that was seen and not seen, who said it, and no verdict anywhere."""

import io
import json
import re
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from PIL import Image
from pypdf import PdfReader
from starlette.testclient import TestClient

from inkwitness import phrases
from inkwitness.api.app import create_app
from inkwitness.check.contract import HolderMatchOut
from inkwitness.errors import ReaderMissing
from inkwitness.holders.values import NearMatch
from inkwitness.marks.scores import reasons
from inkwitness.records.store import new_id
from inkwitness.reports import words
from inkwitness.reports.document import Document, Section, Table, shown
from inkwitness.reports.fonts import Fonts, find_fonts
from inkwitness.reports.outgoing import wording
from inkwitness.reports.papers import papers_needed
from inkwitness.reports.pdf import draw
from inkwitness.rulebook import shipped
from inkwitness.use_cases.plans import said
from tests.api import test_naming as naming
from tests.api.conftest import HEADERS, NOW, png, settings
from tests.api.test_confirmations import confirm
from tests.api.test_consignments import make, plan
from tests.api.test_units import decide

SAY = phrases.shipped().of("en")
LANGUAGES = sorted(phrases.shipped().languages)
CONFLICT_SAID = (
    "The class N96 is none of the nine classes. Source: “42 CFR Part 84, subpart K, 1995 (read)”."
)
Send = Callable[..., dict[str, Any]]

# A public list is called by its name; authenticity is said in one denial alone, and nothing by a
# tick.
LIST = re.compile(r"certified\s+equipment\s+list", re.IGNORECASE)
DENIAL = re.compile(r"not\s+proof\s+of\s+authenticity", re.IGNORECASE)
TICKS = re.compile(r"authenticity|✓|✔|✅", re.IGNORECASE)


def banned_in(text: str) -> list[str]:
    return wording.judging("en", LIST.sub("", text)) + TICKS.findall(DENIAL.sub("", text))


def text_of(pdf: bytes) -> str:
    """What a viewer would copy, page after page, line ends and hyphenation as drawn."""
    return "\n".join(page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages)


def unit_text(client: TestClient, unit: str, **query: str) -> str:
    answer = client.get(f"/api/units/{unit}/report", params={"format": "pdf", **query})
    assert answer.status_code == 200, answer.text
    assert answer.content.startswith(b"%PDF")
    return text_of(answer.content)


def unit_json(client: TestClient, unit: str, lang: str = "en") -> dict[str, Any]:
    asked = {"format": "json", "lang": lang}
    told: dict[str, Any] = client.get(f"/api/units/{unit}/report", params=asked).json()
    return told


def section(told: dict[str, Any], title: str) -> dict[str, Any]:
    (found,) = [one for one in told["sections"] if one["title"] == title]
    return dict(found)


def strings(told: Any) -> Iterator[str]:
    if isinstance(told, str):
        yield told
    elif isinstance(told, dict):
        for key, value in told.items():
            yield key
            yield from strings(value)
    elif isinstance(told, list):
        for value in told:
            yield from strings(value)


def test_a_report_says_what_was_read_and_by_whom_it_was_confirmed(
    client: TestClient, send: Send
) -> None:
    taken = send("conflict.png", label="carton 3", whole="yes")
    before = unit_json(client, taken["unit_id"])
    assert section(before, "What was read")["table"]["rows"][0][-1] == "To be confirmed"
    assert [one["word"] for one in before["statuses"]] == ["conflict", "to_be_confirmed"]
    confirm(client, taken["photo_id"], "TC-84A-9981")
    after = unit_json(client, taken["unit_id"])
    row = section(after, "What was read")["table"]["rows"][0]
    assert row[:4] == ["approval number", "TC-84A-9981", "TC-84A-9981", "read"]
    assert row[-1] == "Ines Okparo, 2031-03-18 09:00 UTC"
    assert [one["word"] for one in after["statuses"]] == ["conflict"]


def test_a_finding_stands_with_its_source_and_a_caution_as_large(
    client: TestClient, send: Send
) -> None:
    told = unit_json(client, send("conflict.png")["unit_id"])
    assert section(told, "What does not agree")["sentences"] == [CONFLICT_SAID]
    assert section(told, "Cautions")["sentences"] == [
        "The number has five digits where four are usual."
    ]


def test_what_was_not_looked_at_is_said_each_time(client: TestClient, send: Send) -> None:
    told = unit_json(client, send(surface="strap")["unit_id"])
    said = " ".join(section(told, "What was not looked at")["sentences"])
    for words_ in (
        "Not looked at: papers.",
        "Not photographed: facepiece, pouch, box, carton, leaflet",
        "Not known to be photographed whole: strap",
        "Filtration, breathing resistance, leakage and fit were not tested",
        "Who made the goods was not established",
    ):
        assert words_ in said
    assert section(told, "The authority's own list")["sentences"] == [
        "Not looked up on the authority's own list."
    ]


def test_the_fit_caution_of_the_scheme_stands_beside_the_result(
    client: TestClient, send: Send
) -> None:
    told = unit_json(client, send()["unit_id"])
    assert any("fit test" in one for one in section(told, "Before anyone wears one")["sentences"])


def test_a_pdf_holds_the_same_words_as_the_json(client: TestClient, send: Send) -> None:
    unit = send("conflict.png", label="Schachtel 3 – Größe")["unit_id"]
    plain = " ".join(unit_text(client, unit).split())
    told = unit_json(client, unit)
    for status in told["statuses"]:
        assert status["shape"] in plain
        assert status["text"] in plain
    for one in told["sections"]:
        assert one["title"] in plain
    assert "Schachtel 3 – Größe" in plain


def test_hashes_of_both_copies_and_the_head_of_the_records_are_printed(
    client: TestClient, send: Send
) -> None:
    unit = send()["unit_id"]
    kept = client.get(f"/api/units/{unit}").json()["photos"][0]
    told = unit_json(client, unit)
    values = [row[1] for row in section(told, "Evidence")["table"]["rows"]]
    assert {kept["sha256"], kept["served_sha256"], "intact"} <= set(values)
    assert told["records_head"] == client.get("/api/records").json()["head"]
    assert told["records_head"] in values


def test_a_decision_and_a_hold_are_shown_with_name_and_reason(
    client: TestClient, send: Send
) -> None:
    unit = send()["unit_id"]
    decide(client, f"units/{unit}", "hold", "asked the holder", limits="all of lot 7")
    told = unit_json(client, unit)
    assert told["statuses"][-1]["text"] == "HOLD – do not use."
    row = section(told, "Decisions")["table"]["rows"][0]
    assert row[0] == "D5 Hold, information awaited"
    assert row[1] == "Ines Okparo"
    assert row[3:] == ["asked the holder", "all of lot 7"]


def test_no_report_carries_metadata_of_the_photo(client: TestClient, send: Send) -> None:
    exif = Image.Exif()
    exif[0x010F] = "Sollanby Pharmacy"
    exif.get_ifd(0x8825).update({1: "N", 2: (51.0, 30.0, 0.0)})
    unit = send(data=png(exif=exif))["unit_id"]
    pdf = client.get(f"/api/units/{unit}/report").content
    assert b"Sollanby" not in pdf
    assert b"Exif" not in pdf
    assert "51" not in json.dumps(section(unit_json(client, unit), "What was read"))


def test_papers_only_tells_a_seller_nothing_that_was_found(client: TestClient, send: Send) -> None:
    conflict, clean = send("conflict.png", label="walk-in"), send("plain.png")
    decide(client, f"units/{conflict['unit_id']}", "hold", "ear loops")
    answers = [
        client.get(f"/api/units/{one['unit_id']}/report?format=json&view=papers_only").json()
        for one in (conflict, clean)
    ]
    assert answers[0] == answers[1]
    assert set(answers[0]) == {"sentence", "papers"}
    text = unit_text(client, conflict["unit_id"], view="papers_only")
    wanted = [answers[0]["sentence"], *answers[0]["papers"]]
    assert " ".join(text.replace("▭", "").split()) == " ".join(wanted)
    for word in (
        "TC-84A",
        "hold",
        "conflict",
        "walk-in",
        "Ines",
        *(SAY(f"state.{one}") for one in words.SHAPES),
    ):
        assert not re.search(rf"\b{word}\b", text, re.IGNORECASE)


@pytest.mark.parametrize("schemes", [[], ["us-niosh"], ["eu-en149"], ["us-niosh", "cn-gb2626"]])
def test_papers_fit_the_scheme_that_the_print_names(schemes: list[str]) -> None:
    papers = papers_needed(schemes, shipped(), SAY).papers
    assert ("type-examination" in " ".join(papers)) is ("eu-en149" in schemes)
    assert ("approval label" in " ".join(papers)) is ("us-niosh" in schemes)
    assert len(papers) >= 4


def test_no_report_holds_a_verdict_word(client: TestClient, send: Send) -> None:
    consignment = make(client, units_declared=400, cartons_declared=10, lots=["A310"])
    plan(client, consignment)
    texts = []
    for name in ("plain.png", "missing.png", "cannot_tell.png", "conflict.png"):
        taken = send(name, consignment_id=consignment)
        if name != "plain.png":
            confirm(client, taken["photo_id"], "TC-84A-9981")
        decide(client, f"units/{taken['unit_id']}", "hold", "asked")
        texts += list(strings(unit_json(client, taken["unit_id"])))
        texts.append(unit_text(client, taken["unit_id"]))
        texts.append(unit_text(client, taken["unit_id"], view="papers_only"))
    report = f"/api/consignments/{consignment}/report"
    texts += list(strings(client.get(f"{report}?format=json").json()))
    texts.append(text_of(client.get(report).content))
    assert len(texts) > 100
    assert [found for text in texts for found in banned_in(text)] == []


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("This unit is OK.", ["OK"]),
        ("Unapproved, not genuine", ["Unapproved", "genuine"]),
        ("This is not proof of authenticity.", []),
        ("Its authenticity is shown", ["authenticity"]),
        ("Source: “NIOSH user notice, counterfeit respirators”.", []),
        ("a token; the passage; unfailing", []),
    ],
)
def test_the_scan_itself_sees_what_it_should(text: str, found: list[str]) -> None:
    assert banned_in(text) == found


def test_a_consignment_report_says_how_much_was_not_opened(client: TestClient, send: Send) -> None:
    consignment = make(client, units_declared=400, cartons_declared=10)
    plan(client, consignment, seed="dice 2 6")
    place = client.get(f"/api/consignments/{consignment}/tick-list").json()["units"][0]["place"]
    send("conflict.png", consignment_id=consignment, label=place)
    told = client.get(f"/api/consignments/{consignment}/report?format=json").json()
    left = section(told, "What was not looked at")["sentences"]
    assert "Not opened or not looked at: 399 units." in left
    assert "Cartons not opened: 9." in left
    sample = " ".join(section(told, "The sample")["sentences"])
    assert "dice 2 6" in sample
    assert "nothing is said about the rest" in sample
    assert section(told, "Units to look at again")["table"]["rows"] == [
        [
            place,
            "conflict found",
            CONFLICT_SAID,
        ]
    ]
    assert "This is not a finding about any person or firm." in " ".join(strings(told))


def test_a_consignment_without_a_plan_says_nothing_about_the_rest(client: TestClient) -> None:
    told = client.get(f"/api/consignments/{make(client)}/report?format=json").json()
    assert "says nothing about the rest" in section(told, "The sample")["sentences"][0]
    assert told["statuses"][0]["word"] == "not_looked_at"


def test_the_list_its_edition_and_its_age_are_named() -> None:
    match = HolderMatchOut.model_validate(
        {
            "state": "near",
            "looked_up": "TC-84A-9898",
            "near": [
                NearMatch(
                    approval_number="TC-84A-9898n",
                    holder="Tamberlow Mask Co",
                    distance=1.0,
                    letters=(),
                )
            ],
            "list_name": "House list",
            "list_edition": 412,
            "list_checked_on": "2031-03-12",
            "list_age_days": 6,
            "fictional": True,
        }
    )
    said = words.list_says(match, SAY)
    assert said[0] == "TC-84A-9898: Near an entry, not equal."
    assert said[1] == (
        "Near, not equal: “TC-84A-9898n” of “Tamberlow Mask Co”; printed “TC-84A-9898”."
    )
    assert said[2] == "House list, edition 412, checked on 2031-03-12, 6 days old."
    assert "FICTIONAL" in said[3]


def test_invisible_characters_of_a_print_are_shown() -> None:
    assert shown("N95\u202e\n‚x‘") == "N95‹U+202E›‹U+000A›‚x‘"


def test_a_missing_font_is_named_with_what_to_do(tmp_path: Path) -> None:
    with pytest.raises(ReaderMissing, match="fonts-dejavu-core"):
        find_fonts(tmp_path / "none.ttf")


def test_a_photo_in_a_pdf_is_a_picture_that_opens(client: TestClient, send: Send) -> None:
    pdf = client.get(f"/api/units/{send(data=png(300, 200))['unit_id']}/report").content
    (width,) = set(re.findall(rb"/Width (\d+)", pdf))
    assert int(width) == 300
    assert io.BytesIO(pdf).read(5) == b"%PDF-"


@pytest.mark.parametrize("path", ["units/{}/report", "consignments/{}/report"])
def test_a_report_of_nothing_is_not_found(client: TestClient, path: str) -> None:
    for query in ("", "?format=json"):
        assert client.get(f"/api/{path.format(new_id())}{query}").status_code == 404
    assert client.get(f"/api/{path.format(new_id())}?format=xml").status_code == 422


def test_print_that_only_its_place_names_is_a_question_until_a_person_says_what_it_is(
    tmp_path: Path,
) -> None:
    """Issue 19, point 1. The reasons of the doubt and how a mark got its name stand with it."""
    typed_ones = "tests.api.typed_checker"
    set_up = settings(tmp_path, reader=f"{typed_ones}:build", judge=f"{typed_ones}:build_judge")
    app = create_app(set_up, clock=lambda: NOW)
    with TestClient(app, headers=HEADERS) as client:
        taken = naming.send(client)
        before = unit_json(client, taken["unit_id"])
        asked = section(before, "Print without a label")["sentences"]
        assert "“TAMBERLOW” on the facepiece: is this the name of the maker or model?" in asked
        assert len(asked) == 4  # what it means, and one question a piece of ink
        assert "TAMBERLOW" not in str(section(before, "What was read"))
        said = naming.word(taken["photo_id"], "0:1:model", "9417", named="lot")
        assert naming.say(client, said).status_code == 201
        after = unit_json(client, taken["unit_id"])
        table = section(after, "What was read")["table"]
        assert [table["headings"][place] for place in (4, 5)] == ["Why doubtful", "Named by"]
        (lot,) = [row for row in table["rows"] if row[0] == "lot"]
        assert lot[1:6] == ["9417", "9417", "read", "", "a person"]
        assert lot[-1].startswith("Ines Okparo")
        assert "9417" not in str(section(after, "Print without a label"))


def test_why_a_mark_is_doubtful_is_said_in_words_and_an_unknown_reason_by_its_name() -> None:
    assert words.reason("end_cut", SAY) == SAY("reason.end_cut")
    assert words.reason("a_reason_of_tomorrow", SAY) == "It is doubtful: a reason of tomorrow."


@pytest.mark.parametrize("language", LANGUAGES)
def test_a_report_speaks_the_language_that_was_asked_for(
    client: TestClient, send: Send, language: str
) -> None:
    """Titles, states, statuses and caveats; what people and prints say stays as it is."""
    say = phrases.shipped().of(language)
    taken = send("conflict.png", label="carton 3", whole="yes")
    decide(client, f"units/{taken['unit_id']}", "hold", "asked the holder")
    told = unit_json(client, taken["unit_id"], language)
    assert told["language"] == language
    assert told["statuses"][0]["text"].startswith(say("outcome.conflict"))
    assert told["statuses"][-1]["text"] == say("hold.do")
    titles = [one["title"] for one in told["sections"]]
    assert titles[0] == say("report.section.aspects")
    assert titles[-1] == say("report.section.evidence")
    assert {say("report.section.conflict"), say("report.section.caution")} <= set(titles)
    texts = list(strings(told))
    assert "asked the holder" in texts
    assert any("TC-84A-9981" in text for text in texts)
    if language != "en":
        english = set(SAY.texts.values()) - set(say.texts.values())
        assert {text for text in english & set(texts) if len(text) > 12} == set()


@pytest.mark.parametrize("language", LANGUAGES)
def test_a_consignment_speaks_the_language_that_was_asked_for(
    client: TestClient, send: Send, language: str
) -> None:
    say = phrases.shipped().of(language)
    consignment = make(client, units_declared=400, cartons_declared=10)
    plan(client, consignment, seed="dice 2 6")
    send("conflict.png", consignment_id=consignment)
    asked = {"format": "json", "lang": language}
    seen = client.get(f"/api/consignments/{consignment}", params={"lang": language}).json()
    told = client.get(f"/api/consignments/{consignment}/report", params=asked).json()
    way = section(told, say("report.section.in_the_way"))["sentences"]
    assert any(say("block.to_be_confirmed.lift") in one for one in way)
    sample = section(told, say("report.section.sample"))["sentences"]
    assert say("sampling.discovery.rest", rest=400 - seen["plan"]["n"]) in " ".join(sample)
    assert {one["lift"] for one in seen["in_the_way"]} <= set(say.texts.values())
    kept = seen["plan"]["statements"][0]
    assert kept["text"] in sample
    assert set(kept) == {"key", "values", "text"}


@pytest.mark.parametrize("language", LANGUAGES)
def test_a_pdf_has_a_letter_for_all_that_is_said(
    client: TestClient, send: Send, language: str
) -> None:
    """No box is drawn in the place of a letter: each has a glyph in one of the fonts."""
    fonts = find_fonts(language=language)
    # sentences of rules may quote print in Han or Hangul, whose fonts need not be there
    texts = phrases.shipped().of(language).texts
    said = "".join(text for key, text in texts.items() if not key.startswith("messages."))
    assert fonts.spelled(said) == said
    unit = send("conflict.png")["unit_id"]
    answer = client.get(f"/api/units/{unit}/report", params={"lang": language})
    assert answer.content.startswith(b"%PDF")
    if language != "hi":  # letters of Hindi are drawn in another order than they are written in
        text = " ".join(text_of(answer.content).split())
        assert " ".join(phrases.shipped().of(language)("outcome.conflict").split()) in text


def test_a_report_in_a_language_without_a_font_says_so_and_draws_no_boxes(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(
        "inkwitness.reports.fonts._OF_LANGUAGE", {"hi": ("fonts-lohit-deva", (tmp_path / "no",))}
    )
    with pytest.raises(ReaderMissing, match="fonts-lohit-deva"):
        find_fonts(language="hi")
    find_fonts(language="es")


def test_a_letter_without_a_font_is_spelled_out_and_a_sentence_says_so() -> None:
    fonts = Fonts(*(find_fonts().regular,) * 2, others=())
    assert fonts.spelled("医用 N95") == "‹U+533B›‹U+7528› N95"
    section = Section("What was read", ("医用 N95",))
    told = Document("unit", "Invented", NOW, (), (section,), "0" * 64)
    text = " ".join(text_of(draw(told, fonts)).split())
    assert "‹U+533B›‹U+7528› N95" in text
    assert SAY("report.spelled_out") in text


def test_a_language_that_is_not_spoken_is_refused(client: TestClient, send: Send) -> None:
    unit = send()["unit_id"]
    assert client.get(f"/api/units/{unit}/report?format=json&lang=de").status_code == 422


def test_what_there_is_in_english_only_is_marked_so_in_another_language(
    client: TestClient, send: Send
) -> None:
    unit = send()["unit_id"]
    told = unit_json(client, unit, "es")
    wear = section(told, phrases.shipped().of("es")("report.section.wear"))["sentences"]
    assert wear[0] == phrases.shipped().of("es")("care.fit")
    assert all(one.startswith("[en] ") for one in wear[1:])


def test_a_plan_of_old_keeps_the_sentence_that_was_stored_with_it() -> None:
    """Rows that were written before the phrase book are never changed; they still show."""
    old = {"key": "discovery.rest", "values": {"rest": 7}, "text": "As it was said then."}
    assert said(old, SAY) == "As it was said then."
    assert said({"key": "discovery.rest", "values": {"rest": 7}}, SAY).startswith("The other 7")
    assert said(old, phrases.shipped().of("fr")).startswith("Les 7 autres")


def test_a_number_stays_on_one_line_beside_long_reasons() -> None:
    """A number broken in two is copied wrong (common practice, no source)."""
    headings = ("Mark", "As printed", "Normal form", "Standing", "Why doubtful", "Named by", "On")
    why = " ".join(words.reason(name, SAY) for name in reasons.NAMES)
    row = (
        "approval number",
        "TC-84A-9981",
        "TC-84A-9981",
        "doubtful",
        why,
        "its form",
        "facepiece",
    )
    told = Document(
        kind="unit",
        title="Invented",
        made_at=NOW,
        statuses=(),
        sections=(
            Section("What was read", (), Table((*headings, "By"), ((*row, "Ines Okparo"),))),
        ),
        records_head="0" * 64,
    )
    text = text_of(draw(told, find_fonts()))
    assert text.count("TC-84A-9981") == 2
