"""What came with goods, on a phone: a paper typed, questions answered, a number before the network.

Every request goes to the real server; names and numbers are invented.
"""

import re
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from tests.web import hand
from tests.web.conftest import NewPage

pytestmark = pytest.mark.browser
NUMBER = re.compile(r"\d{6}-[0-9A-Z]{5}")


def fits(page: Page) -> None:
    """Nothing stands out of a phone's screen sideways."""
    wide = page.evaluate("document.documentElement.scrollWidth - window.innerWidth")
    assert wide <= 0


def open_consignment(page: Page, label: str) -> str:
    """A consignment made on the page; answers its short number."""
    page.goto("/#/consignment/new")
    expect(page.get_by_text(NUMBER)).to_be_visible()
    number = NUMBER.search(page.get_by_role("main").inner_text())
    assert number is not None
    page.get_by_label("What you call it").fill(label)
    page.get_by_role("button", name="Keep it").click()
    expect(page.get_by_text(number.group())).to_be_visible()
    return number.group()


def test_a_paper_is_typed_and_what_it_raises_is_said(new_page: NewPage) -> None:
    """Job map, scenario 4 (b): the title is not that of a type-examination certificate."""
    page = new_page()
    hand.open_page(page)
    open_consignment(page, "FICTIONAL papers")
    page.get_by_role("link", name="Papers", exact=True).click()
    expect(page.get_by_text("No paper was typed yet")).to_be_visible()
    page.get_by_role("button", name="Type a paper").click()
    page.get_by_label("title").fill("Certificate of Compliance")
    page.get_by_label("standard").fill("EN 149:2001+A1:2009")
    page.get_by_label("number of the body").fill("9844")
    page.get_by_role("button", name="Keep this paper").click()
    found = page.get_by_role("region", name="What the papers raise")
    expect(found).to_contain_text("The title reads “Certificate of Compliance”")
    expect(found).to_contain_text("Ask the body or laboratory that issued it")
    expect(found.get_by_role("img", name="Contradicts").first).to_be_visible()
    fits(page)


def test_questions_signals_and_use_are_kept(new_page: NewPage) -> None:
    page = new_page()
    hand.open_page(page)
    open_consignment(page, "FICTIONAL offer")
    page.get_by_role("link", name="About these goods").click()
    expect(page.get_by_text("Unanswered: 11 of 11")).to_be_visible()
    expect(page.get_by_text("Nothing entered yet")).to_have_count(3)
    hand.unfold(page, "Ask everyone alike")
    page.get_by_label(re.compile("Why is this much of it on offer now")).fill("Last carton.")
    page.get_by_role("button", name="Keep the answers").click()
    expect(page.get_by_text("Unanswered: 10 of 11")).to_be_visible()
    hand.unfold(page, "Noted about the offer")
    price = page.get_by_role("group", name=re.compile("far below that of others"))
    expect(price).to_contain_text("Not looked at")
    price.get_by_label("Yes").check()
    page.get_by_role("button", name="Keep what was noted").click()
    expect(page.get_by_role("main")).to_contain_text("Supplier: Cannot tell")
    hand.unfold(page, "What are they meant for?")
    page.get_by_label("Setting, as your site's policy names it").select_option("sterile-field")
    meant = page.get_by_role("region", name="What are they meant for?")
    expect(meant).to_contain_text("Nobody said whether the goods have an exhalation valve")
    expect(meant).to_contain_text("no permission")
    fits(page)


def test_the_number_stands_before_there_is_a_network(new_page: NewPage) -> None:
    """Need P01: goods and notes are tied together from the first call."""
    page = new_page()
    hand.open_page(page)
    page.goto("/#/consignment/new")
    expect(page.get_by_text(NUMBER)).to_be_visible()
    page.get_by_label("What you call it").fill("FICTIONAL offline")
    hand.kept_for_offline(page)
    page.context.set_offline(True)
    number = NUMBER.search(page.get_by_role("main").inner_text())
    assert number is not None
    page.get_by_role("button", name="Keep it").click()
    expect(page).to_have_url(re.compile("#/consignment/[0-9a-f-]{36}$"))
    expect(page.get_by_text(number.group())).to_be_visible()
    # opened anew from the phone, before any of it was sent
    page.reload()
    expect(page.get_by_text(number.group())).to_be_visible()
    page.context.set_offline(False)


def test_ticks_are_seen_on_another_phone_stay_with_no_network_and_photos_go_into_the_sample(
    new_page: NewPage, small_photo: Path
) -> None:
    page = new_page()
    hand.open_page(page, "consignment/new")
    hand.declare(page, "Delivery to walk", units=400, cartons=20)
    hand.draw(page, "dice 3 3")
    hand.kept_for_offline(page)
    page.get_by_role("link", name="Walk list").click()
    page.get_by_role("checkbox").nth(1).check(force=True)
    other = new_page(person="Bo Terrazin")
    hand.open_page(other, page.url.split("#/")[1])
    seen = other.get_by_role("checkbox", name=re.compile("Samira Kholvane"))
    expect(seen).to_be_checked()
    seen.uncheck(force=True)
    expect(page.get_by_role("checkbox").nth(1)).not_to_be_checked()
    page.context.set_offline(True)
    page.get_by_role("checkbox").first.check(force=True)
    expect(page.get_by_role("checkbox", name=re.compile("not sent yet"))).to_be_checked()
    page.reload()
    expect(page.get_by_role("heading", name="Walk list")).to_be_visible()
    expect(page.get_by_role("checkbox").first).to_be_checked()
    page.context.set_offline(False)
    hand.open_page(page, page.url.split("#/")[1].replace("/walk", "/sample"))
    page.get_by_role("link", name="Photos taken already").click()
    expect(page.get_by_text(re.compile("drawn places are free"))).to_be_visible()
    files = page.locator("input[type=file]")
    files.set_input_files([str(small_photo), __file__])
    expect(page.get_by_role("heading", name="Kept: 1")).to_be_visible()
    expect(page.get_by_role("alert")).to_contain_text("test_goods.py is no photo")
    page.get_by_role("link", name=re.compile("small.jpg")).click()
    expect(page.get_by_role("link", name="Back to the sample")).to_be_visible()
