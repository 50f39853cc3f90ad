"""python -m tests.bench quality FOLDER...: what the facts of a photo say about its reading.

Reads made photos with truth as they are, and every n-th of them spoilt in one way each (blurred,
darkened, brightened, burnt out, reduced). For each fact: the share of marks that came out exact by
bins of the fact, and where it falls. The limits of `photo/quality.py` are taken from here.
"""

from __future__ import annotations

import argparse
import json
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import asdict, dataclass
from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy.optimize import isotonic_regression

from inkwitness.marks.grammar import Grammar
from inkwitness.marks.read_marks import seen_in_lines
from inkwitness.marks.vocabulary import Vocabulary
from inkwitness.photo.decode import decode
from inkwitness.photo.quality import photo_facts
from inkwitness.photo.values import Photo, Pixels, Polygon
from inkwitness.reading.read import has_words, read
from inkwitness.reading.readers.engines import Readers, load_readers
from inkwitness.rulebook import load, shipped
from tests.bench.scored.truth import SCORED, bare, made

#: Marks that no grammar reads, so that they say nothing of how clear a photo is.
FREE = ("manufacturer", "model")

AS_IT_IS = "as it is"
#: Fewer marks exact than this share: the photo is worth taking again.
_FALLEN = 0.7
_BINS = 10
#: Each fact with the copies that are spoilt in its way, and whether a low value is the poor one.
_SPOILT = {
    "blur": ("blurred", False),
    "glare": ("burnt out", False),
    "too_dark": ("darkened", True),
    "too_bright": ("brightened", False),
    "small_letters": ("reduced", True),
    "cut_off": ("", False),
}

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


@dataclass(frozen=True)
class ReadPhoto:
    """One reading: its lines (polygon, x-height in pixels) and the marks that came out exact.

    `legible` counts the marks that a person could read in the photo as it was made, `printed` all
    that are on the item. `spoilt` is how the photo was spoilt before, `hurt` how much.
    """

    file: str
    spoilt: str
    hurt: float
    lines: tuple[tuple[Polygon, float], ...]
    legible: int
    legible_exact: int
    printed: int
    printed_exact: int


def copies(pixels: Pixels, truth: dict[str, object]) -> Iterator[tuple[str, float, Pixels]]:
    """A photo spoilt in one way each, in proportion to the height and the extent of its print."""
    lines = truth["lines"]
    assert isinstance(lines, list)
    noise = np.random.default_rng(5)
    height = float(np.median([line["x_height_px"] for line in lines]))
    corners = np.concatenate([np.array(line["polygon"]) for line in lines])
    middle, reach = corners.mean(0), np.ptp(corners, 0)
    light = pixels.astype(np.float32)
    for share in (0.15, 0.25, 0.35):
        yield "blurred", share, _grained(cv2.GaussianBlur(light, (0, 0), share * height), noise)
    for share in (0.25, 0.12, 0.06, 0.03):
        yield "darkened", share, _grained(light * share, noise)
    for share in (1.6, 2.2, 3.0):
        yield "brightened", share, _grained(light * share, noise)
    rows, columns = np.mgrid[: light.shape[0], : light.shape[1]].astype(np.float32)
    for share in (0.15, 0.3, 0.5):
        away = ((columns - middle[0]) / (share * reach[0])) ** 2
        away += ((rows - middle[1]) / (share * reach[1])) ** 2
        yield "burnt out", share, _grained(light + (400 * np.exp(-away))[:, :, None], noise)
    for wanted in (9.0, 7.0, 5.5, 4.5):
        less = wanted / height
        if less < 1 and min(light.shape[:2]) * less > 150:
            small = cv2.resize(light, None, fx=less, fy=less, interpolation=cv2.INTER_AREA)
            yield "reduced", wanted, _grained(small, noise)


def _grained(light: cv2.typing.MatLike, noise: np.random.Generator) -> Pixels:
    """Clipped as a sensor clips, with its noise (standard deviation 2 grey values)."""
    grain = noise.normal(0, 2, light.shape[:2]).astype(np.float32)
    return np.asarray(np.clip(np.minimum(light, 255) + grain[:, :, None], 0, 255), np.uint8)


def read_folders(
    folders: Iterable[Path], every: int, grammars: tuple[Grammar, ...], readers: Readers
) -> Iterator[ReadPhoto]:
    """Every photo as it is; every n-th of them spoilt as well."""
    for folder in folders:
        words = Vocabulary(printing=shipped().vocabulary.printing)
        for number, case in enumerate(made(folder, grammars)):
            truth = json.loads(case.file.with_suffix(".json").read_text(encoding="utf-8"))
            photo = decode(case.file.read_bytes(), case.file.name)
            legible = {(one.mark, bare(one.value)) for one in case.wanted if one.mark not in FREE}
            printed = legible | {
                (mark, bare(value)) for mark, value in truth["marks"].items()
                if value and mark in SCORED and mark not in FREE
            }  # fmt: skip
            pictures = [(AS_IT_IS, 0.0, photo.pixels)]
            pictures += copies(photo.pixels, truth) if number % every == 0 else ()
            for spoilt, hurt, pixels in pictures:
                seen = Photo(photo.name, photo.sha256, photo.media_type, pixels)
                reading = read(seen, readers)
                told = {
                    (mark.mark, bare(text))
                    for area in reading.areas
                    for mark in (one.mark for one in seen_in_lines(area.lines, grammars, words))
                    for text in (mark.value, mark.printed)
                }
                found = [line for area in reading.areas for line in area.lines if has_words(line)]
                lines = tuple((line.polygon, line.x_height_px) for line in found)
                yield ReadPhoto(str(case.file), spoilt, hurt, lines, len(legible),
                                len(legible & told), len(printed), len(printed & told))  # fmt: skip


def measured(reads: Sequence[ReadPhoto]) -> list[tuple[ReadPhoto, dict[str, float]]]:
    """Each reading with the facts measured on its photo."""
    by_file: dict[str, list[ReadPhoto]] = defaultdict(list)
    for one in reads:
        by_file[one.file].append(one)
    out = []
    for name, own in by_file.items():
        file = Path(name)
        photo = decode(file.read_bytes(), file.name)
        pictures = {(AS_IT_IS, 0.0): photo.pixels}
        if len(own) > 1:
            truth = json.loads(file.with_suffix(".json").read_text(encoding="utf-8"))
            pictures |= {(how, hurt): seen for how, hurt, seen in copies(photo.pixels, truth)}
        for one in own:
            seen = Photo(photo.name, photo.sha256, photo.media_type,
                         pictures[one.spoilt, one.hurt])  # fmt: skip
            facts = photo_facts(seen, one.lines)
            out.append((one, {f.fact: f.value for f in facts if f.state != "not_measured"}))
    return out


def main(argv: Sequence[str] | None = None) -> None:
    """Entry point."""
    parser = argparse.ArgumentParser(prog="python -m tests.bench quality", description=__doc__)
    parser.add_argument("folder", type=Path, nargs="+", help="made photos, a truth beside each")
    parser.add_argument("--every", type=int, default=9, help="spoil every n-th photo")
    parser.add_argument("--keep", type=Path, help="keep the readings here, read none twice")
    parser.add_argument("--printed", action="store_true",
                        help="count all marks on the item, not only the legible ones")  # fmt: skip
    args = parser.parse_args(argv)
    if args.keep and args.keep.exists():
        reads = [_from_json(line) for line in args.keep.read_text(encoding="utf-8").splitlines()]
    else:
        reads = list(read_folders(args.folder, args.every, load().grammars, load_readers()))
        if args.keep:
            rows = "\n".join(json.dumps(asdict(one)) for one in reads)
            args.keep.write_text(rows, encoding="utf-8")
    print("\n".join(report(measured(reads), printed=args.printed)))


def report(found: Sequence[tuple[ReadPhoto, dict[str, float]]], *, printed: bool) -> Iterator[str]:
    """Markdown, fact by fact: how well it tells success from failure, and the limit that fits."""
    for fact, (spoilt, low_is_poor) in _SPOILT.items():
        for kinds in ((AS_IT_IS,), (AS_IT_IS, spoilt)) if spoilt else ((AS_IT_IS,),):
            own = [(facts[fact], one) for one, facts in found
                   if one.spoilt in kinds and fact in facts]  # fmt: skip
            own.sort(key=lambda pair: -pair[0] if low_is_poor else pair[0])
            value = np.array([pair[0] for pair in own])
            exact = np.array([one.printed_exact if printed else one.legible_exact
                              for _, one in own])  # fmt: skip
            total = np.array([one.printed if printed else one.legible for _, one in own])
            worse = told_apart(-value if low_is_poor else value, exact, total)
            limit = fallen(value, exact, total)
            fitted = "nowhere" if limit is None else f"{limit:.3g}"
            yield f"\n### {fact}: {' and '.join(kinds)}, {len(own)} photos\n"
            yield f"worse where a mark was not exact: {worse:.3f} (0.5: says nothing)"
            yield f"below {_FALLEN:.0%} exact from: {fitted}\n"
            yield "| from | to | exact | marks |\n|---|---|---|---|"
            edges = np.unique(np.quantile(value, np.linspace(0, 1, _BINS + 1)))
            bins = np.clip(np.searchsorted(edges, value, "right") - 1, 0, max(len(edges) - 2, 0))
            for part in (bins == k for k in np.unique(bins)):
                marks = int(total[part].sum())
                share = f"{exact[part].sum() / marks:.0%}" if marks else "-"
                low, high = value[part].min(), value[part].max()
                yield f"| {low:.3g} | {high:.3g} | {share} | {marks} |"


def told_apart(bad: Floats, exact: Ints, total: Ints) -> float:
    """How often a photo of a mark missed has the worse fact than one of a mark that is exact."""
    right, wrong = np.sort(np.repeat(bad, exact)), np.repeat(bad, total - exact)
    if not len(right) or not len(wrong):
        return float("nan")
    under = np.searchsorted(right, wrong, "left") + np.searchsorted(right, wrong, "right")
    return float(np.mean(under) / (2 * len(right)))


def fallen(value: Floats, exact: Ints, total: Ints) -> float | None:
    """Where the share exact falls below `_FALLEN`; photos in order, the good ones first.

    The share may only fall along the order (isotonic regression, Barlow et al. 1972).
    """
    _, first, which = np.unique(value, return_index=True, return_inverse=True)
    hits, marks = np.bincount(which, exact), np.bincount(which, total)
    order = np.argsort(first)[marks[np.argsort(first)] > 0]
    fitted = isotonic_regression(hits[order] / marks[order], weights=marks[order], increasing=False)
    below = np.flatnonzero(fitted.x < _FALLEN)
    return float(value[first[order[below[0]]]]) if len(below) else None


def _from_json(line: str) -> ReadPhoto:
    kept = json.loads(line)
    lines = tuple((tuple((x, y) for x, y in ring), height) for ring, height in kept.pop("lines"))
    return ReadPhoto(lines=lines, **kept)
