"""No network, a full phone, a photo that is refused, a page that is closed."""

import re
from pathlib import Path

import pytest
from playwright.sync_api import expect

from tests.web import hand
from tests.web.conftest import NewPage

pytestmark = pytest.mark.browser


def test_a_photo_taken_with_no_network_is_kept_and_sent_later(new_page: NewPage) -> None:
    page = new_page()
    page.goto("/#/take")
    hand.kept_for_offline(page)
    page.context.set_offline(True)
    hand.hand_in(page, "us-complete.jpg")
    hand.keep(page)
    page.get_by_role("button", name="See what was read").click()
    expect(page.get_by_text(re.compile("Waiting for a network"))).to_be_visible()
    page.reload()
    expect(page.get_by_text(re.compile("Waiting for a network"))).to_be_visible()
    page.context.set_offline(False)
    page.goto("/#/outbox")
    expect(page.get_by_text("Sent", exact=True)).to_be_visible()
    page.get_by_role("link", name="To the unit").click()
    expect(hand.outcome(page)).to_be_visible()


def test_a_kept_check_opens_with_no_network_and_a_word_on_it_waits(
    new_page: NewPage, complete: str
) -> None:
    page = new_page()
    page.goto("/")
    hand.kept_for_offline(page)
    hand.open_unit(page, complete)
    expect(hand.outcome(page)).to_be_visible()
    where = page.url
    page.context.set_offline(True)
    page.goto("/#/kept")
    expect(page.get_by_role("heading", name="Kept checks")).to_be_visible()
    page.goto(where)
    expect(hand.outcome(page)).to_be_visible()
    expect(page.get_by_text(re.compile("No network. This is the copy"))).to_be_visible()
    hand.says_so(page, "Lot")
    expect(page.get_by_text("Kept on this phone. It counts once it is sent.")).to_be_visible()
    page.context.set_offline(False)
    expect(hand.mark(page, "Lot").get_by_text("Confirmed", exact=True)).to_be_visible()
    page.goto("/#/outbox")
    expect(page.get_by_text("Sent", exact=True)).to_be_visible()
    expect(page.get_by_text("Waiting to be sent")).to_have_count(0)


def test_with_no_network_a_hold_waits_and_a_release_is_not_made(new_page: NewPage) -> None:
    """What opens something is decided on what is known now; what shuts something never waits."""
    page = new_page()
    page.goto("/")
    hand.kept_for_offline(page)
    hand.open_page(page, "consignment/new")
    hand.declare(page, "FICTIONAL two boxes", units=2, cartons=1)
    expect(page.get_by_role("button", name="Hold all of it")).to_be_visible()
    page.context.set_offline(True)
    box = page.get_by_role("region", name="Decide")
    box.get_by_role("radio", name="Release, by me").check(force=True)
    box.get_by_label("Why, in a few words").fill("wanted today")
    box.get_by_role("button", name="Keep this decision").click()
    expect(box.get_by_role("alert")).to_contain_text("Nothing was recorded")
    expect(box.get_by_label("Why, in a few words")).to_have_value("wanted today")
    box.get_by_role("button", name="Hold all of it").click()
    expect(box.get_by_text("Kept on this phone. It counts once it is sent.")).to_be_visible()
    page.context.set_offline(False)
    page.goto("/#/outbox")
    expect(page.get_by_text("Waiting to be sent")).to_have_count(0)
    page.go_back()
    expect(page.get_by_text("HOLD – do not use.")).to_be_visible()


def test_what_the_server_refuses_says_why_and_stays_on_the_phone(
    new_page: NewPage, tmp_path: Path
) -> None:
    page = new_page()
    no_photo = tmp_path / "letter.jpg"
    # It begins as a JPEG does, so that the phone takes it: what no photo is, is refused at once.
    no_photo.write_bytes(b"\xff\xd8\xff\xe0This is no picture at all.")
    page.goto("/#/take")
    hand.hand_in(page, no_photo)
    expect(page.get_by_text(re.compile("cannot open this kind of photo"))).to_be_visible()
    hand.keep(page)
    page.goto("/#/outbox")
    expect(page.get_by_text("Refused", exact=True)).to_be_visible()
    expect(page.get_by_text(re.compile("^Because: "))).to_be_visible()
    page.get_by_role("button", name="Take it off this phone").click()
    expect(page.get_by_text("Nothing waits.")).to_be_visible()


def test_a_full_phone_says_that_the_photo_was_not_kept(new_page: NewPage) -> None:
    page = new_page()
    page.goto("/#/take")
    hand.hand_in(page, "us-complete.jpg")
    page.evaluate(
        "void (IDBObjectStore.prototype.put = () => {"
        " throw new DOMException('full', 'QuotaExceededError'); })"
    )
    page.get_by_role("button", name="Yes, all of it").click()
    expect(page.get_by_role("alert")).to_contain_text("The photo was NOT kept")


def test_a_blurred_dark_photo_says_so_and_how_to_do_better(
    new_page: NewPage, tmp_path: Path
) -> None:
    from PIL import Image, ImageFilter

    from tests.web.serving import SAMPLES

    with Image.open(SAMPLES / "us-complete.jpg") as sample:
        blurred = sample.filter(ImageFilter.GaussianBlur(6))
    blurred.save(tmp_path / "blurred.jpg")
    blurred.point(lambda grey: grey * 0.15).save(tmp_path / "dark.jpg")
    page = new_page()
    page.goto("/#/take")
    hand.hand_in(page, tmp_path / "blurred.jpg")
    expect(page.get_by_text("Blurred", exact=True)).to_be_visible()
    expect(page.get_by_text(re.compile("Rest your hand"))).to_be_visible()
    page.get_by_role("button", name="Take it again").click()
    hand.hand_in(page, tmp_path / "dark.jpg")
    expect(page.get_by_text("Too dark", exact=True)).to_be_visible()
    expect(page.get_by_text(re.compile("Put the light on"))).to_be_visible()


def test_another_name_is_two_taps_away_and_stands_beside_what_is_done(
    new_page: NewPage, complete: str
) -> None:
    page = new_page()
    hand.remember(page, people=["Samira Kholvane", "Bo Terrazin"])
    hand.open_unit(page, complete)
    page.get_by_role("button", name=re.compile("^Who is working")).click()
    page.get_by_role("button", name="Bo Terrazin").click()
    hand.says_so(page, "Lot")
    expect(hand.mark(page, "Lot")).to_contain_text("By Bo Terrazin")
