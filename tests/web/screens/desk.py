"""Work at a table: sampling, the list of holders, rules, bins, offers, photos brought in, keys."""

import re

from playwright.sync_api import Page, expect

from tests.web import hand
from tests.web.journeys.test_list_keeper import OTHERS, choose, map_columns, table
from tests.web.screens.camera import Camera, settle
from tests.web.screens.house import House
from tests.web.serving import SAMPLES


def sampling(page: Page, house: House, shot: Camera) -> None:
    """How many, and a draw."""
    hand.open_page(page, "sampling")
    expect(page.get_by_role("img", name=re.compile("Chance"))).to_be_visible()
    page.get_by_role("button", name="Draw").click()
    expect(page.get_by_text(re.compile("ticked off"))).to_be_visible()
    shot(page, "sampling", full=True)


def holders(page: Page, house: House, shot: Camera) -> None:
    """The list searched; a table of others mapped, proposed and accepted; look-ups; rules."""
    settle(page, "holders")
    shot(page, "list", full=True)
    page.get_by_label("Number, model or name").fill("quarr")
    expect(page.get_by_text(re.compile("^Entries: [1-9]"))).to_be_visible()
    hand.unfold(page, re.compile("^Every edition"))
    shot(page, "searched", full=True)
    page.get_by_label("Number, model or name").fill("nobody")
    expect(page.get_by_text(re.compile("^Nothing found"))).to_be_visible()
    shot(page, "not-found")
    hand.open_page(page, "holders/look-ups")
    page.get_by_text("Keep a look-up", exact=True).click()
    shot(page, "look-ups", full=True)
    hand.open_page(page, "holders/import")
    shot(page, "import")
    choose(page, "others.csv", table(OTHERS))
    expect(page.get_by_role("alert")).to_contain_text("no column for scheme, holder")
    shot(page, "import-columns", full=True)
    map_columns(page)
    expect(page.get_by_text("Put the errors right in the file")).to_be_visible()
    shot(page, "import-errors", full=True)
    mended = (*OTHERS[:2], (*OTHERS[2][:4], "2026-11-20", *OTHERS[2][5:]))
    choose(page, "others.csv", table(mended))
    map_columns(page)
    expect(page.get_by_role("button", name="Keep as a proposal")).to_be_visible()
    shot(page, "import-difference", full=True)
    looked = page.get_by_role("checkbox", name=re.compile("^I have looked at each"))
    if looked.count():
        looked.check(force=True)
    page.get_by_role("button", name="Keep as a proposal").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Proposed list")
    page.wait_for_load_state("networkidle")
    shot(page, "proposal", full=True)
    page.get_by_role("button", name="Accept as the next edition").click()
    expect(page.get_by_role("region", name="Stock looked at again")).to_be_visible()
    shot(page, "accepted", full=True)
    hand.open_page(page, "rules")
    page.get_by_text("NIOSH respirators").click()
    page.wait_for_load_state("networkidle")
    shot(page, "rules", full=True)


def many(page: Page, house: House, shot: Camera) -> None:
    """Bins, counted and handed over; photos of a roll and of a folder."""
    hand.open_page(page, "bins")
    shot(page, "bins", side=True)
    page.get_by_role("button", name=re.compile("^Ear loops")).click()
    shot(page, "bin-chosen", full=True)
    page.get_by_role("button", name="How many are in this group?: +10").click()
    page.get_by_role("button", name="Put in, no photo").click()
    page.get_by_role("button", name=re.compile("^Sealed")).click()
    page.get_by_role("button", name="Put in, no photo").click()
    expect(page.get_by_text("On the server: 12 pieces")).to_be_visible()
    shot(page, "bins-filled", full=True)
    page.get_by_label("Who takes them over").fill("Samira Kholvane, pharmacist")
    page.get_by_role("button", name="Hand over").click()
    expect(page.get_by_text(re.compile("^Handed over to"))).to_be_visible()
    shot(page, "handed-over", full=True)
    hand.open_page(page, "roll")
    shot(page, "roll", full=True)
    photos = [str(SAMPLES / "us-complete.jpg"), __file__]
    page.locator("input[type=file]").set_input_files(photos)
    expect(page.get_by_role("heading", name="Kept: 1")).to_be_visible()
    shot(page, "roll-brought", full=True)
    hand.open_page(page, "import")
    shot(page, "folder", full=True)
    page.get_by_label(re.compile("^I looked: no face")).check(force=True)
    page.get_by_label("Choose photos").set_input_files(photos)
    expect(page.get_by_text("Sent: ")).to_be_visible()
    shot(page, "folder-brought", full=True)


def offers(page: Page, house: House, shot: Camera) -> None:
    """Goods refused at the door, and print that was typed."""
    hand.open_page(page, "offers")
    shot(page, "offers", full=True)
    page.get_by_label("What was offered").fill("N95 with ear loops, no number")
    page.get_by_label("papers missing").check(force=True)
    page.get_by_role("button", name="Keep the short record").click()
    expect(page.get_by_role("listitem").filter(has_text="N95 with ear loops")).to_be_visible()
    page.get_by_label("The print, a line a line").fill("NIOSH\nN94\nTC-84A-9981")
    page.get_by_role("button", name="Look at it by the rules").click()
    expect(page.get_by_text(re.compile("no photo$"))).to_be_visible()
    shot(page, "refused-and-typed", full=True)


def more(page: Page, house: House, shot: Camera) -> None:
    """Further pages, and the keys of a desk."""
    settle(page, "more")
    shot(page, "more", full=True, side=True)
    house.read("complete")
    page.set_viewport_size({"width": 1280, "height": 800})
    hand.open_page(page, f"unit/{house.units['complete']}")
    expect(page.get_by_role("navigation", name="Kept checks")).to_be_visible()
    page.get_by_role("button", name="Keys").click()
    page.wait_for_timeout(300)
    shot.once(page, "1280-light", "keys")
