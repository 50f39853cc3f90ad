"""At a desk: list and detail side by side, and keys; on any device: three steps with a sample."""

import re

from playwright.sync_api import Page, expect

from tests.web import hand
from tests.web.conftest import NewPage
from tests.web.test_access import broken

DESK = {"width": 1280, "height": 800}


def at_a_desk(new_page: NewPage, unit: str) -> Page:
    page = new_page()
    page.set_viewport_size(DESK)  # type: ignore[arg-type]
    hand.open_unit(page, unit)
    expect(page.get_by_role("navigation", name="Kept checks")).to_be_visible()
    return page


def test_list_and_unit_stand_side_by_side_and_keys_move_only_when_nobody_types(
    new_page: NewPage, complete: str
) -> None:
    """WCAG 2.2, 2.1.4: single-key shortcuts can be turned off; that they rest while one types is
    common practice.
    """
    page = at_a_desk(new_page, complete)
    beside = page.get_by_role("navigation", name="Kept checks")
    rows = beside.get_by_role("link")
    expect(beside.locator("[aria-current]")).to_have_count(1)
    rows.first.focus()
    page.keyboard.press("j")
    expect(rows.nth(1)).to_be_focused()
    page.keyboard.press("ArrowUp")
    expect(rows.first).to_be_focused()
    page.keyboard.press("j")
    page.keyboard.press("Enter")
    opened = rows.nth(1).get_attribute("href") or ""
    expect(page).to_have_url(re.compile(re.escape(opened)))
    page.keyboard.press("/")
    field = beside.get_by_role("searchbox")
    expect(field).to_be_focused()
    page.keyboard.type("jk/?")
    expect(field).to_have_value("jk/?")
    field.fill("")
    rows.first.focus()
    page.keyboard.press("?")
    keys = page.get_by_role("dialog", name="Keys")
    expect(keys).to_be_visible()
    assert broken(page) == []
    keys.get_by_role("checkbox").uncheck(force=True)
    keys.get_by_role("button", name="Close").click()
    rows.first.focus()
    page.keyboard.press("j")
    page.keyboard.press("?")
    expect(rows.first).to_be_focused()
    expect(keys).to_have_count(0)
    page.keyboard.press("ArrowDown")
    expect(rows.nth(1)).to_be_focused()
    assert broken(page) == []


def test_on_its_side_decision_and_shutter_are_reached_and_nothing_lies_under_a_bar(
    new_page: NewPage, complete: str
) -> None:
    page = new_page()
    page.set_viewport_size({"width": 740, "height": 360})
    hand.open_unit(page, complete)
    page.get_by_role("navigation", name="Main").get_by_role("button", name="Decide").click()
    hold = page.get_by_role("button", name="Hold this unit")
    expect(hold).to_be_in_viewport(ratio=1)
    covered = """button => { const box = button.getBoundingClientRect();
      const at = document.elementFromPoint(box.x + box.width - 4, box.y + box.height / 2);
      return !button.contains(at); }"""
    assert hold.evaluate(covered) is False
    hand.open_page(page, "take")
    expect(page.get_by_role("button", name="Take the photo")).to_be_in_viewport(ratio=1)


def _kept(page: Page) -> set[str]:
    """The units that the server has. What was read of them may change: others still are read."""
    return {one["unit_id"] for one in page.request.get("/api/units").json()["units"]}


def test_who_is_new_is_shown_three_steps_without_a_network_and_nothing_is_kept(
    new_page: NewPage,
) -> None:
    page = new_page(person="")
    hand.open_page(page)
    hand.kept_for_offline(page)
    before = _kept(page)
    page.context.set_offline(True)
    page.get_by_role("link", name="Show me").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Let the print fill the picture")
    assert broken(page) == []
    page.get_by_role("button", name="Next step").click()
    page.get_by_role("button", name="7", exact=True).click()
    expect(page.get_by_text("only the foot is left")).to_be_visible()
    page.get_by_role("button", name="Cannot be read").click()
    expect(page.get_by_text("the ink is not filled in")).to_be_visible()
    assert broken(page) == []
    page.get_by_role("button", name="Next step").click()
    assert broken(page) == []
    page.get_by_role("button", name="To the first photo").click()
    hand.open_page(page)
    expect(page.get_by_role("link", name="Show me")).to_have_count(0)
    page.context.set_offline(False)
    assert _kept(page) == before
    hand.open_page(page, "more")
    page.get_by_role("link", name="Three steps with a sample").click()
    page.get_by_role("button", name="Skip").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("What does the ink say?")
