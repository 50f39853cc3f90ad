"""On the phone: a draw from lots that alone carry numbers, every draw with its reason, fewer units.

What is asked for is the project's own decision: a person who decides sees which draws count, why
earlier ones do not, and that a draw was made from other goods than there are now.
"""

from playwright.sync_api import expect

from tests.web import hand
from tests.web.conftest import NewPage
from tests.web.journeys.test_stores import narrow, post

WHY = "the cartons were counted anew"


def test_lots_with_numbers_are_drawn_from_and_every_draw_stays_to_be_seen(
    new_page: NewPage,
) -> None:
    page = new_page(person="Ines Okparo")
    lots = [{"code": "Q310", "units": 20}, {"code": "Q311", "units": 20}]
    made = post(page, "consignments", label="FICTIONAL delivery in two lots", lots=lots)
    goods = made["consignment_id"]
    hand.open_page(page, f"consignment/{goods}")
    expect(page.get_by_role("main")).to_contain_text("40")
    hand.draw(page, "dice 4 1 6 2")
    expect(page.get_by_text("dice 4 1 6 2").first).to_be_visible()
    draws = page.get_by_role("region", name="Draws that were made")
    expect(draws).to_have_count(0)
    hand.unfold(page, "Draw again")
    page.get_by_label("Why does the earlier draw").fill(WHY)
    hand.draw(page, "dice 5 5 1")
    expect(draws).to_contain_text(WHY)
    expect(draws).to_contain_text("Counts no more.")
    # the lots grow: no draw was made from all of them
    more = [lots[0], {"code": "Q311", "units": 900}]
    post(page, f"consignments/{goods}/declared", lots=more, reason="as on the packing list")
    page.reload()
    expect(draws).to_contain_text("No plan was drawn from all of these goods")
    narrow(page)
    hand.open_page(page, f"consignment/{goods}/about")
    post(page, f"consignments/{goods}/declared", fields={"units": 920})
    page.reload()
    declared = page.get_by_role("region", name="What was declared")
    declared.get_by_label("Units", exact=True).fill("900")
    declared.get_by_label("Why are there fewer units").fill("20 were broken on arrival")
    narrow(page)
    declared.get_by_role("button", name="Keep").click()
    expect(declared.get_by_label("Units", exact=True)).to_have_value("900")
    expect(declared.get_by_label("Why are there fewer units")).to_have_count(0)
