"""A real server on a free port with a new database, and a phone-sized browser that looks at it."""

import os
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path

from playwright.sync_api import Browser, BrowserContext, Playwright

from tests.ports import free_port
from tests.web import read_once

ROOT = Path(__file__).parents[2]
SAMPLES = ROOT / "sample_images"
CHROMIUM = os.environ.get("INKWITNESS_CHROMIUM", "/usr/bin/chromium")
PHONE = {"width": 360, "height": 740}
TABLET = {"width": 820, "height": 1180}
# Milliseconds that a step may take before it counts as never coming: for a machine that has other
# work too. Nothing is judged by how long it took.
PATIENCE = 180_000
# The day that the sample pictures and their list are made for.
TODAY = "2026-11-25"


@contextmanager
def server(
    folder: Path,
    port: int | None = None,
    reader: str = "tests.web.read_once:build",
    cwd: Path = ROOT,
    *,
    demo: bool = True,
    settings: Mapping[str, str] | None = None,
) -> Iterator[str]:
    """`inkwitness serve --demo` in a process of its own, started in `cwd`; gives its address.

    `settings` by their names: `{"two_persons": "true"}`.
    """
    port = port or free_port()
    address = f"http://127.0.0.1:{port}"
    command = [sys.executable, "-m", "inkwitness", "serve", *(["--demo"] if demo else [])]
    command += ["--data", str(folder), "--port", str(port)]
    # Two readers of one thread each get through more photos than one reader of two threads.
    two = {"INKWITNESS_WORKERS": "2", "INKWITNESS_THREADS": "1"}
    once = {"INKWITNESS_READER": reader, **read_once.shared(folder)}
    told = {f"INKWITNESS_{name.upper()}": value for name, value in (settings or {}).items()}
    env = {**os.environ, "INKWITNESS_ON": TODAY, **two, **once, **told}
    folder.mkdir(parents=True, exist_ok=True)
    log = folder / "server.log"
    with log.open("wb") as out:
        process = subprocess.Popen(command, env=env, cwd=cwd, stdout=out, stderr=subprocess.STDOUT)
        try:
            _wait(address, process, log)
            yield address
        finally:
            process.terminate()
            process.wait(timeout=120)


def _wait(address: str, process: "subprocess.Popen[bytes]", log: Path) -> None:
    for _ in range(3000):
        if process.poll() is not None:
            raise RuntimeError(f"the server ended: {log.read_text(errors='replace')[-2000:]}")
        try:
            with urllib.request.urlopen(f"{address}/api/about", timeout=2):
                return
        except (urllib.error.URLError, OSError):
            time.sleep(0.1)
    raise RuntimeError("the server did not answer within five minutes")


def launch(playwright: Playwright, video: Path | None = None) -> Browser:
    """Debian's Chromium; with `video`, its camera shows that file."""
    args = ["--disable-background-networking", "--disable-component-update", "--no-first-run"]
    args += ["--disable-dev-shm-usage"]
    if os.geteuid() == 0:
        args.append("--no-sandbox")
    if video is not None:
        args += [
            "--use-fake-ui-for-media-stream",
            "--use-fake-device-for-media-stream",
            f"--use-file-for-fake-video-capture={video}",
        ]
    return playwright.chromium.launch(executable_path=CHROMIUM, headless=True, args=args)


def phone(
    browser: Browser,
    address: str,
    *,
    tablet: bool = False,
    person: str = "Samira Kholvane",
    scale: float = 2,
) -> BrowserContext:
    """A phone that has been used by `person` before; every request to elsewhere is refused.

    `scale` is pixels of the screen to a CSS pixel.
    """
    context = browser.new_context(
        base_url=address,
        viewport=TABLET if tablet else PHONE,  # type: ignore[arg-type]
        device_scale_factor=scale,
        has_touch=True,
        locale="en-GB",
        reduced_motion="reduce",
        timezone_id="Europe/London",
    )
    context.set_default_timeout(PATIENCE)
    if person:
        context.add_init_script(
            f"if (localStorage.getItem('ink.person') === null) {{"
            f"localStorage.setItem('ink.person', JSON.stringify({person!r}));"
            f"localStorage.setItem('ink.guided', 'true');"
            f"localStorage.setItem('ink.people', JSON.stringify([{person!r}]));}}"
        )
    return context
