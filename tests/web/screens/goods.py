"""Consignments: opened, drawn from, decided on, and what comes with them and leaves the house."""

import re

from playwright.sync_api import Page, expect

from tests.web import hand
from tests.web.screens.camera import Camera, settle
from tests.web.screens.house import LOT, House

_ALL_OPEN = "document.querySelectorAll('main details').forEach((one) => { one.open = true; })"


def opened(page: Page, house: House, shot: Camera) -> None:
    """The list, a new one, and one of which nothing was looked at."""
    settle(page, "consignments")
    shot(page, "list", full=True)
    settle(page, "consignment/new")
    shot(page, "new", full=True)
    page.get_by_label("Lots").fill("B100, B200")
    hand.declare(page, "Twenty boxes at the door", units=400, cartons=20)
    shot(page, "nothing-looked-at", full=True, side=True)


def drawn(page: Page, house: House, shot: Camera) -> None:
    """A draw, the gate with what stands in its way, the sample, the walk, photos for it."""
    goods = f"consignment/{house.goods['sampled']}"
    settle(page, goods)
    page.get_by_role("radio", name="Release, by me").check(force=True)
    shot(page, "gate", full=True)
    page.get_by_text("In the exact words of the record").first.click()
    page.get_by_text("Draw again").click()
    shot(page, "draw-again", full=True)
    settle(page, f"{goods}/sample")
    shot(page, "sample", full=True)
    settle(page, f"{goods}/walk")
    boxes = page.get_by_role("checkbox")
    for place in range(3):
        boxes.nth(place).check(force=True)
    expect(page.get_by_text(re.compile("Samira Kholvane")).nth(2)).to_be_visible()
    shot(page, "walk", full=True)
    settle(page, f"roll?consignment={house.goods['sampled']}")
    shot(page, "photos-for-the-sample", full=True)


def differing(page: Page, house: House, shot: Camera) -> None:
    """Units that are not one product, and the goods that they are of."""
    house.read("first", "copy", "other")
    goods = f"consignment/{house.goods['several']}"
    settle(page, goods)
    shot(page, "units-differ", full=True)
    settle(page, f"{goods}/product")
    shot(page, "one-product", full=True)


def released(page: Page, house: House, shot: Camera) -> None:
    """Nothing in the way; released by a person; in store, handed out, called back."""
    hand.remember(page, typedFirst=0)
    house.read("complete")
    hand.open_page(page, f"unit/{house.units['complete']}")
    expect(hand.outcome(page)).to_be_visible()
    if page.get_by_text("Every mark that was read is confirmed.").count() == 0:
        hand.name_print(page, "VEXHOLM", "Maker")
        hand.name_print(page, "VX-2100", "Model")
        hand.confirm(page, "Approval number")
        page.get_by_role("button", name=re.compile("^The ink says all of these")).click()
    expect(page.get_by_text("Every mark that was read is confirmed.")).to_be_visible()
    one = house.goods["one"]
    fields = {"looked_up": "TC-84A-9621", "list_name": "Invented register", "scheme": "us-niosh"}
    said = {"answer": "listed_same", "words": "VX-2100, N95, Vexholm", "consignment_id": one}
    house.form("holders/look-ups", {**fields, **said})
    settle(page, f"consignment/{one}")
    page.get_by_role("radio", name="Release, by me").check(force=True)
    shot(page, "releasable", full=True)
    decide = page.get_by_role("region", name="Decide")
    why = "Print, list and papers agree; the box was sealed"
    decide.get_by_label("Why, in a few words").fill(why)
    decide.get_by_role("button", name="Keep this decision").click()
    expect(decide.get_by_text(why)).to_be_visible()
    shot(page, "released", full=True)
    lot = {"lot": LOT, "consignment_id": one}
    house.post("stock", kind="received", pieces=20, place="Store 2, shelf 4", **lot)
    out = {"recipient": "Ward 3", "place": "Store 2, shelf 4"}
    house.post("stock", kind="handed_out", pieces=8, **out, **lot)
    house.post("stock", kind="called_back", lot=LOT, words="Please send this lot back.")
    settle(page, "stock")
    shot(page, "stock", full=True)
    page.get_by_label("Where is lot").fill(LOT)
    page.get_by_role("button", name="Look", exact=True).click()
    expect(page.get_by_role("region", name=f"Lot {LOT}")).to_be_visible()
    page.evaluate(_ALL_OPEN)
    shot(page, "lot-called-back", full=True)
    page.get_by_label("Where is lot").fill("A4275")
    page.get_by_role("button", name="Look", exact=True).click()
    page.wait_for_load_state("networkidle")
    shot(page, "lot-written-alike")


def held(page: Page, house: House, shot: Camera) -> None:
    """On hold, in two lots; every way to decide."""
    goods = house.goods["held"]
    lots = [
        {"code": "H1", "units": 2400, "cartons": 6},
        {"code": "H2", "units": 2400, "cartons": 6},
    ]
    house.post(f"consignments/{goods}/declared", lots=lots)
    settle(page, f"consignment/{goods}")
    page.get_by_text("More ways to decide").first.click()
    page.get_by_role("radio", name="The holder answered").check(force=True)
    shot(page, "held", full=True)


def came_with(page: Page, house: House, shot: Camera) -> None:
    """Papers and intake: empty, begun, with what they raise."""
    goods = house.goods["held"]
    settle(page, f"consignment/{goods}/papers")
    shot(page, "no-papers")
    page.get_by_role("button", name="Type a paper").click()
    shot(page, "paper-typed", full=True)
    page.get_by_label("title").fill("Certificate of Compliance")
    page.get_by_label("standard").fill("EN 149:2001+A1:2009")
    page.get_by_label("number of the body").fill("9844")
    page.get_by_role("button", name="Keep this paper").click()
    expect(page.get_by_role("region", name="What the papers raise")).to_be_visible()
    shot(page, "papers", full=True)
    settle(page, f"consignment/{goods}/about")
    shot(page, "intake", full=True)
    fields = {
        "goods_from": "walk_in",
        "filter_class": "FFP2",
        "use": "sterile-field",
        "valve": "yes",
    }
    house.post(
        f"consignments/{goods}/declared",
        fields=fields,
        answers={"why-now": "Last carton, cash today."},
        signals={"price-low": {"seen": "yes", "note": "a third of the usual"}},
    )
    settle(page, f"consignment/{goods}/about")
    page.evaluate(_ALL_OPEN)
    shot(page, "intake-open", full=True)


def leaving(page: Page, house: House, shot: Camera) -> None:
    """What is given to whom, a report that was corrected, what was answered."""
    goods = house.goods["held"]
    settle(page, f"consignment/{goods}/give-out")
    shot(page, "give-out", full=True)
    page.evaluate(_ALL_OPEN)
    page.get_by_role("button", name="Write the message").click()
    expect(page.get_by_label("The text, to copy or print")).not_to_have_value("")
    shot(page, "give-out-open", full=True)
    to = [{"party": "manager", "name": "Head of the store"}]
    given = house.post(f"consignments/{goods}/reports", recipients=to)
    note = "The second line named another lot"
    corrects = {"corrects": given["dispatch_id"], "note": note, "recipients": []}
    house.post(f"consignments/{goods}/reports", **corrects)
    asked = house.post(
        f"consignments/{goods}/dispatches",
        kind="message",
        recipients=[{"party": "holder", "name": "Halcyra Respire, quality desk"}],
        text="Is this print yours?",
    )
    house.post(
        f"consignments/{goods}/dispatches",
        kind="answer",
        recipients=[{"party": "holder", "name": "Halcyra Respire, quality desk"}],
        text="Lot H1 is ours.",
        answers=asked["dispatch_id"],
        about="agrees",
    )
    settle(page, f"consignment/{goods}/give-out")
    page.evaluate("document.querySelectorAll('li details').forEach((one) => { one.open = true; })")
    shot(page, "given-and-corrected", full=True)
