"""One unit: each outcome, marks confirmed, decided on, set aside, taken back; lists of units."""

import json
import re
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

from playwright.sync_api import Page, Route, expect

from tests.web import hand
from tests.web.screens.camera import Camera, settle
from tests.web.screens.house import House


def outcomes(page: Page, house: House, shot: Camera) -> None:
    """Each outcome as it is when the unit is opened, and sides that disagree."""
    hand.remember(page, typedFirst=0)
    for name in ("complete", "missing", "rescinded", "near", "doubtful", "european", "nothing"):
        house.read(name)
        hand.open_page(page, f"unit/{house.units[name]}")
        expect(hand.outcome(page)).to_be_visible()
        shot(page, name, full=True, side=name == "complete")
        if name == "complete":
            page.evaluate("scrollTo(0, 0)")
            shot(page, "first-screen")
    for name in ("sides", "group"):
        house.read(name)
        settle(page, f"unit/{house.units[name]}")
        shot(page, name, full=True)


def confirming(page: Page, house: House, shot: Camera) -> None:
    """From the reading to the stored decision, and what is put right on the way."""
    hand.remember(page, typedFirst=0)
    house.read("complete", "unlisted", "doubtful")
    hand.open_page(page, f"unit/{house.units['complete']}")
    card = hand.mark(page, "Approval number")
    card.scroll_into_view_if_needed()
    shot(page, "mark")
    page.get_by_role("button", name=re.compile("^Correct it")).first.click()
    page.get_by_role("group", name="The letters").scroll_into_view_if_needed()
    shot(page, "letters")
    page.get_by_role("group", name="The letters").get_by_role("button").last.click()
    shot(page, "one-letter")
    page.reload()
    page.get_by_role("button", name="Enlarge").scroll_into_view_if_needed()
    page.get_by_role("button", name="Enlarge").click()
    page.get_by_role("button", name="Enlarge").click()
    shot(page, "photo-enlarged")
    page.get_by_role("button", name=re.compile("^More: ")).first.click()
    shot(page, "print-without-label")
    hand.name_print(page, "VEXHOLM", "Maker")
    hand.name_print(page, "VX-2100", "Model")
    hand.confirm(page, "Approval number")
    page.get_by_role("button", name=re.compile("^The ink says all of these")).click()
    expect(page.get_by_text("Every mark that was read is confirmed.")).to_be_visible()
    shot(page, "confirmed", full=True)
    page.get_by_text("Add a mark that was not read").click()
    page.get_by_text("Add a mark that was not read").scroll_into_view_if_needed()
    shot(page, "mark-added")
    hand.open_page(page, f"unit/{house.units['doubtful']}")
    page.get_by_role("button", name=re.compile("doubtful$")).first.click()
    shot(page, "doubtful-letter")
    hand.open_page(page, f"unit/{house.units['unlisted']}")
    hand.settle(page, "Approval number", "TC-84A-4444")
    shot(page, "not-listed", full=True)


def typed_first(page: Page, house: House, shot: Camera) -> None:
    """The number is typed before the reading is shown."""
    hand.remember(page, typedFirst=1)
    house.read("group")
    hand.open_page(page, f"unit/{house.units['group']}")
    expect(page.get_by_role("heading", name="First, what do you read?")).to_be_visible()
    shot(page, "typed-first")
    page.get_by_label("The approval number, as printed").fill("TC-84A-9627")
    page.get_by_role("button", name="That is what I see").click()
    shot(page, "typed-first-differs")


def deciding(page: Page, house: House, shot: Camera) -> None:
    """A decision, findings set aside, papers only, a look-up, construction, a photo taken back."""
    hand.remember(page, typedFirst=0)
    house.read("rescinded", "taken-back")
    found = house.units["rescinded"]
    hand.open_page(page, f"unit/{found}")
    hand.unfold(page, "What to do")
    page.get_by_role("button", name="Set aside, with a reason").first.click()
    shot(page, "setting-aside", full=True)
    why = "Seen at the goods: the ink is scratched there"
    page.get_by_label("Why, in a few words").first.fill(why)
    page.get_by_role("button", name="Set this finding aside").click()
    expect(page.get_by_text(re.compile("the ink is scratched there"))).to_be_visible()
    shot(page, "set-aside", full=True)
    decide = page.get_by_role("region", name="Decide")
    decide.get_by_text("Something else").first.click()
    decide.get_by_role("radio", name="Release, by me").check(force=True)
    decide.scroll_into_view_if_needed()
    shot(page, "decision", full=True)
    decide.get_by_label("Why, in a few words").fill("Wanted today")
    decide.get_by_role("button", name="Keep this decision").click()
    expect(decide.get_by_role("alert")).to_be_visible()
    decide.scroll_into_view_if_needed()
    shot(page, "release-refused")
    decide.get_by_role("button", name="Hold this unit").click()
    expect(page.get_by_text("HOLD", exact=True)).to_be_visible()
    page.evaluate("scrollTo(0, 0)")
    shot(page, "held", full=True)
    hand.unfold(page, "The authority's own list")
    page.get_by_text("Keep a look-up", exact=True).click()
    page.get_by_text("Keep a look-up", exact=True).scroll_into_view_if_needed()
    shot(page, "look-up", full=True)
    hand.seldom(page)
    page.get_by_text("Put into a consignment", exact=True).click()
    expect(page.get_by_role("button", name="Keep this", exact=True)).to_be_visible()
    shot(page, "seldom", full=True)
    page.get_by_role("link", name="Show papers only").click()
    expect(page.get_by_role("heading", name="Papers needed")).to_be_visible()
    shot(page, "papers-only")
    hand.open_page(page, f"build/{found}")
    expect(page.get_by_role("button", name="Keep", exact=True)).to_be_visible()
    page.evaluate("document.querySelectorAll('details').forEach((one) => { one.open = true; })")
    shot(page, "construction", full=True)
    hand.open_page(page, f"unit/{house.units['taken-back']}")
    hand.seldom(page)
    page.get_by_text("Take a photo back", exact=True).click()
    page.get_by_role("radio", name=re.compile("^1 · ")).check(force=True)
    page.get_by_label(re.compile("^Why\\? A face")).fill("A name badge is in the picture")
    shot(page, "taking-back")
    page.get_by_role("button", name="Remove the picture").click()
    expect(page.get_by_text(re.compile("was removed by"))).to_be_visible()
    shot(page, "taken-back", full=True)


def lists(page: Page, house: House, shot: Camera) -> None:
    """Kept units: all of them, some, none, while they are read; found again."""
    house.read()
    settle(page, "kept")
    shot(page, "all", full=True, side=True)
    page.get_by_label("Show").select_option("conflict")
    shot(page, "conflicts", full=True)
    page.get_by_label("Show").select_option("")
    with _answered(page, "**/api/units?*", _unread):
        page.reload()
        expect(page.get_by_text(re.compile("^Being read: "))).to_be_visible()
        shot(page, "being-read")
    with _answered(page, "**/api/units?*", lambda told: {**told, "units": []}):
        page.reload()
        expect(page.get_by_text("Nothing here yet.")).to_be_visible()
        shot(page, "empty")
    settle(page, "find")
    shot(page, "find", full=True)
    page.get_by_label("Number, lot").fill("9642")
    expect(page.get_by_text(re.compile("TC-84A-9642")).first).to_be_visible()
    page.wait_for_timeout(500)
    shot(page, "found", full=True)
    page.get_by_label("Number, lot").fill("no such thing")
    expect(page.get_by_text("Nothing was found.")).to_be_visible()
    shot(page, "not-found")


def _unread(told: dict[str, Any]) -> dict[str, Any]:
    first = [{**one, "outcome": None, "basis": None} for one in told["units"][:3]]
    return {**told, "units": [*first, *told["units"][3:]]}


@contextmanager
def _answered(page: Page, where: str, change: Callable[[Any], Any]) -> Iterator[None]:
    """The server's answer at an address, changed on its way to the page."""

    def passed_on(route: Route) -> None:
        told = change(route.fetch().json())
        route.fulfill(content_type="application/json", body=json.dumps(told))

    page.route(where, passed_on)
    yield
    page.unroute(where, passed_on)
