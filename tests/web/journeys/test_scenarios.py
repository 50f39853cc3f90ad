"""Scenarios 1 and 3 of the job map (section 8) on a phone, their "must not" as well.

Names, numbers and lots are the job map's own, invented. The readers are stood in for: what is
printed in a picture is told by the picture (tests/scenarios/prints.py); all the rest is real. What
another person does, and what one person repeats for the hundredth time, goes through the API.
"""

import io
import json
import re
from collections.abc import Iterator
from typing import Any
from urllib.parse import quote

import httpx2
import pytest
from PIL import Image
from PIL.PngImagePlugin import PngInfo
from playwright.sync_api import Browser, FilePayload, Locator, Page, expect

from inkwitness.records.store import new_id
from inkwitness.reports.outgoing import wording
from tests.holders.test_api import CSV
from tests.intake.conftest import DECLARATION
from tests.scenarios.prints import PRINT
from tests.scenarios.words import as_read
from tests.web import hand
from tests.web.conftest import NewPage, phones
from tests.web.serving import server

pytestmark = pytest.mark.browser

LOTS = ("A310", "A311", "A312")
#: 10 % of the 8,000 units of a lot shown with 95 %: from the table of zero found.
EACH = 29
REPLY = "Lots A310 and A311 are ours. We have no lot A312 in our records."
SECOND = {"X-Actor": quote("Bo Terrazin")}
shades = iter(range(1, 1_000_000))


@pytest.fixture(scope="module")
def house(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """The job map's list in force (8.0), its day, and a release that takes a second person."""
    folder = tmp_path_factory.mktemp("scenarios")
    # Nothing here reads a picture, so that no process apart is needed for it.
    told = {"on": "2031-03-18", "two_persons": "true", "workers": "0", "helpers": "0"}
    with server(
        folder, reader="tests.scenarios.prints:build", demo=False, settings=told
    ) as address:
        form = {"id": new_id(), "name": "HOUSE-LIST", "checked_on": "2031-03-12"}
        with httpx2.Client(
            base_url=f"{address}/api/holders/", headers=SECOND, timeout=120
        ) as keeper:
            file = {"file": ("list.csv", CSV)}
            kept = keeper.post("proposals", data=form, files=file).raise_for_status().json()
            where = f"proposals/{kept['proposal_id']}/accept"
            keeper.post(where, json={"id": new_id()}).raise_for_status()
        yield address


@pytest.fixture
def opens(browser: Browser, house: str) -> Iterator[NewPage]:
    with phones(browser, house) as made:
        yield made


def picture(name: str) -> FilePayload:
    """A picture of its own that tells what is printed in it."""
    info = PngInfo()
    info.add_text(PRINT, name)
    out = io.BytesIO()
    Image.new("RGB", (1200, 900), f"#{next(shades):06x}").save(out, "PNG", pnginfo=info)
    return {"name": name, "mimeType": "image/png", "buffer": out.getvalue()}


def take(page: Page, name: str, *, straps: bool = False) -> None:
    """A photo of the whole facepiece, from where one photographs."""
    page.locator("input[type=file]").set_input_files(picture(name))
    expect(page.get_by_text(re.compile("Looked at on this phone"))).to_be_visible()
    if straps:
        page.get_by_role("radio", name="Head straps").check(force=True)
    page.get_by_role("button", name="Yes, all of it").click()


def confirm_all(page: Page) -> None:
    """Compare each mark with its ink: the approval number by itself, the others at once."""
    hand.confirm(page, "Approval number")
    page.get_by_role("button", name=re.compile("^The ink says all of these")).click()
    expect(page.get_by_text("Every mark that was read is confirmed.")).to_be_visible()


def goods_of(page: Page) -> dict[str, Any]:
    """The consignment that is open, as the server has it."""
    (id_,) = re.findall(r"consignment/([0-9a-f-]{36})", page.url)
    seen: dict[str, Any] = page.request.get(f"/api/consignments/{id_}").json()
    return seen


def agree(page: Page, goods: str, about: str, lot: str = "") -> None:
    """The second person says that they agree, on a phone of their own."""
    said = {"id": new_id(), "disposition": "agree", "reason": "seen", "about": about, "lot": lot}
    told = page.request.post(f"/api/consignments/{goods}/decisions", data=said, headers=SECOND)
    assert told.ok, told.text()


def part(page: Page, name: str) -> Locator:
    return page.get_by_role("region", name=name)


def decide(page: Page, what: str, why: str, *, lot: str = "", answer: str = "") -> Locator:
    """Decide on the page; the part of the page that one decides in."""
    box = part(page, "Decide")
    if lot:
        box.get_by_role("radio", name=f"lot {lot}", exact=True).check(force=True)
    choice = box.get_by_role("radio", name=what, exact=True)
    if not choice.is_visible():
        box.get_by_text("More ways to decide").first.click()
    choice.check(force=True)
    if answer:
        box.get_by_role("radio", name=answer).check(force=True)
    box.get_by_label("Why, in a few words").fill(why)
    box.get_by_role("button", name="Keep this decision").click()
    return box


def look_up(page: Page, answer: str, words: str) -> None:
    """Write down what the authority's own list said of the number that the page asks for."""
    box = part(page, "The authority's own list")
    box.get_by_text("Keep a look-up", exact=True).click()
    box.get_by_label("Which list").fill("Certified Equipment List")
    box.get_by_role("radio", name=answer, exact=True).check(force=True)
    box.get_by_label("Its words, letter for letter").fill(words)
    box.get_by_role("button", name="Keep the look-up").click()
    expect(box.get_by_text(f"“{words}”")).to_be_visible()


def keep_papers(page: Page) -> None:
    """The holder's label and letter, as they came with the goods."""
    page.get_by_role("link", name="Papers", exact=True).click()
    label = {"title": "Approval Label"}
    letter = {"title": "Letter of Authorisation", "lots": ", ".join(LOTS)}
    for kind, more in (("approval_label", label), ("authorisation", letter)):
        page.get_by_role("button", name="Type a paper").click()
        page.locator("select").select_option(kind)
        common = {"holder or maker": "Vexholm Filtration Works", "product or model": "VX-910"}
        for name, value in {**common, "number": "TC-84A-9981", **more}.items():
            page.get_by_role("textbox", name=re.compile(f"^{name}")).fill(value)
        page.get_by_role("button", name="Keep this paper").click()
        expect(page.get_by_role("button", name="Type a paper")).to_be_visible()
    expect(page.get_by_role("main")).to_contain_text("No conflict found in what was checked")
    expect(part(page, "Field by field")).to_contain_text("lots – agree")
    page.get_by_role("link", name="To the consignment").click()


def declare_lots(page: Page) -> None:
    """How much of each lot there is."""
    page.get_by_role("link", name="About these goods").click()
    lots = page.get_by_role("region", name="Lots")
    for place in range(len(LOTS)):
        lots.get_by_label("Units").nth(place).fill("8000")
        lots.get_by_label("Cartons").nth(place).fill("20")
    lots.get_by_label("Why are the lots others").fill("sizes as on the packing list")
    lots.get_by_role("button", name="Keep the lots").click()
    expect(page.get_by_label("Why are the lots others")).to_have_value("")
    page.get_by_role("link", name="To the consignment").click()


def photograph_the_sample(page: Page, goods: str) -> None:
    """The first unit at its place; the others are on her phone already and go into the places."""
    page.get_by_role("link", name=re.compile("^To the sample")).click()
    drawn = goods_of(page)["drawn"]
    order = sorted((one["place"] for one in drawn), key=lambda one: (one.rpartition("/")[0], one))
    prints = {place: f"vx-910-{place[:4].lower()}.png" for place in order}
    page.get_by_role("main").get_by_role("link", name="Photograph", exact=True).click()
    first = drawn[0]["place"]
    expect(page.get_by_role("heading", name=f"Photograph {first}")).to_be_visible()
    take(page, prints[first], straps=True)
    expect(page.get_by_text(f"left, of {len(order)}")).to_be_visible()
    hand.until(page, "n => document.querySelector('.left')?.textContent === n", str(len(order) - 1))
    for _ in range(1800):
        if any(one["outcome"] for one in goods_of(page)["drawn"]):
            break
        page.wait_for_timeout(100)
    else:
        raise AssertionError("the first photo was not read")
    page.get_by_role("link", name="Photos taken already").click()
    expect(page.get_by_text(re.compile(f"^{len(order) - 1} drawn places are free"))).to_be_visible()
    page.get_by_role("radio", name="Yes, all of it").check(force=True)
    rest = [picture(prints[place]) for place in order if place != first]
    page.locator("input[type=file]").set_input_files(rest)
    expect(page.get_by_role("heading", name=f"Kept: {len(rest)}")).to_be_visible()
    for _ in range(1800):
        found = page.request.get(f"/api/consignments/{goods}").json()
        if all(one["outcome"] for one in found["drawn"]):
            return
        page.wait_for_timeout(200)
    raise AssertionError("not every photo was read")


def confirm_the_sample(page: Page, goods: str) -> None:
    """Two units mark by mark on the page; of the others a colleague says it."""
    drawn = page.request.get(f"/api/consignments/{goods}").json()["drawn"]
    for place in drawn[:2]:
        hand.open_page(page, f"unit/{place['unit_id']}")
        confirm_all(page)
        expect(hand.outcome(page)).to_contain_text("No conflict found")
    for place in drawn[2:]:
        (check,) = page.request.get(f"/api/units/{place['unit_id']}").json()["checks"]
        said = {"confirmations": as_read(check["photo_id"], check["check"])}
        told = page.request.post("/api/confirmations/several", data=said, headers=SECOND)
        assert told.ok, told.text()


def test_a_shipment_in_which_nothing_differs_is_no_release_and_one_lot_is_not_known(
    opens: NewPage,
) -> None:
    """Scenario 1: from the first call to a lot released by two people, two lots on hold."""
    page = opens(person="Ines Okparo")
    hand.open_page(page, "consignment/new")
    page.get_by_label("Lots").fill(", ".join(LOTS))
    hand.declare(page, "FICTIONAL shipment", units=24_000, cartons=60)
    goods = goods_of(page)["consignment_id"]
    declare_lots(page)
    keep_papers(page)
    for lot in LOTS:
        box = part(page, "Decide")
        box.get_by_role("radio", name=f"lot {lot}", exact=True).check(force=True)
        box.get_by_role("button", name="Hold all of it").click()
        row = part(page, "Lot by lot").locator(".slip").filter(has_text=f"lot {lot}").first
        expect(row.get_by_text("HOLD", exact=True)).to_be_visible()
    plan = page.get_by_role("main")
    plan.get_by_role("radio", name="10 %").check(force=True)
    plan.get_by_role("checkbox", name="Each lot by itself").check(force=True)
    plan.get_by_label("Cartons to open in all").fill("20")
    hand.draw(page, "dice 4 1 6 2")
    expect(part(page, "The sample")).to_contain_text("dice 4 1 6 2")
    drawn = {one["code"]: one["drawn"] for one in goods_of(page)["lot_samples"]}
    assert drawn == dict.fromkeys(LOTS, EACH)
    photograph_the_sample(page, goods)
    confirm_the_sample(page, goods)

    # Nothing differs, and that is no release: no tick, no share, no word of a verdict.
    hand.open_page(page, f"consignment/{goods}")
    outcome = hand.outcome(page)
    expect(outcome).to_contain_text("No conflict found in what was checked")
    expect(outcome).to_contain_text("Not a release")
    assert not re.search("[%✓✔]", outcome.inner_text())
    assert not wording.judging("en", page.get_by_role("main").inner_text())
    expect(part(page, "What was seen")).to_contain_text("Units looked at: 87, of 24,000 declared.")
    report = str(page.get_by_role("link", name="Report (PDF)").get_attribute("href"))
    told = page.request.get(report.replace("format=pdf", "format=json")).text()
    for said in (
        "Units looked at: 87 of 24,000, from 20 of 60 cartons.",
        "HOUSE-LIST",
        "TC-84A-9981 was not looked up on the authority's own list.",
        "Filtration, breathing resistance, leakage and fit were not tested.",
        "Who made the goods was not established.",
    ):
        assert said in told, said

    # She asks the holder, lot by lot. The page says what a release waits for, and refuses it.
    for lot in LOTS:
        decide(page, "Ask the holder", "Is this lot yours?", lot=lot)
        expect(part(page, "Decide")).to_contain_text(f"Ask the holder · lot {lot}")
    box = decide(page, "Release, by me", "wanted today", lot="A310")
    refused = box.get_by_role("alert")
    expect(refused).to_contain_text("cannot be released yet")
    for waits in ("look", "holder", "second person", "hold"):
        expect(refused).to_contain_text(re.compile(waits, re.IGNORECASE))

    look_up(page, "Listed, and agrees", "VX-910, N95, Vexholm Filtration Works")
    for lot, answer in (("A310", "As printed"), ("A311", "As printed"), ("A312", "Something else")):
        decide(page, "The holder answered", REPLY, lot=lot, answer=answer)
        expect(part(page, "Decide")).to_contain_text(f"The holder answered · lot {lot}")
    lots = part(page, "Lot by lot")
    for place, lot in enumerate(LOTS):
        row = lots.locator(".slip").nth(place)
        expect(row).to_contain_text(f"lot {lot} HOLD")
        expect(row.get_by_text("Conflict found")).to_have_count(1 if lot == "A312" else 0)
    # Of A312 no more than that the holder does not know it, word for word and with its day.
    known = lots.locator(".slip").nth(2)
    expect(known).to_contain_text(REPLY)
    expect(known).to_contain_text("does not know this as printed")
    assert not wording.judging("en", known.inner_text())
    decide(page, "Hold for a conflict, keep the evidence", REPLY, lot="A312")
    expect(part(page, "Decide")).to_contain_text("D6")
    # What came in released nothing, and one person alone ends no hold.
    assert {one["released"] for one in goods_of(page)["lot_stands"]} == {""}
    assert all(one["held"] for one in goods_of(page)["lot_stands"])
    box = decide(page, "Lift the hold", "all is here", lot="A310")
    expect(box.get_by_role("alert")).to_contain_text("second person")
    for about in ("lift_hold", "release"):
        agree(page, goods, about, "A310")
    page.reload()  # what is lifted is decided on what is seen, and somebody agreed since
    decide(page, "Lift the hold", "all is here", lot="A310")
    expect(part(page, "Decide")).to_contain_text("Lift the hold · lot A310")
    decide(page, "Release, by me", "all is here", lot="A310")
    expect(part(page, "Decide")).to_contain_text("Release, by me · lot A310")
    stands = {one["code"]: (one["held"], one["released"]) for one in goods_of(page)["lot_stands"]}
    assert stands == {"A310": (False, "release"), "A311": (True, ""), "A312": (True, "")}
    hand.until(page, "document.documentElement.scrollWidth <= 360")


def test_a_private_label_of_the_list_is_no_conflict_on_the_page(opens: NewPage) -> None:
    """Scenario 3 (a): the name differs from the holder's, and the page says why that is none."""
    page = opens(person="Ines Okparo")
    hand.open_page(page, "take")
    take(page, "lc-22.png")
    page.get_by_role("button", name="See what was read").click()
    confirm_all(page)
    expect(hand.outcome(page)).to_contain_text("No conflict found in what was checked")
    listed = part(page, "Your list")
    listed.locator("summary").filter(has_text="Printed beside listed").click()
    name = listed.get_by_role("row").filter(has_text="LUMBREL CARE")
    expect(name).to_contain_text("Agrees")
    expect(listed).to_contain_text("private label of the holder")
    for place in (hand.outcome(page), part(page, "What it shows"), listed):
        expect(place.get_by_role("img", name=re.compile("Contradicts|Conflict"))).to_have_count(0)


def test_an_unlisted_name_under_a_listed_number_is_asked_about_and_not_cleared(
    opens: NewPage,
) -> None:
    """Scenario 3 (b): cannot tell; the holder is asked; what the authority's list shows counts."""
    page = opens(person="Ines Okparo")
    hand.open_page(page, "consignment/new")
    hand.declare(page, "FICTIONAL ten boxes", units=1, cartons=1)
    goods = goods_of(page)["consignment_id"]
    page.get_by_role("link", name="Photograph a unit of it").click()
    take(page, "oh-1.png")
    page.get_by_role("button", name="See what was read").click()
    confirm_all(page)
    expect(hand.outcome(page)).to_contain_text("Cannot tell")
    shown = part(page, "What it shows")
    expect(shown.get_by_role("img", name=re.compile("Contradicts|Conflict"))).to_have_count(0)
    expect(part(page, "Your list")).to_contain_text("TC-84A-9918")
    assert "No conflict found" not in hand.outcome(page).inner_text()

    hand.open_page(page, f"consignment/{goods}/give-out")
    page.get_by_text("Message", exact=True).click()
    page.get_by_role("radio", name="Approval holder", exact=True).check(force=True)
    page.get_by_role("button", name="Write the message").click()
    text = page.get_by_label("The text, to copy or print")
    expect(text).to_have_value(re.compile("OH-1"))
    assert not wording.judging("en", text.input_value())
    box = page.locator("details", has_text="Write the message")
    box.locator("select").first.select_option("holder")
    box.get_by_label("Name or office").fill("Quarrimond Breathing Ltd, office of approvals")
    page.get_by_role("button", name="Write down that it was given").click()
    expect(part(page, "Given and answered")).to_contain_text("Quarrimond Breathing Ltd")

    hand.open_page(page, f"consignment/{goods}")
    part(page, "Decide").get_by_role("button", name="Hold all of it").click()
    expect(page.get_by_text("HOLD – do not use.")).to_be_visible()
    box = decide(page, "Release, by me", "wanted today")
    expect(box.get_by_role("alert")).to_contain_text("cannot be released yet")
    waits = {one["key"] for one in goods_of(page)["in_the_way"]}
    assert {"answer_awaited", "undecided_cannot_tell", "held"} <= waits
    look_up(page, "Listed, but for something else", "OH-1 is not shown under this number")
    page.reload()
    part(page, "Decide").get_by_role("radio", name="Release, by me").check(force=True)
    expect(part(page, "Decide")).to_contain_text("did not find it listed as printed")
    assert goods_of(page)["outcome"] == "cannot_tell"


def test_a_look_up_rests_on_a_kept_paper_where_no_list_of_goods_is_public(opens: NewPage) -> None:
    """EN 149: maker and model on the declaration are held against the print (issue 24, point 1)."""
    page = opens(person="Ines Okparo")
    hand.open_page(page, "consignment/new")
    hand.declare(page, "FICTIONAL box from Europe", units=1, cartons=1)
    goods = goods_of(page)["consignment_id"]
    page.get_by_role("link", name="Photograph a unit of it").click()
    take(page, "hr-f2.png")
    page.get_by_role("button", name="See what was read").click()
    page.get_by_role("button", name=re.compile("^The ink says all of these")).click()
    expect(page.get_by_text("Every mark that was read is confirmed.")).to_be_visible()
    for product in ("HR-F2", "HR-F20"):
        paper = {**DECLARATION, "title": f"EU Declaration of Conformity {product}"}
        told = {"id": new_id(), "consignment_id": goods}
        told["paper"] = json.dumps({**paper, "product": product})
        kept = page.request.post("/api/papers", multipart=told, headers=SECOND)
        assert kept.ok, kept.text()
    hand.open_page(page, f"consignment/{goods}")
    assert "no_papers_look_up" in {one["key"] for one in goods_of(page)["in_the_way"]}
    box = part(page, "The authority's own list")
    box.get_by_text("Keep a look-up", exact=True).click()
    # The authority's list names no paper; the declaration lists the two that are kept.
    papers = box.get_by_label("Which paper kept with these goods?")
    expect(papers).to_have_count(0)
    box.get_by_role("radio", name="The declaration of conformity").check(force=True)
    expect(papers.get_by_role("option")).to_have_count(3)
    expect(box.get_by_label("Asked for")).to_have_value(re.compile("HR-F2"))
    for product in ("HR-F20", "HR-F2"):
        papers.select_option(label=f"EU Declaration of Conformity {product}")
        expect(box.get_by_label("Which list")).to_have_value(re.compile(f"{product}$"))
        box.get_by_role("radio", name="Listed, and agrees").check(force=True)
        box.get_by_label("Its words, letter for letter").fill(f"{product}, Halcyra Respire")
        hand.until(page, "document.documentElement.scrollWidth <= 360")
        box.get_by_role("button", name="Keep the look-up").click()
        if product == "HR-F20":
            expect(box.get_by_role("alert")).to_contain_text("The paper says “HR-F20”")
    expect(box.get_by_text("It rests on a paper kept with these goods.")).to_be_visible()
    expect(box.get_by_role("alert")).to_have_count(0)
    assert "no_papers_look_up" not in {one["key"] for one in goods_of(page)["in_the_way"]}
