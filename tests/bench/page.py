"""python -m tests.bench page: how heavy the page is, and how soon one can touch it.

The real server, a browser with an empty cache, the first screen. Network and processor are slowed
as the profile "slow 4G" does that Lighthouse publishes (docs/throttling.md: 150 ms for a round
trip, 1.6 Mbit/s down, 750 kbit/s up, processor four times slower), through the Chrome DevTools
protocol. Interactive is said as Lighthouse defines "time to interactive": the end of the last
task longer than 50 ms before the first five seconds in which no such task runs and at most two
requests are under way; never before the first screen is drawn.

Then how long the phone takes, processor slowed as above, from the shutter (or from the chosen
file) until it says whether the photo will do; our own aim is one second. Nothing here is a test:
numbers depend on the machine, and on what else runs on it.
"""

import argparse
import statistics
import tempfile
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from PIL import Image
from playwright.sync_api import Browser, sync_playwright

from tests.web import hand
from tests.web.serving import SAMPLES, launch, phone, server
from tests.web.video import make_video

RTT_MS, DOWN_KBIT, UP_KBIT, SLOWER = 150, 1600, 750, 4
QUIET_MS, FEW = 5000, 2
LIMIT_S, LIMIT_KB = 2.0, 150
LOOK_LIMIT_S = 1.0
# What a phone of the last years takes: 12 megapixels.
PHOTO_SIZE = (4000, 3000)

_WATCH = """
window.seen = { tasks: [], drawn: 0 };
new PerformanceObserver((list) => {
  for (const { startTime, duration } of list.getEntries())
    seen.tasks.push([startTime, startTime + duration]);
}).observe({ type: 'longtask', buffered: true });
new MutationObserver((_, watcher) => {
  if (document.querySelector('main h1') === null) return;
  watcher.disconnect();
  requestAnimationFrame(() => setTimeout(() => { seen.drawn = performance.now(); }));
}).observe(document, { childList: true, subtree: true });
"""

_WATCH_PHOTO = """
window.photo = { from: 0, told: 0 };
const from = () => { photo.from = performance.now(); photo.told = 0; };
addEventListener('click', (event) => {
  if (event.target.closest('.shutter > button') !== null) from();
}, true);
addEventListener('change', (event) => { if (event.target.type === 'file') from(); }, true);
new MutationObserver(() => {
  const told = document.querySelector('.sheet[role=status]');
  if (photo.from === 0 || photo.told > 0 || told === null) return;
  requestAnimationFrame(() => setTimeout(() => { photo.told = performance.now(); }));
}).observe(document, { childList: true, subtree: true });
"""

_SEEN = """() => {
  const [opened] = performance.getEntriesByType('navigation');
  const asked = performance.getEntriesByType('resource');
  return {
    ...seen,
    loaded: opened.domContentLoadedEventEnd,
    paint: performance.getEntriesByName('first-contentful-paint')[0]?.startTime ?? 0,
    asked: [opened, ...asked].map((one) => ({
      name: new URL(one.name).pathname, start: one.startTime, end: one.responseEnd,
      bytes: one.encodedBodySize,
    })),
  };
}"""


@dataclass(frozen=True, slots=True)
class Visit:
    """One cold start. Times in seconds since the address was opened; sizes in bytes as sent."""

    paint: float
    drawn: float
    interactive: float
    script: int
    weight: int
    asked: tuple[tuple[str, float, float, int], ...]


def interactive_ms(seen: dict[str, Any]) -> float:
    """When Lighthouse's definition calls the page interactive, from what the page saw of itself."""
    tasks = sorted((start, end) for start, end in seen["tasks"])
    spans = [(one["start"], one["end"]) for one in seen["asked"]]
    quiet = float(seen["paint"])
    while (later := _disturbed(tasks, spans, quiet)) is not None:
        quiet = later
    busy = [end for _, end in tasks if end <= quiet]
    return max(seen["drawn"], seen["loaded"], seen["paint"], *busy)


def _disturbed(
    tasks: Sequence[tuple[float, float]], spans: Sequence[tuple[float, float]], start: float
) -> float | None:
    """When what first disturbs the five seconds after `start` has ended; none: nothing does."""
    until = start + QUIET_MS
    ends = [end for begun, end in tasks if end > start and begun < until][:1]
    for moment in sorted(max(begun, start) for begun, end in spans if end > start):
        under_way = sorted(end for begun, end in spans if begun <= moment < end)
        if moment < until and len(under_way) > FEW:
            ends.append(under_way[-FEW - 1])
            break
    return min(ends, default=None)


def visit(browser: Browser, address: str, language: str) -> Visit:
    """Open the first screen, slowed and with nothing kept, and wait until it has been quiet."""
    context = phone(browser, address)
    context.set_default_timeout(120_000)
    page = context.new_page()
    hand.remember(page, language=language)
    page.add_init_script(_WATCH)
    client = context.new_cdp_session(page)
    client.send("Network.enable")
    bytes_a_second = {
        "downloadThroughput": DOWN_KBIT * 1000 / 8,
        "uploadThroughput": UP_KBIT * 1000 / 8,
    }
    slow = {"offline": False, "latency": RTT_MS, **bytes_a_second}
    client.send("Network.emulateNetworkConditions", slow)
    client.send("Emulation.setCPUThrottlingRate", {"rate": SLOWER})
    page.goto("/", wait_until="commit")
    page.wait_for_function("seen.drawn > 0")
    page.wait_for_timeout(2 * QUIET_MS)
    seen = page.evaluate(_SEEN)
    context.close()
    asked = tuple((one["name"], one["start"], one["end"], one["bytes"]) for one in seen["asked"])
    first = [one for one in asked if one[1] < seen["drawn"]]
    return Visit(
        paint=seen["paint"] / 1000,
        drawn=seen["drawn"] / 1000,
        interactive=interactive_ms(seen) / 1000,
        script=sum(size for name, _, _, size in first if name.endswith(".js")),
        weight=sum(size for _, _, _, size in first),
        asked=asked,
    )


def looks(browser: Browser, address: str, photo: Path, runs: int) -> dict[str, list[float]]:
    """Seconds until the page says whether a photo will do, by where the photo came from."""
    context = phone(browser, address)
    context.grant_permissions(["camera"], origin=address)
    page = context.new_page()
    page.add_init_script(_WATCH_PHOTO)
    hand.open_page(page, "take")
    client = context.new_cdp_session(page)
    took: dict[str, list[float]] = {"shutter": [], "file": []}
    for source in [one for _ in range(runs) for one in took]:
        shutter = page.get_by_role("button", name="Take the photo")
        shutter.wait_for()
        client.send("Emulation.setCPUThrottlingRate", {"rate": SLOWER})
        if source == "shutter":
            shutter.click()
        else:
            page.locator("input[type=file]").set_input_files(str(photo))
        page.wait_for_function("photo.told > 0")
        client.send("Emulation.setCPUThrottlingRate", {"rate": 1})
        took[source].append(page.evaluate("photo.told - photo.from") / 1000)
        page.get_by_role("button", name="Take it again").click()
    context.close()
    return took


def large_photo(path: Path) -> Path:
    """A sample as large as a phone takes it, with a grain like that of its sensor."""
    with Image.open(SAMPLES / "us-complete.jpg") as sample:
        large = np.asarray(sample.convert("RGB").resize(PHOTO_SIZE, Image.Resampling.LANCZOS))
    grain = np.random.default_rng(7).normal(0, 4, large.shape)
    Image.fromarray(np.clip(large + grain, 0, 255).astype(np.uint8)).save(path, quality=92)
    return path


def main(argv: Sequence[str] | None = None) -> None:
    """Entry point."""
    parser = argparse.ArgumentParser(prog="python -m tests.bench page", description=__doc__)
    parser.add_argument("--runs", type=int, default=7)
    parser.add_argument("--languages", default="en,hi", help="as chosen before, after a comma each")
    parser.add_argument("--waterfall", action="store_true", help="show each request of the first")
    asked = parser.parse_args(argv)
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright:
        video = make_video(Path(folder) / "camera.mjpeg", SAMPLES / "us-complete.jpg")
        browser = launch(playwright, video)
        with server(Path(folder)) as address:
            for language in asked.languages.split(","):
                visits = [visit(browser, address, language) for _ in range(asked.runs)]
                _tell(language, visits, waterfall=asked.waterfall)
            photo = large_photo(Path(folder) / "large.jpg")
            _tell_looks(looks(browser, address, photo, asked.runs), photo)
        browser.close()


def _tell_looks(took: dict[str, list[float]], photo: Path) -> None:
    megabytes = photo.stat().st_size / 1e6
    for source, of in (
        ("shutter", "the fake camera's still"),
        ("file", f"{PHOTO_SIZE[0]} x {PHOTO_SIZE[1]} pixels, {megabytes:.1f} MB"),
    ):
        times, slowest = took[source], max(took[source])
        kept = "kept" if slowest < LOOK_LIMIT_S else "NOT KEPT"
        print(f"will this photo do, from the {source} ({of}): ", end="")
        print(f"{statistics.median(times):.2f} s (median), {slowest:.2f} s (slowest); ", end="")
        print(f"limit {LOOK_LIMIT_S:.0f} s: {kept}")


def _tell(language: str, visits: Sequence[Visit], *, waterfall: bool) -> None:
    slowest = max(one.interactive for one in visits)
    middle = statistics.median(one.interactive for one in visits)
    kilobytes = max(one.script for one in visits) / 1000
    times = " ".join(f"{one.interactive:.2f}" for one in visits)
    print(f"page in {language}: script {kilobytes:.1f} kB of {LIMIT_KB} kB as sent;", end=" ")
    print(f"before the first screen {visits[0].weight / 1000:.1f} kB in all")
    print(f"  painted {statistics.median(one.paint for one in visits):.2f} s, ", end="")
    print(f"first screen {statistics.median(one.drawn for one in visits):.2f} s (medians)")
    print(f"  interactive {middle:.2f} s (median), {slowest:.2f} s (slowest): {times}")
    over = slowest >= LIMIT_S or kilobytes >= LIMIT_KB
    print(f"  limits {LIMIT_S:.0f} s and {LIMIT_KB} kB: {'NOT KEPT' if over else 'kept'}")
    if waterfall:
        for name, start, end, size in visits[0].asked:
            print(f"  {start:6.0f} to {end:6.0f} ms {size:7d} B  {name}")


if __name__ == "__main__":
    main()
