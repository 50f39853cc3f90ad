"""What goes wrong, other languages, sunlight, the left hand, large text, accounts and the room."""

import re
import tempfile
from pathlib import Path

from playwright.sync_api import Browser, Page, Route, expect

from tests.access.test_pages import served, states
from tests.web import hand
from tests.web.screens.camera import LARGE, Camera, settle
from tests.web.screens.house import House
from tests.web.serving import PHONE, phone

#: What a person meets first, and what has most words, in a language.
_IN_ARABIC = (
    *("take", "kept", "bins", "stock", "offers", "more", "codes", "sampling", "first-steps"),
    *("holders", "find", "import", "outbox", "rules", "nowhere"),
)
_LANGUAGES = ("es", "fr", "pt", "hi", "ar")


def wrong(page: Page, house: House, shot: Camera) -> None:
    """Addresses that name nothing, and a server that fails."""
    nobody = "019a0b52-0000-7abc-8def-001122334455"
    for where, name in (
        ("nowhere", "no-such-page"),
        ("unit/%", "malformed"),
        (f"unit/{nobody}", "no-such-unit"),
        (f"consignment/{nobody}", "no-such-consignment"),
    ):
        settle(page, where)
        shot(page, name)

    def fails(route: Route) -> None:
        route.fulfill(status=500, content_type="text/plain", body="")

    page.route("**/api/units?*", fails)
    page.route("**/api/consignments?*", fails)
    for where in ("kept", "consignments"):
        hand.open_page(page, where)
        expect(page.get_by_role("alert")).to_be_visible()
        shot(page, f"server-error-{where}")
    page.unroute("**/api/units?*", fails)
    page.unroute("**/api/consignments?*", fails)


def languages(page: Page, house: House, shot: Camera) -> None:
    """Five languages on the pages that most people see; Arabic on many more."""
    hand.remember(page, typedFirst=0)
    house.read("near", "rescinded", "doubtful", "first", "copy", "other")
    unit, goods = house.units["near"], house.goods["sampled"]
    hand.open_page(page)
    for code in _LANGUAGES:
        page.evaluate("code => localStorage.setItem('ink.language', JSON.stringify(code))", code)
        page.reload()
        arabic = code == "ar"
        for where, name in (
            ("", "home"),
            (f"unit/{unit}", "unit"),
            (f"consignment/{goods}", "goods"),
        ):
            settle(page, where)
            shot(page, f"{code}-{name}", full=True, few=not arabic, side=arabic and name == "unit")
        if not arabic:
            settle(page, "unit/019a0b52-0000-7abc-8def-001122334455")
            shot(page, f"{code}-no-such-unit", few=True)
    _arabic(page, house, shot)
    page.evaluate("localStorage.setItem('ink.language', '\"en\"')")


def _arabic(page: Page, house: House, shot: Camera) -> None:
    held, several = house.goods["held"], house.goods["several"]
    parts = (
        *((f"unit/{house.units[name]}", f"unit-{name}") for name in ("doubtful", "rescinded")),
        *((f"consignment/{held}/{part}", part) for part in ("about", "papers", "give-out")),
        *((f"consignment/{house.goods['sampled']}/{part}", part) for part in ("sample", "walk")),
        (f"consignment/{several}/product", "product"),
        (f"build/{house.units['near']}", "construction"),
        *((where, where) for where in _IN_ARABIC),
    )
    for where, name in parts:
        settle(page, where)
        shot(page, f"ar-{name}", full=name != "take", few=True)


def ways_to_look(page: Page, house: House, shot: Camera) -> None:
    """Sunlight, and the left hand."""
    hand.remember(page, typedFirst=0)
    house.read("rescinded", "complete")
    hand.open_page(page)
    page.evaluate("localStorage.setItem('ink.sunlight', 'true')")
    page.reload()
    for where, name in (
        ("", "home"),
        ("kept", "kept"),
        (f"unit/{house.units['rescinded']}", "unit"),
        (f"consignment/{house.goods['held']}", "goods"),
        ("bins", "bins"),
    ):
        settle(page, where)
        shot(page, f"sunlight-{name}", full=True, few=True)
    page.evaluate("localStorage.setItem('ink.sunlight', 'false')")
    page.evaluate("localStorage.setItem('ink.leftHand', 'true')")
    page.reload()
    for where, name in ((f"unit/{house.units['complete']}", "unit"), ("take", "take")):
        settle(page, where)
        page.wait_for_timeout(800)
        shot(page, f"left-hand-{name}", few=True, side=True)
    page.evaluate("localStorage.setItem('ink.leftHand', 'false')")


def large_text(page: Page, house: House, shot: Camera) -> None:
    """Text at 200 % on a screen 320 px wide."""
    page.set_viewport_size({"width": 320, "height": 640})
    hand.remember(page, typedFirst=0)
    page.add_init_script(
        "addEventListener('DOMContentLoaded', () => "
        "{ document.documentElement.style.fontSize = '200%'; dispatchEvent(new Event('resize')); })"
    )
    house.read("near", "first", "other")
    goods, held = house.goods["sampled"], house.goods["held"]
    for where, name in (
        ("", "home"),
        *((where, where) for where in ("take", "kept", "more", "bins", "roll", "sampling")),
        *((where, where) for where in ("holders", "consignments", "stock", "offers", "find")),
        ("holders/import", "list-import"),
        (f"unit/{house.units['near']}", "unit"),
        (f"consignment/{goods}", "goods"),
        (f"consignment/{goods}/walk", "walk"),
        (f"consignment/{house.goods['several']}/product", "product"),
        (f"consignment/{held}/about", "about"),
        (f"consignment/{held}/give-out", "give-out"),
    ):
        settle(page, where)
        shot.once(page, LARGE, name)


def room(browser: Browser, shot: Camera) -> None:
    """Accounts, people, and phones that join: a server of its own, which reads nothing."""
    with (
        tempfile.TemporaryDirectory() as folder,
        served(Path(folder) / "data", "--network") as (port, said),
    ):
        own, plain = f"http://127.0.0.1:{port + 2}", f"http://127.0.0.1:{port + 1}"
        context = phone(browser, own, person="", scale=1)
        page = context.new_page()
        for state in states(page, own, plain, said):
            page.set_viewport_size(PHONE)  # type: ignore[arg-type]
            shot(page, re.sub("[^a-z]+", "-", state), full=True)
        context.close()
