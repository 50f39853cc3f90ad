"""On the phone: bins that reach the server, a lot that is found, a refused offer, typed print."""

import re
from typing import Any

from playwright.sync_api import Page, expect

from inkwitness.records.store import new_id
from tests.web import hand
from tests.web.conftest import NewPage

HEADERS = {"X-Actor": "Ines%20Okparo"}


def post(page: Page, path: str, **body: Any) -> Any:
    answer = page.request.post(f"/api/{path}", data={"id": new_id(), **body}, headers=HEADERS)
    assert answer.ok, answer.text()
    return answer.json()


def narrow(page: Page) -> None:
    """Nothing is wider than the phone (360 px)."""
    hand.until(page, "document.documentElement.scrollWidth <= 360")


def test_counts_reach_the_server_and_a_competent_person_takes_the_bins_over(
    new_page: NewPage,
) -> None:
    """Issue 24, point 10: bins on the server, offline first, and a sheet that is signed."""
    page = new_page(person="Bo Terrazin")
    hand.open_page(page, "bins")
    hand.kept_for_offline(page)
    page.context.set_offline(True)
    for name in ("Sealed", "Loose"):
        page.get_by_role("button", name=re.compile(f"^{name}")).click()
        page.get_by_role("button", name="How many are in this group?: +10").click()
        page.get_by_role("button", name="Put in, no photo").click()
    hand.unfold(page, "Which is which? In pictures")
    expect(page.get_by_text("Flat, with pleats and ear loops.")).to_be_visible()  # need V16
    page.get_by_label("About how many groups lie here?").fill("5")
    expect(page.get_by_text("Groups left: 3. Done: 2.")).to_be_visible()  # need V19
    page.context.set_offline(False)
    expect(page.get_by_text("On the server: 22 pieces")).to_be_visible()
    page.get_by_role("button", name=re.compile("^Undo: Loose")).click()
    expect(page.get_by_text("On the server: 11 pieces")).to_be_visible()
    page.get_by_label("Who takes them over").fill("Samira Kholvane, pharmacist")
    page.get_by_role("button", name="Hand over").click()
    expect(
        page.get_by_text(re.compile("Handed over to Samira Kholvane.*11 pieces"))
    ).to_be_visible()
    narrow(page)


def test_a_lot_is_found_and_the_store_says_why_it_is_not_handed_out(new_page: NewPage) -> None:
    page = new_page(person="Ines Okparo")
    label = "FICTIONAL delivery for the store"
    goods = post(page, "consignments", label=label, supplier="Kestrane", lots=["Q710"])
    told = {"consignment_id": goods["consignment_id"], "lot": "Q710"}
    post(page, "stock", kind="received", pieces=400, place="Store 2", **told)
    hand.open_page(page, "stock")
    page.get_by_label("Where is lot").fill("q-710")
    page.get_by_role("button", name="Look").click()
    lot = page.get_by_role("region", name="Lot Q710")
    expect(lot).to_contain_text("400 pieces · Store 2")
    expect(lot).to_contain_text("received, nobody decided")
    page.get_by_text("Write down a movement").click()
    page.get_by_label("What happened").select_option("handed_out")
    page.get_by_label("Consignment").select_option(goods["consignment_id"])
    page.get_by_label("How many pieces").fill("10")
    page.get_by_label("Where they lie").fill("Store 2")
    page.get_by_label("To or from whom").fill("Ward 3")
    page.get_by_role("button", name="Keep").click()
    expect(page.get_by_role("alert")).to_contain_text("Nobody released these goods")
    narrow(page)
    hand.open_page(page, "find")
    page.get_by_label("Number, lot").fill("Q710")
    found = page.get_by_role("link", name=re.compile(label))
    expect(found).to_be_visible()
    narrow(page)
    found.click()
    expect(page.get_by_role("heading", level=1)).to_contain_text(label)


def test_an_offer_is_refused_without_a_name_and_print_is_typed_without_a_photo(
    new_page: NewPage,
) -> None:
    """Job map, scenario 5 (D0 without the man's name or picture)."""
    page = new_page(person="Ines Okparo")
    hand.open_page(page, "offers")
    expect(page.get_by_text("No name, no picture")).to_be_visible()
    page.get_by_label("What was offered").fill("N95 with ear loops, no number")
    page.get_by_label("papers missing").check()
    page.get_by_role("button", name="Keep the short record").click()
    expect(page.get_by_role("listitem").filter(has_text="N95 with ear loops")).to_be_visible()
    page.get_by_label("The print, a line a line").fill("NIOSH\nN94\nTC-84A-9981")
    page.get_by_role("button", name="Look at it by the rules").click()
    expect(page.get_by_text("typed by Ines Okparo, no photo")).to_be_visible()
    narrow(page)


def test_a_folder_waits_for_the_question_about_faces_and_badges(new_page: NewPage) -> None:
    from tests.web.serving import SAMPLES

    page = new_page()
    hand.open_page(page, "import")
    expect(page.get_by_label("Choose photos")).to_be_disabled()
    page.get_by_label(re.compile("^I looked: no face")).check()
    names = ("us-complete.jpg", "en-complete.jpg")
    page.get_by_label("Choose photos").set_input_files([str(SAMPLES / name) for name in names])
    expect(page.get_by_text("Sent: ")).to_be_visible()
    page.get_by_label("Choose photos").set_input_files([str(SAMPLES / name) for name in names])
    expect(page.get_by_text("Brought before and left out: 2")).to_be_visible()
    narrow(page)
