"""What a person does on the page, in their words. Looks for roles and names, not for classes."""

import json
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import httpx2
from playwright.sync_api import Page, expect

from inkwitness.records.store import new_id
from tests.web.serving import PATIENCE, SAMPLES

expect.set_options(timeout=PATIENCE)


def remember(page: Page, **settings: Any) -> None:
    """Settings of this device, as if chosen before."""
    lines = [
        f"localStorage.setItem('ink.{key}', {json.dumps(json.dumps(value))});"
        for key, value in settings.items()
    ]
    page.add_init_script("".join(lines))


def count_taps(page: Page) -> Callable[[], int]:
    """Count what the finger or the mouse touches on the page from now on; the answer counts."""
    page.add_init_script(
        "addEventListener('pointerup', (event) => { if (event.isTrusted)"
        "sessionStorage.taps = Number(sessionStorage.taps ?? 0) + 1; }, true)"
    )
    return lambda: int(page.evaluate("Number(sessionStorage.taps ?? 0)"))


def open_page(page: Page, where: str = "") -> None:
    page.goto(f"/#/{where}")
    # A page that is fetched when it is opened shows three dots until it is there.
    expect(page.get_by_role("heading", level=1)).to_have_text(re.compile("[^…]"))


def until(page: Page, expression: str, arg: object = None) -> None:
    """Wait until an expression holds. Asked from outside, since the page's policy lets no text be
    run as a script in it.
    """
    for _ in range(1800):
        if page.evaluate(expression, arg):
            return
        page.wait_for_timeout(100)
    raise AssertionError(f"never held: {expression}")


def kept_for_offline(page: Page) -> None:
    """Wait until the page itself lies on the phone, and opens from there."""
    until(page, "navigator.serviceWorker.controller !== null")


def unfold(page: Page, name: str | re.Pattern[str]) -> None:
    """Open a part of the page that is folded, by the words on it; one that is open stays so."""
    summary = page.locator("summary").filter(has_text=name).first
    if summary.evaluate("summary => !summary.parentElement.open"):
        summary.click()


def seldom(page: Page) -> None:
    """Open what a unit's page offers once in a while: report, papers, construction, its place."""
    unfold(page, "Report, papers and more")


def name_print(page: Page, letters: str, answer: str) -> None:
    """Say with one tap what a piece of print without a label is."""
    row = page.get_by_role("article", name=re.compile(f"^What is this print.*{letters}"))
    row.first.get_by_role("button", name=answer, exact=True).click()


def hand_in(page: Page, photo: Path | str) -> None:
    """Choose a file where one photographs, and wait until the phone has looked at it."""
    path = SAMPLES / photo if isinstance(photo, str) else photo
    page.locator("input[type=file]").set_input_files(str(path))
    expect(page.get_by_role("heading", name="Will this photo do?")).to_be_visible()
    expect(page.get_by_text(re.compile("Looked at on this phone|cannot open"))).to_be_visible()


def keep(page: Page, *, surface: str = "Facepiece", whole: str = "Yes, all of it") -> None:
    page.get_by_role("radio", name=surface, exact=True).check(force=True)
    page.get_by_role("button", name=whole).click()


def photograph(page: Page, photo: str, **said: str) -> None:
    """A photo of a new unit, from the file picker to its marks."""
    page.goto("/#/kept")
    page.goto("/#/take")
    hand_in(page, photo)
    keep(page, **said)
    page.get_by_role("button", name="See what was read").click()
    expect(outcome(page)).to_be_visible()


def send(address: str, photo: Path) -> str:
    """A photo of a whole facepiece as a new unit, sent as the page sends it; the unit's id."""
    unit = new_id()
    fields = {"id": new_id(), "unit_id": unit, "surface": "facepiece", "whole": "yes"}
    with photo.open("rb") as file:
        where, who = f"{address}/api/photos", {"X-Actor": "Samira%20Kholvane"}
        answer = httpx2.post(
            where, data=fields, files={"file": file}, headers=who, timeout=PATIENCE / 1000
        )
    answer.raise_for_status()
    return unit


def open_unit(page: Page, unit: str) -> None:
    """Open a unit that was sent before, and wait until it is read."""
    for _ in range(PATIENCE // 200):
        if page.request.get(f"/api/units/{unit}").json()["checks"]:
            open_page(page, f"unit/{unit}")
            return
        page.wait_for_timeout(200)
    raise AssertionError(f"unit {unit} was not read")


def outcome(page: Page) -> Any:
    return page.get_by_role("region", name="Outcome")


def mark(page: Page, name: str) -> Any:
    return page.get_by_role("article", name=name, exact=True)


def says_so(page: Page, name: str) -> None:
    """Say that the ink says what was read: at one tap, or in the letters of a mark that is
    confirmed with others in one go.
    """
    card = mark(page, name)
    one_tap = card.get_by_role("button", name=re.compile("^The ink says this"))
    if one_tap.count():
        one_tap.click()
    else:
        card.get_by_role("button", name=re.compile("^Correct it")).click()
        card.get_by_role("button", name="Confirm these letters").click()


def confirm(page: Page, name: str) -> None:
    """Say that the ink says what was read, and wait until that is kept."""
    says_so(page, name)
    card = mark(page, name)
    expect(card.get_by_text("Confirmed", exact=True)).to_be_visible()


def settle(page: Page, name: str, letters: str) -> None:
    """Make a mark say these letters, whatever it was read as, and confirm it."""
    card = mark(page, name)
    one_tap = card.get_by_role("button", name=f"The ink says this: {name} {letters}", exact=True)
    if one_tap.count():
        one_tap.click()
    else:
        correct = card.get_by_role("button", name=re.compile("^(Correct it|I can read it)"))
        if correct.count():
            correct.click()
        _spell(card, letters)
        card.get_by_role("button", name="Confirm these letters").click()
    expect(card.get_by_text("Confirmed", exact=True)).to_be_visible()


def _spell(card: Any, letters: str) -> None:
    """Type over every letter, add what lacks, take out what is over."""
    typed = card.get_by_label("Type what is printed, letter for letter")
    if typed.count():
        typed.fill(letters)
        typed.blur()
        return
    cells = card.get_by_role("group", name="The letters").get_by_role("button")
    while cells.count() > len(letters):
        cells.last.click()
        card.get_by_role("button", name="Take it out").click()
    while cells.count() < len(letters):
        cells.last.click()
        card.get_by_role("button", name="Add one after it").click()
    for place, letter in enumerate(letters):
        cells.nth(place).click()
        card.get_by_label("Another letter").press_sequentially(letter)


def photograph_until(page: Page, photo: str, heading: str) -> None:
    """A photo of a new unit, to the page that has this heading."""
    page.goto("/#/take")
    hand_in(page, photo)
    keep(page)
    page.get_by_role("button", name="See what was read").click()
    expect(page.get_by_role("heading", name=heading)).to_be_visible()


def declare(page: Page, label: str, *, units: int, cartons: int) -> None:
    """Fill in a new consignment and keep it."""
    fill_consignment(page, label, units=units, cartons=cartons)
    expect(page.get_by_role("heading", name=label)).to_be_visible()


def fill_consignment(page: Page, label: str, *, units: int, cartons: int, lots: str = "") -> None:
    """Fill in what a new consignment is declared to be, and press the button."""
    page.get_by_label("What you call it").fill(label)
    page.get_by_label("Supplier").fill("Kestrane Medical Supply (FICTIONAL)")
    page.get_by_label("Units declared").fill(str(units))
    page.get_by_label("Cartons declared").fill(str(cartons))
    if lots:
        page.get_by_label(re.compile("^Lots")).fill(lots)
    page.get_by_role("button", name="Keep it").click()


def draw(page: Page, seed: str) -> None:
    """Plan to notice 5 % and draw."""
    page.get_by_label("Something to draw from").fill(seed)
    page.get_by_role("button", name="Draw", exact=True).click()
    expect(page.get_by_role("heading", name="The sample")).to_be_visible()
