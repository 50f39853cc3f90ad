"""python -m tests.bench NAME [options]

NAME is reading, losses, reliability, calibrate, quality, holders, stock or page. Without one:
reading, losses, reliability, holders, stock and page, one after the other, with what they take by
default. `calibrate` fits marks/scores/calibration.json anew, `quality` the limits of a
photo's facts; both are only run by name. Each takes --help.
"""

from __future__ import annotations

import os
import sys

from . import calibrate, holders, losses, page, quality, reading, stock

BENCHES = {
    "reading": reading.main,
    "losses": losses.main,
    "reliability": lambda argv: calibrate.main(["reliability", *argv]),
    "calibrate": lambda argv: calibrate.main(["calibrate", *argv]),
    "quality": quality.main,
    "holders": holders.main,
    "stock": stock.main,
    "page": page.main,
}


def main() -> None:
    """Entry point."""
    name, *options = sys.argv[1:] or [""]
    if name in BENCHES:
        BENCHES[name](options)
    elif name:
        sys.exit(f"{name} is not one of: {', '.join(BENCHES)}\n\n{__doc__}")
    else:
        for each in ("reading", "losses", "reliability", "holders", "stock", "page"):
            jobs = ["--jobs", str(os.cpu_count() or 1)] if each == "reliability" else []
            print(f"\n## {each}\n", flush=True)
            BENCHES[each](jobs)


if __name__ == "__main__":
    main()
