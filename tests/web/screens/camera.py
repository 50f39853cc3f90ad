"""Takes one state in each way that it is looked at, and puts pictures together for a first look."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Literal

from PIL import Image, ImageDraw
from playwright.sync_api import Page

from tests.web import hand
from tests.web.serving import PHONE

#: The page's content policy refuses a style of ours, not one set on an element.
_FOOT = "document.querySelectorAll('.foot').forEach(foot => { foot.style.position = '$'; })"
_PICTURES = "[...document.images].every(one => one.complete || one.loading === 'lazy')"


@dataclass(frozen=True, slots=True)
class Look:
    """How a state is looked at: width and height in CSS pixels, light or dark."""

    name: str
    width: int
    height: int
    scheme: Literal["light", "dark"]

    @property
    def size(self) -> tuple[int, int]:
        return self.width, self.height


_SCHEMES: tuple[Literal["light", "dark"], ...] = ("light", "dark")
#: Each size in the light and in the dark.
SIZES = tuple(
    Look(f"{width}-{scheme}", width, height, scheme)
    for width, height in ((360, 740), (768, 1024), (1280, 800))
    for scheme in _SCHEMES
)
#: A phone that lies on its side; taken where a state is much looked at with the goods in hand.
SIDE = Look("740-on-its-side", 740, 360, "light")
LARGE = "320-large-text"
NAMES = (*(look.name for look in SIZES), SIDE.name, LARGE)


@dataclass(slots=True)
class Camera:
    """Takes the pictures, numbered in the order of a group's states; a folder a look."""

    out: Path
    looks: Sequence[str]
    group: str = ""
    number: int = 0
    taken: list[Path] = field(default_factory=list)

    def begin(self, group: str) -> None:
        """The states that follow are this group's."""
        self.group, self.number = group, 0

    def __call__(
        self, page: Page, name: str, *, full: bool = False, side: bool = False, few: bool = False
    ) -> None:
        """One state. `full`: the whole page; `side`: on its side too; `few`: the phone in the light
        and the desk in the light alone.
        """
        self.number += 1
        page.wait_for_timeout(200)
        # a photo inside a drawing is no image of the document
        page.wait_for_load_state("networkidle")
        hand.until(page, _PICTURES)
        wanted = [SIZES[0], SIZES[4]] if few else [*SIZES, *([SIDE] if side else [])]
        size: tuple[int, int] = (0, 0)
        for look in wanted:
            if look.name not in self.looks:
                continue
            page.emulate_media(color_scheme=look.scheme)
            if look.size != size:
                size = look.size
                page.set_viewport_size({"width": look.width, "height": look.height})
                # what stands beside the page on a desk is fetched there
                page.wait_for_timeout(400 if look.width > 1000 else 80)
            self._take(page, look.name, name, full=full)
        page.emulate_media(color_scheme="light")
        page.set_viewport_size(PHONE)  # type: ignore[arg-type]

    def once(self, page: Page, look: str, name: str) -> None:
        """The whole page as it stands, where it is looked at in one way alone."""
        self.number += 1
        self._take(page, look, name, full=True)

    def _take(self, page: Page, look: str, name: str, *, full: bool) -> None:
        folder = self.out / look
        folder.mkdir(parents=True, exist_ok=True)
        path = folder / f"{self.group}-{self.number:02d}-{name}.png"
        if full:
            page.evaluate(_FOOT.replace("$", "static"))
        page.screenshot(path=path, full_page=full)
        if full:
            page.evaluate(_FOOT.replace("$", ""))
        self.taken.append(path)


def settle(page: Page, where: str) -> None:
    """Open a page, and wait until what it asks the server for is there."""
    page.goto(f"/#/{where}")
    page.wait_for_load_state("networkidle")
    # where only what stands behind "#" changes, nothing is loaded anew that could be waited for
    page.wait_for_timeout(500)


def sheets(folder: Path, out: Path, *, height: int = 1400) -> int:
    """The pictures of a folder beside each other, each with its name; how many sheets.

    A picture that is higher than a sheet is cut into parts that stand beside each other.
    """
    parts: list[tuple[str, Image.Image]] = []
    for path in sorted(folder.glob("*.png")):
        with Image.open(path) as opened:
            whole = opened.convert("RGB")
        for top in range(0, whole.height, height):
            box = (0, top, whole.width, min(top + height, whole.height))
            parts.append((f"{path.stem}{'' if top == 0 else f' +{top}'}", whole.crop(box)))
    out.mkdir(parents=True, exist_ok=True)
    made = 0
    across = max(2, 2400 // parts[0][1].width) if parts else 1
    for start in range(0, len(parts), across):
        row = parts[start : start + across]
        wide = sum(one.width + 12 for _, one in row)
        sheet = Image.new("RGB", (wide, max(one.height for _, one in row) + 22), "#777777")
        draw, x = ImageDraw.Draw(sheet), 0
        for name, one in row:
            draw.text((x + 4, 4), name, fill="#ffffff")
            sheet.paste(one, (x, 22))
            x += one.width + 12
        sheet.save(out / f"{folder.name}-{made:03d}.png")
        made += 1
    return made
