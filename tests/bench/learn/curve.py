"""How much is read at each size, for weights between stock and tuned; and how sure what is wrong.

Lines of photographs (pack `real`) come cut from the photo made smaller; held-out lines of the open
sources are made smaller here. The label is what the stock weights read at full size.
"""

from __future__ import annotations

import difflib
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import cv2
import numpy as np
import onnx
import torch
from numpy.typing import NDArray

from .degrade import STRIP_HEIGHT, clean, poor
from .graph import Graph, Weights
from .pack import Picture, Sample, unpacked

LADDER = (10.0, 7.0, 6.0, 5.0, 4.0, 3.5, 3.0)
_BATCH = 64
_JPEG = 88
_STEP = 32
_SEED = 7


@dataclass(frozen=True)
class Rung:
    """A line to measure on, and what it says."""

    sample: Sample
    text: str


@dataclass(frozen=True)
class Told:
    """What was read: the text, a probability for each letter, their mean, and the classes."""

    text: str
    sure: tuple[float, ...]
    confidence: float
    classes: tuple[int, ...]


class Reader:
    """Reads strips with a graph, as the engine does."""

    def __init__(self, graph: Graph, file: Path) -> None:
        notes = {one.key: one.value for one in onnx.load(str(file)).metadata_props}
        listed = notes["character"].splitlines()
        self.letters = ("", *listed, " ")
        self._graph = graph
        self._class = {letter: at for at, letter in enumerate(self.letters) if letter}

    def classes(self, text: str) -> tuple[int, ...]:
        """The classes of a text; empty if a letter is not among them."""
        found = [self._class.get(letter, -1) for letter in " ".join(text.split())]
        return () if -1 in found else tuple(found)

    def read(self, strips: Sequence[Picture]) -> list[Told]:
        """What stands on strips that are STRIP_HEIGHT high."""
        told: list[Told | None] = [None] * len(strips)
        groups: dict[int, list[int]] = {}
        for at, strip in enumerate(strips):
            groups.setdefault(max(96, strip.shape[1] + -strip.shape[1] % _STEP), []).append(at)
        for wide, members in groups.items():
            for start in range(0, len(members), _BATCH):
                some = members[start : start + _BATCH]
                for at, one in zip(some, self._batch([strips[i] for i in some], wide), strict=True):
                    told[at] = one
        return [one for one in told if one is not None]

    def _batch(self, strips: Sequence[Picture], wide: int) -> list[Told]:
        filled = np.zeros((len(strips), 3, STRIP_HEIGHT, wide), np.float32)
        for at, strip in enumerate(strips):
            filled[at, :, :, : strip.shape[1]] = strip.transpose(2, 0, 1) / 127.5 - 1.0
        device = next(self._graph.parameters()).device
        with torch.no_grad():
            likely, best = self._graph(torch.from_numpy(filled).to(device)).softmax(-1).max(-1)
        both = zip(likely.cpu().numpy(), best.cpu().numpy(), strips, strict=True)
        return [self._decoded(p, b, strip.shape[1] / wide) for p, b, strip in both]

    def _decoded(self, likely: NDArray[Any], best: NDArray[Any], share: float) -> Told:
        steps = max(1, int(np.ceil(len(best) * share)))
        classes: list[int] = []
        sure: list[float] = []
        step = 0
        while step < steps:
            end = step + 1
            while end < steps and best[end] == best[step]:
                end += 1
            if best[step]:
                classes.append(int(best[step]))
                sure.append(float(likely[step:end].max()))
            step = end
        letters = "".join(self.letters[one] for one in classes)
        mean = float(np.mean(sure)) if sure else 0.0
        return Told(letters.strip(), tuple(sure), mean, tuple(classes))


def curve(
    reader: Reader,
    graph: Graph,
    steps: Sequence[tuple[float, Weights]],
    packs: Path,
    held: Sequence[Rung],
) -> list[dict[str, Any]]:
    """One row for each set, size and share of the way to the tuned weights."""
    sets: dict[str, list[tuple[float, Picture, str]]] = {
        "held out, scans": _ladder([one for one in held if one.sample.source[:4] == "scan"][:250]),
        "held out, photographs": _ladder([one for one in held if one.sample.source[:5] == "photo"]),
    }
    if (packs / "held.jsonl").exists():
        others = [Rung(sample, sample.text) for sample, _ in unpacked(packs / "held")]
        sets["other photographs"] = _ladder(others[:250])
    if (packs / "real.jsonl").exists():
        sets["real"] = [
            (kept["rung"] or 99.0, clean(sample.strip), sample.text)
            for sample, kept in unpacked(packs / "real")
        ]
        large = [sample for sample, kept in unpacked(packs / "real") if not kept["rung"]]
        rng = np.random.default_rng(_SEED)
        sets["real, poorer"] = [
            (rung, poor(one.strip, one.x, rng, rung)[0], one.text)
            for rung in LADDER
            for one in large
        ]
    sets = {name: strips for name, strips in sets.items() if strips}
    rows = []
    for share, weights in steps:
        graph.take(weights)
        for name, strips in sets.items():
            told = reader.read([strip for _, strip, _ in strips])
            for rung in sorted({rung for rung, _, _ in strips}, reverse=True):
                pairs = [
                    (one, text)
                    for one, (at, _, text) in zip(told, strips, strict=True)
                    if at == rung
                ]
                rows.append({"set": name, "share": share, "x_height": rung, **_judged(pairs)})
            last = [row for row in rows if row["set"] == name and row["share"] == share]
            print(name, share, *(f"{r['x_height']:g}:{r['exact']:.3f}/{r['characters']:.3f}"
                                 f"/{r['wrong_at_95']}" for r in last), flush=True)  # fmt: skip
    return rows


def _judged(pairs: Sequence[tuple[Told, str]]) -> dict[str, float]:
    exact = [_same(told.text) == _same(text) for told, text in pairs]
    right: list[float] = []
    wrong: list[float] = []
    characters = 0.0
    for told, text in pairs:
        letters = [c for c in zip(told.text, _trimmed(told), strict=False) if c[0] != " "]
        wanted = text.replace(" ", "")
        match = difflib.SequenceMatcher(None, [c for c, _ in letters], list(wanted), autojunk=False)
        hit = {at for block in match.get_matching_blocks()
               for at in range(block.a, block.a + block.size)}  # fmt: skip
        characters += max(0.0, 1 - _distance("".join(c for c, _ in letters), wanted) / len(wanted))
        for at, (_, sure) in enumerate(letters):
            (right if at in hit else wrong).append(sure)
    lines_wrong = [told for (told, _), good in zip(pairs, exact, strict=True) if not good]
    return {
        "lines": len(pairs),
        "exact": round(float(np.mean(exact)), 4),
        "characters": round(characters / len(pairs), 4),
        "wrong_letters": len(wrong),
        "wrong_sure": round(float(np.mean(wrong)), 4) if wrong else 0.0,
        "wrong_at_985": int(np.sum(np.array(wrong) >= 0.985)),
        "wrong_at_95": int(np.sum(np.array(wrong) >= 0.95)),
        "right_sure": round(float(np.mean(right)), 4) if right else 0.0,
        "right_at_985": int(np.sum(np.array(right) >= 0.985)),
        "lines_wrong_and_sure": sum(min(one.sure, default=0.0) >= 0.9 for one in lines_wrong),
    }


def _trimmed(told: Told) -> tuple[float, ...]:
    """Probabilities of the letters of the text, without blanks at its start."""
    return told.sure[len(told.sure) - len(told.text) :] if told.sure else ()


def _same(text: str) -> str:
    """A text without its blanks, and all dashes alike."""
    return "".join(text.split()).replace("~", "-").replace("～", "-")


def _distance(a: str, b: str) -> int:
    """Edits from one to the other (Levenshtein)."""
    row = list(range(len(b) + 1))
    for i, x in enumerate(a, 1):
        last, row[0] = row[0], i
        for j, y in enumerate(b, 1):
            last, row[j] = row[j], min(row[j] + 1, row[j - 1] + 1, last + (x != y))
    return row[-1]


def _ladder(lines: Sequence[Rung]) -> list[tuple[float, Picture, str]]:
    whole = [(99.0, clean(one.sample.strip), one.text) for one in lines]
    small = [
        (rung, reduced(one.sample.strip, one.sample.x, rung), one.text)
        for one in lines
        for rung in LADDER
    ]
    return whole + small


def reduced(strip: Picture, x: float, x_height: float) -> Picture:
    """A strip made smaller as photographs are (see gather.smaller), and enlarged again."""
    high, wide = strip.shape[:2]
    scale = x_height / x
    size = (max(8, round(wide * scale)), max(6, round(high * scale)))
    small = cv2.resize(strip, size, interpolation=cv2.INTER_AREA)
    _, coded = cv2.imencode(".jpg", small, [cv2.IMWRITE_JPEG_QUALITY, _JPEG])
    saved = np.asarray(cv2.imdecode(coded, cv2.IMREAD_COLOR), np.uint8)
    back = cv2.resize(saved, (wide, high), interpolation=cv2.INTER_CUBIC)
    return clean(np.asarray(back, np.uint8))
