"""A consignment's report on its papers, what was answered, intake, intended use, and set aside.

Issue 24, points 2, 3, 5, 7 and 8; all names and numbers are invented.
"""

import io
import json
from collections.abc import Iterator
from typing import Any

import pytest
from pypdf import PdfReader
from starlette.testclient import TestClient

from inkwitness import phrases
from inkwitness.api.app import create_app
from inkwitness.reports.document import Document, Section, Table
from inkwitness.reports.fonts import find_fonts
from inkwitness.reports.outgoing import wording
from inkwitness.reports.pdf import draw
from tests.api.conftest import HEADERS, NOW, settings
from tests.api.test_consignments import make
from tests.holders.test_api import accept, propose
from tests.intake.conftest import DECLARATION, keep_paper
from tests.reports.goods import ANSWER, WHY, Goods, post, rich, set_aside

READERS = {"reader": "", "judge": "_judge"}
LANGUAGES = sorted(phrases.shipped().languages)


@pytest.fixture(scope="module")
def goods(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Goods]:
    by_name = {name: f"tests.scenarios.prints:build{more}" for name, more in READERS.items()}
    app = create_app(settings(tmp_path_factory.mktemp("goods"), **by_name), clock=lambda: NOW)
    with TestClient(app, headers=HEADERS) as client:
        accept(client, propose(client)["proposal_id"])
        yield rich(client)


def told(goods: Goods, lang: str = "en", of: str = "") -> dict[str, Any]:
    query = {"format": "json", "lang": lang}
    answer = goods.client.get(f"/api/consignments/{of or goods.id}/report", params=query)
    assert answer.status_code == 200, answer.text
    found: dict[str, Any] = answer.json()
    return found


def section(report: dict[str, Any], title: str, part: str = "sections") -> dict[str, Any]:
    (found,) = [one for one in report[part] if one["title"] == title]
    return dict(found)


def said(report: dict[str, Any], title: str, part: str = "sections") -> str:
    return " ".join(section(report, title, part)["sentences"])


def test_each_paper_stands_by_its_fields_and_what_a_correction_took_the_place_of(
    goods: Goods,
) -> None:
    report = told(goods)
    paper = section(report, "Paper “EU Type-Examination Certificate”: type-examination certificate")
    rows = dict(paper["table"]["rows"])
    assert rows["Product or model"] == "HR-F20"
    assert rows["Lots"] == "H1; H2"
    text = " ".join(paper["sentences"])
    assert "the last figure was typed wrong" in text
    assert "certificate.pdf, SHA-256 " in text
    assert "cannot be read: signed by" in text
    assert "HR-F3" not in json.dumps(report)


def test_where_papers_differ_and_what_was_not_supplied_is_said_with_its_source(
    goods: Goods,
) -> None:
    """HR-F20 is another model than HR-F2. Production control: Regulation (EU) 2016/425, 19(c)."""
    report = told(goods)
    rows = section(report, "Papers, print, box and list beside each other")["table"]["rows"]
    (product,) = [row for row in rows if row[0] == "Product or model"]
    assert product[-1] == "do not agree"
    assert "names the product HR-F20, and the print shows HR-F2" in said(
        report, "What the papers raise"
    )
    missing = said(report, "What was not supplied")
    assert "No paper on the control of production" in missing
    assert "2016/425" in missing
    assert "HR-F20" in said(report, "What does not agree", "front")
    assert "papers" not in said(report, "What was not checked", "front")
    assert "nobody decided on it: " in said(report, "Papers that came with the goods")


def test_a_persons_decision_on_papers_stands_until_something_else_is_open(goods: Goods) -> None:
    other = make(goods.client, units_declared=3)
    title = "Papers that came with the goods"
    assert said(told(goods, of=other), title).startswith("No paper was typed")
    keep_paper(goods.client, {**DECLARATION, "product": "HR-F20"}, consignment_id=other)
    post(goods.client, f"consignments/{other}/papers/decide", reason="the body was asked")
    assert "the body was asked" in said(told(goods, of=other), title)
    keep_paper(goods.client, {**DECLARATION, "signed_by": "Somebody"}, consignment_id=other)
    assert "does not cover what is open now" in said(told(goods, of=other), title)


def test_answers_stand_letter_for_letter_with_who_gave_and_who_wrote_them_down(
    goods: Goods,
) -> None:
    text = section(told(goods), "What was given, and what was answered")["sentences"]
    to_supplier, to_holder, answer = text
    assert to_supplier.endswith("No answer to it was written down.")
    assert "No answer" not in to_holder
    assert f"“{ANSWER}”" in answer
    assert "Approval holder “Halcyra Respire, quality desk” answered" in answer
    assert "Written down by Ines Okparo, 2031-03-18 09:00 UTC" in answer
    assert "something else" in answer


def test_intended_use_is_a_caution_and_never_a_permission(goods: Goods) -> None:
    report = told(goods)
    use = said(report, "Intended use beside the site's policy")
    assert "Declared for: Sterile field." in use
    assert "Caution: The goods have an exhalation valve" in use
    assert "is no permission" in use
    assert "common practice, no source" in use
    assert "exhalation valve" in said(report, "Intended use beside the site's policy", "front")


def test_intake_shows_what_was_declared_what_is_unanswered_and_signals_as_facts(
    goods: Goods,
) -> None:
    report = told(goods)
    rows = dict(section(report, "What was declared")["table"]["rows"])
    assert rows["Seals counted"] == "7"
    assert rows["What are they meant for?"] == "Sterile field"
    asked = section(report, "What was asked of whoever offers the goods")
    answers = [row[1] for row in asked["table"]["rows"]]
    assert answers.count("not answered") == 9
    assert asked["sentences"] == ["Answered, word for word as written down: 2 of 11."]
    noted = said(report, "What was noted about the offer")
    assert "The price is far below that of others. “a third of the usual”" in noted
    assert "The account to pay to was changed" not in noted
    assert "Looked for and not noted: 1. Nobody looked for: 15." in noted


def test_one_table_lays_the_values_of_all_units_side_by_side(goods: Goods) -> None:
    """Issue 25, points 4 and 6: what units bear, who differs, and what was declared."""
    part = section(told(goods), "Is it one product? What units bear, value by value")
    rows = part["table"]["rows"]
    declared, most, other = [row[1:] for row in rows if row[0] == "Filter class"]
    assert declared == ["FFP2", "", "as declared"]
    assert most[:2] == ["FFP2", "3"]
    assert other == ["N95", "1 (packaging: 1, mask: 1)", "outside the draw"]
    (without,) = [row for row in rows if row[0] == "Model" and row[1] == "not read or confirmed"]
    assert without[2:] == ["1", "outside the draw"]
    assert "More than one value: filter class (2)" in " ".join(part["sentences"])
    assert "does not say why" in part["sentences"][0]


def test_what_a_person_set_aside_says_so_and_is_no_open_difference(goods: Goods) -> None:
    """Issue 24, point 7: kept beside the finding; the outcome stays as it was found."""
    before = told(goods)
    assert "reads NOISH" in said(before, "What does not agree", "front")
    set_aside(goods, "outside the draw", "us-niosh-near-spelling")
    report = told(goods)
    assert "reads NOISH" not in said(report, "What does not agree", "front")
    aside = said(report, "Set aside by a named person", "front")
    for words in ("reads NOISH", "Set aside by Ines Okparo, 2031-03-18 09:00 UTC", WHY):
        assert words in aside
    (unit,) = [one for one in report["units"] if "outside the draw" in one["title"]]
    assert unit["title"].endswith("conflict found")
    (finding,) = [one for one in unit["sentences"] if "reads NOISH" in one]
    assert finding.startswith("Set aside by a named person: ")
    assert WHY in finding
    assert report["statuses"][0]["word"] == before["statuses"][0]["word"] == "conflict"
    alone = goods.client.get(
        f"/api/units/{goods.units['outside the draw']}/report", params={"format": "json"}
    ).json()
    assert "reads NOISH" not in said(alone, "What does not agree")
    assert WHY in said(alone, "Findings that people set aside")
    supplier, authority = (
        goods.client.get(f"/api/consignments/{goods.id}/messages/{to}").json()["text"]
        for to in ("supplier", "authority")
    )
    assert "NOISH" not in supplier
    first, _, last = authority.partition("set aside here by a named person")
    assert "NOISH" not in first
    assert "NOISH" in last
    assert WHY in last


@pytest.mark.parametrize("to", ["supplier", "authority"])
def test_a_message_has_no_title_of_a_source_that_reads_as_an_accusation(
    goods: Goods, to: str
) -> None:
    """Issue 25, point 7. An authority is told the source, in quotation marks."""
    text = goods.client.get(f"/api/consignments/{goods.id}/messages/{to}").json()["text"]
    assert ("counterfeit" in text) is (to == "authority")
    assert wording.judging("en", text) == []


@pytest.mark.parametrize("language", LANGUAGES)
def test_the_report_is_drawn_in_each_language_and_judges_nobody(
    goods: Goods, language: str
) -> None:
    report = told(goods, language)
    ours = [one["title"] for one in (*report["front"], *report["sections"])]
    ours += [one for part in report["sections"] for one in part["sentences"]]
    found = {text: words for text in ours if (words := wording.judging(language, text))}
    allowed = phrases.shipped().of(language)("caveat.short")
    assert {text for text in found if text != allowed} == set()


def test_a_row_that_is_higher_than_a_page_goes_on_in_another() -> None:
    long = " ".join(f"word{n}" for n in range(3000))
    table = Table(("Question", "Answer"), (("short", long), ("after", "it")))
    sections = (Section("asked", (), table),)
    document = Document("consignment", "x", NOW, (), sections, "0" * 64)
    pages = PdfReader(io.BytesIO(draw(document, find_fonts(None, "en")))).pages
    text = " ".join(" ".join(page.extract_text().split()) for page in pages)
    assert all(f"word{n}" in text for n in (0, 1500, 2999))
    assert "after it" in text
