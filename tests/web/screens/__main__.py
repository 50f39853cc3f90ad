"""`python -m tests.web.screens --out screens`: see the package.

From the phone's pictures it puts together `readme.png`, which is kept as `web/screenshot.png`.
`--only units,walk` takes groups whose names begin so; `--sheets` puts pictures beside each other.
"""

import argparse
import sys
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

from httpx2 import HTTPError
from PIL import Image
from playwright.sync_api import Browser, Page, expect, sync_playwright
from playwright.sync_api import Error as BrowserError

from tests.web.screens import desk, goods, others, taking, units
from tests.web.screens.camera import NAMES, Camera, sheets
from tests.web.screens.house import House, furnish
from tests.web.serving import PHONE, SAMPLES, launch, phone, server
from tests.web.video import make_video

Group = Callable[[Page, House, Camera], None]
#: In the order of a visit: first what shows nothing that was read, while the photos are read.
GROUPS: dict[str, Group] = {
    "first": taking.first_use,
    "taking": taking.taking,
    "desk-sampling": desk.sampling,
    "desk-many": desk.many,
    "desk-offers": desk.offers,
    "goods-opened": goods.opened,
    "goods-drawn": goods.drawn,
    "wrong": others.wrong,
    "units-outcomes": units.outcomes,
    "units-typed-first": units.typed_first,
    "units-confirming": units.confirming,
    "units-deciding": units.deciding,
    "units-lists": units.lists,
    "goods-differing": goods.differing,
    "goods-released": goods.released,
    "goods-held": goods.held,
    "goods-came-with": goods.came_with,
    "goods-leaving": goods.leaving,
    "away": taking.away,
    "desk-more": desk.more,
    "ways": others.ways_to_look,
    "languages": others.languages,
    "large-text": others.large_text,
    "desk-holders": desk.holders,
}
#: Milliseconds that a step may take: a picture that does not come is told, not waited for.
PATIENCE = 60_000


def main(argv: list[str] | None = None) -> None:
    """Take the pictures; ends with 1 where a group could not be taken to its end."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--out", type=Path, default=Path("screens"))
    parser.add_argument("--looks", default=",".join(NAMES), help="of them, by comma")
    parser.add_argument("--only", default="", help="groups whose names begin so, by comma")
    parser.add_argument("--sheets", action="store_true", help="put them beside each other, too")
    asked = parser.parse_args(argv)
    wanted = tuple(asked.only.split(","))
    expect.set_options(timeout=PATIENCE)
    shot = Camera(asked.out, asked.looks.split(","))
    failed: list[str] = []
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright:
        video = make_video(
            Path(folder) / "camera.mjpeg", SAMPLES / "us-complete.jpg", long_side=1000
        )
        browser = launch(playwright, video)
        with server(Path(folder) / "data") as address:
            house = furnish(address, Path(folder))
            for name, group in GROUPS.items():
                if name.startswith(wanted):
                    _visit(browser, house, shot, name, group, failed)
        if "room".startswith(wanted):
            with _noted("room", shot, failed):
                others.room(browser, shot)
        browser.close()
    _readme(asked.out)
    if asked.sheets:
        for look in sorted({path.parent for path in shot.taken}):
            sheets(look, asked.out / "sheets")
    print(f"{len(shot.taken)} pictures in {asked.out}")
    for one in failed:
        print(f"not taken to its end: {one}", file=sys.stderr)
    if failed:
        raise SystemExit(1)


def _visit(
    browser: Browser, house: House, shot: Camera, name: str, group: Group, failed: list[str]
) -> None:
    """One group on a phone of its own."""
    context = phone(browser, house.address, scale=1)
    context.set_default_timeout(PATIENCE)
    context.grant_permissions(["camera"], origin=house.address)
    with _noted(name, shot, failed):
        group(context.new_page(), house, shot)
    context.close()


@contextmanager
def _noted(name: str, shot: Camera, failed: list[str]) -> Iterator[None]:
    """What stops a group is noted, and told at the end; the next one begins."""
    shot.begin(name)
    try:
        yield
    except (BrowserError, AssertionError, HTTPError) as error:
        failed.append(f"{name}, after {shot.number} states: {str(error)[:600]}")


def _readme(out: Path) -> None:
    """Two pictures of the phone beside each other, in few colours; none where they lack."""
    names = ("units-outcomes-*-first-screen", "units-confirming-*-mark")
    shown = [next((out / "360-light").glob(f"{name}.png"), None) for name in names]
    size = (PHONE["width"], PHONE["height"])
    both = Image.new("RGB", (2 * size[0], size[1]))
    for place, path in enumerate(shown):
        if path is None:
            return
        with Image.open(path) as one:
            both.paste(one.convert("RGB").resize(size), (place * size[0], 0))
    both.quantize(128).save(out / "readme.png", optimize=True)


if __name__ == "__main__":
    main()
