"""`python -m tests.web.screens --out screens`: a picture of every state of the page.

At the size of a phone, of a tablet, and once with text at 200 %. Real server, real reading.
From the phone's pictures it puts together `readme.png`, which is kept as `web/screenshot.png`.
"""

import argparse
import re
import tempfile
from collections.abc import Callable
from pathlib import Path

from PIL import Image, ImageFilter
from playwright.sync_api import BrowserContext, Page, expect, sync_playwright

from tests.web import hand
from tests.web.serving import PHONE, SAMPLES, launch, phone, server
from tests.web.video import make_video

_FOOT = "document.querySelectorAll('.foot').forEach(foot => { foot.style.position = '$'; })"


class Camera:
    """Takes the pictures, numbered in the order of a visit."""

    def __init__(self, out: Path, prefix: str = "") -> None:
        self.out, self.prefix, self.number = out, prefix, 0
        out.mkdir(parents=True, exist_ok=True)

    def __call__(self, page: Page, name: str, *, full: bool = False) -> None:
        self.number += 1
        page.wait_for_timeout(350)
        hand.until(page, "[...document.images].every(image => image.complete)")
        name = f"{self.prefix}{self.number:02d}-{name}"
        page.screenshot(path=self.out / f"{name}.png")
        if full:
            # The page's content policy refuses a style of ours, not one set on an element.
            page.evaluate(_FOOT.replace("$", "static"))
            page.screenshot(path=self.out / f"{name}-whole.png", full_page=True)
            page.evaluate(_FOOT.replace("$", ""))


def visit(context: BrowserContext, shot: Camera) -> None:
    """Every state, in the order in which a person would meet them."""
    page = context.new_page()
    hand.remember(page, typedFirst=0)
    hand.open_page(page)
    shot(page, "home")
    page.get_by_role("button", name=re.compile("^Language")).click()
    shot(page, "language")
    page.get_by_role("button", name="Close").click()
    page.get_by_role("button", name=re.compile("^Who is working")).click()
    shot(page, "who")
    page.get_by_role("button", name="Close").click()
    _taking(page, shot)
    _results(page, shot)
    _offline(context, page, shot)
    _desk(page, shot)


def _taking(page: Page, shot: Camera) -> None:
    page.goto("/#/take")
    expect(page.get_by_role("button", name="Take the photo")).to_be_visible()
    page.wait_for_timeout(1200)
    shot(page, "camera")
    page.get_by_role("button", name=re.compile("in a row")).click()
    expect(page.get_by_role("group", name=re.compile("^The sharpest"))).to_be_visible()
    expect(page.get_by_text(re.compile("Looked at on this phone"))).to_be_visible()
    shot(page, "burst", full=True)
    page.get_by_role("button", name="Take it again").click()
    hand.hand_in(page, "us-complete.jpg")
    shot(page, "photo-will-do", full=True)
    page.get_by_role("button", name="Take it again").click()
    hand.hand_in(page, _poor())
    shot(page, "photo-poor", full=True)
    page.get_by_role("button", name="Take it again").click()
    hand.hand_in(page, "us-complete.jpg")
    hand.keep(page)
    shot(page, "photo-kept")
    page.get_by_role("button", name="See what was read").click()
    shot(page, "reading")
    expect(hand.outcome(page)).to_be_visible()


def _results(page: Page, shot: Camera) -> None:
    shot(page, "outcome-none-found", full=True)
    card = hand.mark(page, "Approval number")
    card.scroll_into_view_if_needed()
    shot(page, "mark")
    page.get_by_role("button", name=re.compile("^The ink says this")).first.click()
    expect(page.get_by_role("button", name=re.compile("^Undo"))).to_be_visible()
    shot(page, "mark-confirmed")
    page.get_by_role("button", name=re.compile("^Correct it")).first.click()
    page.get_by_role("group", name="The letters").scroll_into_view_if_needed()
    shot(page, "mark-correcting")
    page.get_by_role("button", name="Enlarge").scroll_into_view_if_needed()
    page.get_by_role("button", name="Enlarge").click()
    page.get_by_role("button", name="Enlarge").click()
    shot(page, "photo-enlarged")
    page.get_by_role("link", name="Show papers only").click()
    shot(page, "papers-only")
    page.go_back()
    _sides(page, shot)
    for sample in ("us-near-number", "us-rescinded", "us-number-missing-sideways"):
        hand.photograph(page, f"{sample}.jpg")
        shot(page, f"outcome-{sample}", full=True)
    hand.photograph(page, "us-orange-small.jpg")
    shot(page, "outcome-doubtful", full=True)
    page.evaluate("localStorage.setItem('ink.typedFirst', '1')")
    other = page.context.new_page()
    hand.remember(other, typedFirst=1)
    hand.photograph_until(other, "us-complete.jpg", "First, what do you read?")
    shot(other, "typed-first")
    other.get_by_label("The approval number, as printed").fill("TC-84A-9627")
    other.get_by_role("button", name="That is what I see").click()
    shot(other, "typed-first-differs")
    other.close()


def _sides(page: Page, shot: Camera) -> None:
    """A unit with two sides that differ; then a second unit for the same report."""
    page.goto("/#/take")
    hand.hand_in(page, "us-complete.jpg")
    hand.keep(page)
    page.get_by_role("group", name="Another side").get_by_role("button", name="Box").click()
    hand.hand_in(page, "us-rescinded.jpg")
    hand.keep(page, surface="Box")
    page.get_by_role("button", name="See what was read").click()
    expect(page.get_by_role("radio", name="All sides together")).to_be_checked()
    decide = page.get_by_role("region", name="Decide")
    decide.get_by_role("button", name="Hold this unit").click()
    expect(decide.get_by_text("Samira Kholvane")).to_be_visible()
    page.evaluate("scrollTo(0, 0)")
    shot(page, "all-sides-together", full=True)
    decide.scroll_into_view_if_needed()
    shot(page, "unit-held")
    page.goto("/#/take")
    hand.hand_in(page, "us-complete.jpg")
    hand.keep(page)
    page.get_by_role("button", name="Next unit, one report for all").click()
    hand.hand_in(page, "us-complete.jpg")
    hand.keep(page)
    shot(page, "second-unit-kept")
    page.get_by_role("link", name="To the consignment").click()
    units = page.get_by_role("region", name="Units looked at")
    expect(units.get_by_role("link")).to_have_count(2)
    shot(page, "looked-at-together", full=True)


def _offline(context: BrowserContext, page: Page, shot: Camera) -> None:
    page.goto("/#/take")
    context.set_offline(True)
    hand.hand_in(page, "en-complete.jpg")
    hand.keep(page)
    page.get_by_role("button", name="See what was read").click()
    expect(page.get_by_text(re.compile("Waiting for a network"))).to_be_visible()
    shot(page, "waiting-for-network")
    page.goto("/#/outbox")
    shot(page, "outbox-waiting", full=True)
    context.set_offline(False)
    expect(page.get_by_text("Waiting to be sent")).to_have_count(0)
    shot(page, "outbox-sent")


def _desk(page: Page, shot: Camera) -> None:
    for where, name in (("kept", "kept"), ("more", "more"), ("roll", "camera-roll")):
        hand.open_page(page, where)
        page.wait_for_timeout(500)
        shot(page, name, full=True)
    hand.open_page(page, "bins")
    shot(page, "bins")
    page.get_by_role("button", name=re.compile("^Ear loops")).click()
    shot(page, "bin-chosen")
    page.get_by_role("button", name="Put in, no photo").click()
    shot(page, "bins-filled", full=True)
    hand.open_page(page, "sampling")
    expect(page.get_by_role("img", name=re.compile("Chance"))).to_be_visible()
    page.get_by_role("button", name="Draw").click()
    expect(page.get_by_text(re.compile("ticked off"))).to_be_visible()
    shot(page, "sampling", full=True)
    hand.open_page(page, "holders")
    page.get_by_label("Number, model or name").fill("quarr")
    page.wait_for_timeout(500)
    shot(page, "holders", full=True)
    hand.open_page(page, "rules")
    page.get_by_text("NIOSH respirators").click()
    page.wait_for_timeout(500)
    shot(page, "rules")
    hand.open_page(page, "consignments")
    shot(page, "consignments")
    page.get_by_role("link", name="New consignment").click()
    shot(page, "consignment-new", full=True)
    hand.declare(page, "Delivery of 25 November", units=40000, cartons=100)
    shot(page, "consignment", full=True)
    hand.draw(page, "PO 1188; dice 4 1 6")
    shot(page, "consignment-planned", full=True)
    page.get_by_role("link", name=re.compile("^To the sample")).click()
    expect(page.get_by_text("left, of")).to_be_visible()
    shot(page, "sample", full=True)
    page.go_back()
    page.get_by_role("button", name="Hold all of it").click()
    expect(page.get_by_text("HOLD – do not use.")).to_be_visible()
    page.get_by_role("radio", name="Release, by me").check(force=True)
    shot(page, "consignment-held", full=True)
    for code in ("es", "fr", "pt", "hi"):
        page.evaluate(f"localStorage.setItem('ink.language', '\"{code}\"')")
        page.reload()
        page.goto("/#/")
        page.wait_for_timeout(500)
        shot(page, f"home-{code}")
    page.evaluate("localStorage.setItem('ink.language', '\"en\"')")
    page.evaluate("localStorage.setItem('ink.sunlight', 'true')")
    page.goto("/#/kept")
    page.reload()
    page.wait_for_timeout(500)
    shot(page, "sunlight-kept")
    page.get_by_role("link", name=re.compile("Conflict found")).first.click()
    expect(hand.outcome(page)).to_be_visible()
    shot(page, "sunlight-outcome")
    page.evaluate("localStorage.setItem('ink.sunlight', 'false')")


def _poor() -> Path:
    """A sample as a hand that shakes in the dark would take it."""
    with Image.open(SAMPLES / "us-complete.jpg") as sample:
        poor = sample.filter(ImageFilter.GaussianBlur(7)).point(lambda grey: grey * 0.15)
    path = Path(tempfile.mkdtemp()) / "poor.jpg"
    poor.save(path, quality=85)
    return path


def main(argv: list[str] | None = None) -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--out", type=Path, default=Path("screens"))
    parser.add_argument("--sizes", default="phone,tablet,large-text")
    asked = parser.parse_args(argv)
    run: dict[str, Callable[[BrowserContext], None]] = {
        "phone": lambda context: visit(context, Camera(asked.out / "phone")),
        "tablet": lambda context: visit(context, Camera(asked.out / "tablet")),
        "large-text": lambda context: large_text(context, Camera(asked.out / "large-text")),
    }
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright:
        video = make_video(Path(folder) / "camera.mjpeg", SAMPLES / "us-complete.jpg")
        browser = launch(playwright, video)
        for size in asked.sizes.split(","):
            with server(Path(folder) / size) as address:
                context = phone(browser, address, tablet=size == "tablet")
                context.grant_permissions(["camera"], origin=address)
                run[size](context)
                context.close()
        if "phone" in asked.sizes:
            _readme(asked.out)
        browser.close()


def _readme(out: Path) -> None:
    """Two pictures of the phone beside each other, at half their size, in few colours."""
    shown = [next((out / "phone").glob(f"*-{name}.png")) for name in ("outcome-none-found", "mark")]
    size = (PHONE["width"], PHONE["height"])
    both = Image.new("RGB", (2 * size[0], size[1]))
    for place, path in enumerate(shown):
        with Image.open(path) as one:
            both.paste(one.convert("RGB").resize(size), (place * size[0], 0))
    both.quantize(128).save(out / "readme.png", optimize=True)


def large_text(context: BrowserContext, shot: Camera) -> None:
    """Text at 200 % on a screen 320 px wide."""
    page = context.new_page()
    page.set_viewport_size({"width": 320, "height": 640})
    hand.remember(page, typedFirst=0)
    page.add_init_script(
        "addEventListener('DOMContentLoaded', () => "
        "{ document.documentElement.style.fontSize = '200%'; dispatchEvent(new Event('resize')); })"
    )
    for where in ("", "kept", "more", "bins", "roll", "sampling", "holders", "consignments"):
        hand.open_page(page, where)
        page.wait_for_timeout(400)
        shot(page, where or "home", full=True)
    hand.photograph(page, "us-near-number.jpg")
    shot(page, "outcome", full=True)


if __name__ == "__main__":
    main()
