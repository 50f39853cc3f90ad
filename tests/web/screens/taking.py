"""First use, taking photos, and a phone with no network."""

import re
import tempfile
from pathlib import Path

from PIL import Image, ImageFilter
from playwright.sync_api import Page, expect

from tests.web import hand
from tests.web.screens.camera import Camera
from tests.web.screens.house import House
from tests.web.serving import SAMPLES


def first_use(page: Page, house: House, shot: Camera) -> None:
    """A phone that was never used: three steps, the first screen, language, name, codes."""
    hand.open_page(page)
    page.evaluate("localStorage.setItem('ink.guided', 'false')")
    page.reload()
    expect(page.get_by_role("link", name="Show me")).to_be_visible()
    shot(page, "home-first-time", full=True)
    page.get_by_role("link", name="Show me").click()
    shot(page, "step-1", side=True)
    page.get_by_role("button", name="Next step").click()
    page.get_by_role("button", name="7", exact=True).click()
    shot(page, "step-2")
    page.get_by_role("button", name="Next step").click()
    shot(page, "step-3")
    page.get_by_role("button", name="To the first photo").click()
    hand.open_page(page, "codes")
    shot(page, "codes", full=True)
    hand.open_page(page)
    page.get_by_role("button", name=re.compile("^Language")).click()
    shot(page, "language")
    page.get_by_role("button", name="Close").click()
    page.get_by_role("button", name=re.compile("^Who is working")).click()
    shot(page, "who")


def taking(page: Page, house: House, shot: Camera) -> None:
    """The camera, the look at the photo, its questions, what is refused, what is kept."""
    hand.remember(page, typedFirst=0)
    hand.open_page(page, "take")
    expect(page.get_by_role("button", name="Take the photo")).to_be_visible()
    page.wait_for_timeout(1200)
    shot(page, "camera", side=True)
    page.get_by_role("button", name=re.compile("in a row")).click()
    expect(page.get_by_role("group", name=re.compile("^The sharpest"))).to_be_visible()
    expect(page.get_by_text(re.compile("Looked at on this phone"))).to_be_visible()
    shot(page, "burst", full=True)
    page.get_by_role("button", name="Take it again").click()
    page.locator("input[type=file]").set_input_files(__file__)
    expect(page.get_by_text(re.compile("is no photo of a kind"))).to_be_visible()
    shot(page, "refused")
    hand.hand_in(page, "us-complete.jpg")
    page.get_by_text("What else do you see?").click()
    page.get_by_text("Many identical units?").click()
    shot(page, "will-do", full=True)
    page.evaluate("scrollTo(0, 0)")
    shot(page, "questions", side=True)
    page.get_by_role("button", name="Take it again").click()
    hand.hand_in(page, _poor())
    shot(page, "poor", full=True)
    page.get_by_role("button", name="Take it again").click()
    hand.hand_in(page, "us-complete.jpg")
    hand.keep(page)
    shot(page, "kept", full=True)
    page.get_by_role("button", name="Next unit, one report for all").click()
    hand.hand_in(page, "us-complete.jpg")
    hand.keep(page)
    shot(page, "second-unit-kept", full=True)
    page.get_by_role("link", name="To the consignment").click()
    units = page.get_by_role("region", name="Units looked at")
    expect(units.get_by_role("link")).to_have_count(2)
    shot(page, "looked-at-together", full=True)


def away(page: Page, house: House, shot: Camera) -> None:
    """With no network: kept, waiting, refused; pages from the phone's copy, and one without."""
    hand.remember(page, typedFirst=0)
    house.read("complete")
    unit, goods = house.units["complete"], house.goods["sampled"]
    hand.open_page(page, f"unit/{unit}")
    expect(hand.outcome(page)).to_be_visible()
    hand.open_page(page, f"consignment/{goods}/walk")
    hand.open_page(page, "outbox")
    shot(page, "nothing-waits")
    hand.kept_for_offline(page)
    hand.open_page(page, "take")
    page.context.set_offline(True)
    hand.hand_in(page, "en-complete.jpg")
    hand.keep(page)
    page.get_by_role("button", name="See what was read").click()
    expect(page.get_by_text(re.compile("Waiting for a network"))).to_be_visible()
    shot(page, "unit-waits")
    hand.open_page(page, f"consignment/{goods}/walk")
    page.get_by_role("checkbox").nth(5).check(force=True)
    expect(page.get_by_text(re.compile("not sent yet"))).to_be_visible()
    shot(page, "walk-waits")
    hand.open_page(page, f"unit/{unit}")
    shot(page, "unit-from-copy", full=True)
    hand.open_page(page, f"consignment/{house.goods['held']}")
    shot(page, "goods-not-here")
    page.goto("/#/outbox")
    shot(page, "outbox-waits", full=True)
    page.context.set_offline(False)
    expect(page.get_by_text("Waiting to be sent")).to_have_count(0)
    hand.open_page(page, "take")
    hand.hand_in(page, _no_photo())
    hand.keep(page)
    hand.open_page(page, "outbox")
    expect(page.get_by_text("Refused", exact=True)).to_be_visible()
    shot(page, "outbox-refused", full=True)


def _poor() -> Path:
    """A sample as a hand that shakes in the dark would take it."""
    with Image.open(SAMPLES / "us-complete.jpg") as sample:
        poor = sample.filter(ImageFilter.GaussianBlur(7)).point(lambda grey: grey * 0.15)
    path = Path(tempfile.mkdtemp()) / "poor.jpg"
    poor.save(path, quality=85)
    return path


def _no_photo() -> Path:
    """It begins as a photo does, so that the phone takes it; the server does not."""
    path = Path(tempfile.mkdtemp()) / "letter.jpg"
    path.write_bytes(b"\xff\xd8\xff\xe0This is no picture at all.")
    return path
