"""`python -m tests.web.screens --out screens`: a picture of every state of the page.

One visit; each state is looked at in each size, in the light and in the dark, and on a phone that
lies on its side. Once more with text at 200 %. Real server, real reading.
From the phone's pictures it puts together `readme.png`, which is kept as `web/screenshot.png`.
"""

import argparse
import re
import tempfile
from collections.abc import Sequence
from pathlib import Path
from typing import Literal

from PIL import Image, ImageFilter
from playwright.sync_api import BrowserContext, Page, expect, sync_playwright

from tests.web import hand
from tests.web.serving import PHONE, SAMPLES, launch, phone, server
from tests.web.video import make_video

_FOOT = "document.querySelectorAll('.foot').forEach(foot => { foot.style.position = '$'; })"


#: How a state is looked at: name, width and height in CSS pixels, light or dark.
LOOKS: tuple[tuple[str, int, int, Literal["light", "dark"]], ...] = (
    *(
        (f"{width}-{scheme}", width, height, scheme)
        for width, height in ((360, 740), (768, 1024), (1280, 800))
        for scheme in ("light", "dark")
    ),
    ("740-on-its-side", 740, 360, "light"),
)


class Camera:
    """Takes the pictures, numbered in the order of a visit; a folder a look."""

    def __init__(self, out: Path, looks: Sequence[str]) -> None:
        self.out, self.number = out, 0
        self.looks = [look for look in LOOKS if look[0] in looks]
        for name, *_ in self.looks:
            (out / name).mkdir(parents=True, exist_ok=True)

    def __call__(self, page: Page, name: str, *, full: bool = False) -> None:
        self.number += 1
        page.wait_for_timeout(350)
        hand.until(
            page, "[...document.images].every(one => one.complete || one.loading === 'lazy')"
        )
        for look, width, height, scheme in self.looks:
            page.emulate_media(color_scheme=scheme)
            page.set_viewport_size({"width": width, "height": height})
            path = self.out / look / f"{self.number:02d}-{name}"
            page.wait_for_timeout(100)
            page.screenshot(path=f"{path}.png")
            if full and height > width // 2:
                # The page's content policy refuses a style of ours, not one set on an element.
                page.evaluate(_FOOT.replace("$", "static"))
                page.screenshot(path=f"{path}-whole.png", full_page=True)
                page.evaluate(_FOOT.replace("$", ""))
        page.emulate_media(color_scheme="light")
        page.set_viewport_size(PHONE)  # type: ignore[arg-type]


def visit(context: BrowserContext, shot: Camera) -> None:
    """Every state, in the order in which a person would meet them."""
    page = context.new_page()
    hand.remember(page, typedFirst=0)
    hand.open_page(page)
    page.evaluate("localStorage.setItem('ink.guided', 'false')")
    page.reload()
    expect(page.get_by_role("link", name="Show me")).to_be_visible()
    shot(page, "home-first-time")
    page.get_by_role("link", name="Show me").click()
    shot(page, "first-steps-1")
    page.get_by_role("button", name="Next step").click()
    page.get_by_role("button", name="7", exact=True).click()
    shot(page, "first-steps-2")
    page.get_by_role("button", name="Next step").click()
    shot(page, "first-steps-3")
    page.get_by_role("button", name="To the first photo").click()
    hand.open_page(page, "codes")
    shot(page, "codes", full=True)
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
    _goods(page, shot)
    _as_set(page, shot)


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
    hand.seldom(page)
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
    goods = page.url.split("/")[-1]
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
    for sub in ("about", "papers", "give-out"):
        hand.open_page(page, f"consignment/{goods}/{sub}")
        page.wait_for_timeout(500)
        shot(page, f"consignment-{sub}", full=True)


def _goods(page: Page, shot: Camera) -> None:
    """How a unit is made, what is set aside or taken back, what is in store."""
    units = page.request.get("/api/units?limit=50").json()["units"]
    found = next(row["unit_id"] for row in units if row["outcome"] == "conflict")
    hand.open_page(page, f"unit/{found}")
    hand.unfold(page, "What to do")
    page.get_by_role("button", name="Set aside, with a reason").first.click()
    shot(page, "setting-aside", full=True)
    page.get_by_label("Why, in a few words").first.fill(
        "Seen at the goods: the ink is scratched there"
    )
    page.get_by_role("button", name="Set this finding aside").click()
    expect(page.get_by_text(re.compile("the ink is scratched there"))).to_be_visible()
    shot(page, "set-aside", full=True)
    hand.seldom(page)
    page.get_by_text("Take a photo back").click()
    shot(page, "taking-back", full=True)
    hand.open_page(page, f"build/{found}")
    page.wait_for_timeout(500)
    shot(page, "construction", full=True)
    for where in ("find", "offers", "import", "stock", "holders/import"):
        hand.open_page(page, where)
        page.wait_for_timeout(500)
        shot(page, where.replace("/", "-"), full=True)


def _as_set(page: Page, shot: Camera) -> None:
    """In other languages, and in sunlight."""
    for code in ("es", "fr", "pt", "hi", "ar"):
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
    every = ",".join(look[0] for look in LOOKS)
    parser.add_argument("--looks", default=f"{every},large-text", help="of them, by comma")
    asked = parser.parse_args(argv)
    looks = asked.looks.split(",")
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright:
        video = make_video(Path(folder) / "camera.mjpeg", SAMPLES / "us-complete.jpg")
        browser = launch(playwright, video)
        for run in (visit, large_text):
            camera = Camera(asked.out, looks)
            if run is large_text and "large-text" not in looks:
                continue
            if run is visit and not camera.looks:
                continue
            with server(Path(folder) / run.__name__) as address:
                context = phone(browser, address)
                context.grant_permissions(["camera"], origin=address)
                run(context, camera)
                context.close()
        if "360-light" in looks:
            _readme(asked.out)
        browser.close()


def _readme(out: Path) -> None:
    """Two pictures of the phone beside each other, at half their size, in few colours."""
    shown = [
        next((out / "360-light").glob(f"*-{name}.png")) for name in ("outcome-none-found", "mark")
    ]
    size = (PHONE["width"], PHONE["height"])
    both = Image.new("RGB", (2 * size[0], size[1]))
    for place, path in enumerate(shown):
        with Image.open(path) as one:
            both.paste(one.convert("RGB").resize(size), (place * size[0], 0))
    both.quantize(128).save(out / "readme.png", optimize=True)


def large_text(context: BrowserContext, shot: Camera) -> None:
    """Text at 200 % on a screen 320 px wide."""
    page, out = context.new_page(), shot.out / "large-text"
    page.set_viewport_size({"width": 320, "height": 640})
    hand.remember(page, typedFirst=0)
    page.add_init_script(
        "addEventListener('DOMContentLoaded', () => "
        "{ document.documentElement.style.fontSize = '200%'; dispatchEvent(new Event('resize')); })"
    )
    for where in (
        "",
        "kept",
        "more",
        "bins",
        "roll",
        "sampling",
        "holders",
        "consignments",
        "stock",
        "offers",
    ):
        hand.open_page(page, where)
        page.wait_for_timeout(400)
        page.screenshot(path=out / f"{where.replace('/', '-') or 'home'}.png", full_page=True)
    hand.photograph(page, "us-near-number.jpg")
    page.screenshot(path=out / "outcome.png", full_page=True)


if __name__ == "__main__":
    main()
