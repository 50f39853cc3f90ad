"""One server and one browser for all journeys; a phone of its own for each."""

import json
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from PIL import Image, ImageOps
from playwright.sync_api import Browser, BrowserContext, Page, Playwright

from tests.renderer.photo import render_photo
from tests.renderer.printed.content import Line, Print
from tests.renderer.writing import write_photo
from tests.web import hand
from tests.web.serving import SAMPLES, launch, phone, server
from tests.web.video import make_video


@pytest.fixture(scope="session")
def address(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    with server(tmp_path_factory.mktemp("served")) as address:
        yield address


@pytest.fixture(scope="session")
def browser(playwright: Playwright, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Browser]:
    # No larger than its print needs: the browser draws the film for as long as a camera is open.
    video = make_video(
        tmp_path_factory.mktemp("film") / "camera.mjpeg",
        SAMPLES / "us-complete.jpg",
        long_side=1000,
    )
    opened = launch(playwright, video)
    yield opened
    opened.close()


NewPage = Callable[..., Page]


@contextmanager
def phones(browser: Browser, address: str) -> Iterator[NewPage]:
    """Opens a page on a phone of its own. What the page complains of fails the test."""
    opened: list[BrowserContext] = []
    complaints: list[str] = []

    def _open(*, tablet: bool = False, person: str = "Samira Kholvane", first: float = 0) -> Page:
        context = phone(browser, address, tablet=tablet, person=person)
        context.grant_permissions(["camera"], origin=address)
        opened.append(context)
        page = context.new_page()
        page.on("pageerror", lambda error: complaints.append(str(error)))
        page.on("request", lambda request: _only_here(request.url, address, complaints))
        hand.remember(page, typedFirst=first)
        return page

    yield _open
    for context in opened:
        context.close()
    assert complaints == []


@pytest.fixture
def new_page(browser: Browser, address: str) -> Iterator[NewPage]:
    with phones(browser, address) as opens:
        yield opens


@pytest.fixture(scope="session")
def units_to_open(request: pytest.FixtureRequest, address: str) -> dict[str, list[str]]:
    """A unit for each test that only opens one: sent at once, read while other tests run."""
    asked = [name for item in request.session.items for name in getattr(item, "fixturenames", ())]
    return {
        photo: [hand.send(address, SAMPLES / f"{photo}.jpg") for _ in range(asked.count(fixture))]
        for fixture, photo in {"complete": "us-complete", "small_print": "us-orange-small"}.items()
    }


@pytest.fixture
def complete(units_to_open: dict[str, list[str]]) -> str:
    """A unit on which every mark is read, as the server has it: its id."""
    return units_to_open["us-complete"].pop()


@pytest.fixture
def small_print(units_to_open: dict[str, list[str]]) -> str:
    """A unit with doubtful marks, as the server has it: its id."""
    return units_to_open["us-orange-small"].pop()


def _only_here(url: str, address: str, complaints: list[str]) -> None:
    if not url.startswith((address, "data:", "blob:")):
        complaints.append(f"the page asked {url}")


@pytest.fixture(scope="session")
def small_photo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The print of a sample photo, cut out: quicker to read fifty-nine times."""
    path = tmp_path_factory.mktemp("photos") / "small.jpg"
    truth = json.loads((SAMPLES / "us-complete.json").read_text(encoding="utf-8"))
    xs, ys = zip(*(point for line in truth["lines"] for point in line["polygon"]), strict=True)
    with Image.open(SAMPLES / "us-complete.jpg") as sample:
        upright = ImageOps.exif_transpose(sample)
        room = 60
        box = (min(xs) - room, min(ys) - room, max(xs) + room, max(ys) + room)
        print_alone = upright.crop(tuple(round(side) for side in box))
        print_alone.reduce(2).save(path, quality=88)
    return path


@pytest.fixture(scope="session")
def misspelt(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    """A unit that says NOISH, and its box with claims for children (job map, scenario 5)."""
    folder = tmp_path_factory.mktemp("misspelt")
    prints = {
        "unit": {"filter_class": "N95", "agency": "NOISH"},
        "box": {"filter_class": "N95 RESPIRATOR", "claims": "FOR ADULTS AND CHILDREN"},
    }
    for name, marks in prints.items():
        lines = [Line(text, {mark: text}, "head", 1.2) for mark, text in marks.items()]
        what = Print("US-NIOSH", None, (*lines, Line("FDA CERTIFIED", {"claims": "FDA CERTIFIED"})))
        shape = {"shape": "dome", "body": "white", "ink": "black", "process": "pad"}
        fixed = {"longest": 1600, "second": None, "head": False, "units": 1, "mirrored": False}
        made = render_photo(4101, "easy", what=what, **shape, **fixed)  # type: ignore[arg-type]
        write_photo(made, folder / f"{name}.jpg")
    return folder / "unit.jpg", folder / "box.jpg"
