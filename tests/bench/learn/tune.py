"""Fit the recogniser to print made small, and draw the curve between stock and tuned weights.

    python -m tests.bench.learn.tune MODEL.onnx PACKS OUT [--steps N] [--loss LABEL FOLLOW KEEP]

PACKS is a folder with what `gather` made (scans, photos, drawn to learn from; real and held to
measure on: nothing is fitted on those two). Writes OUT/tuned.npz and OUT/curve.json. On one GPU
about eight minutes; the same seed gives the same data, but sums on a GPU differ in the last bits.

The loss of a step: CTC (Graves et al., ICML 2006) on poor strips, with the label read at full size;
and Kullback-Leibler divergence from what the stock network sees at each step of the strip at full
size, of what the tuned one sees on the poor strip (so that it learns to see as well, and to doubt
as the stock one does), and on the strip at full size (so that nothing is lost there).
"""

from __future__ import annotations

import argparse
import json
import math
import re
import time
import zlib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

import numpy as np
import torch
from torch.nn import functional as F
from torch.utils.data import DataLoader, IterableDataset, get_worker_info

from .curve import Reader, Rung, curve
from .degrade import clean, drawn_x_height, poor
from .graph import Graph, Weights, between
from .pack import Picture, Sample, unpacked

SEED = 2126
#: Rates of the neck (after the last block of the backbone) and of the backbone.
NECK_RATE, BACKBONE_RATE = 5e-5, 3e-5
#: Share of the steps in which the neck alone learns.
_NECK_FIRST = 0.12
_WARM_UP = 0.05
BATCH = 96
#: Weights of the three parts of the loss: the label; on the poor strip, step by step, what the
#: stock network sees at full size; and the same on the strip at full size.
LOSS = (0.4, 3.0, 6.0)
_EVERY = 0.998
#: One receipt in ten, and one photograph in five, is held out whole.
_HELD_OUT = {"scan": 10, "photo": 5}
#: Share of a batch that is drawn; of the rest so much from photographs.
_DRAWN, _OF_PHOTOS = 0.5, 0.2
_SURE = 0.99
_STEP = 128


@dataclass(frozen=True)
class Lesson:
    """A strip and the classes that stand on it."""

    sample: Sample
    classes: tuple[int, ...]


class Lessons(IterableDataset):
    """Endless batches: poor strips, the same strips at full size, and what stands on them."""

    def __init__(self, families: Sequence[Sequence[Lesson]], shares: Sequence[float]) -> None:
        self._families = [
            sorted(family, key=lambda one: one.sample.strip.shape[1]) for family in families
        ]
        self._widths = [
            np.array([one.sample.strip.shape[1] for one in family]) for family in self._families
        ]
        self._shares = np.array(shares) / sum(shares)

    def __iter__(self) -> Iterator[tuple[torch.Tensor, ...]]:
        worker = get_worker_info()
        rng = np.random.default_rng([SEED, 0 if worker is None else worker.id])
        while True:
            yield self._batch(rng)

    def _batch(self, rng: np.random.Generator) -> tuple[torch.Tensor, ...]:
        anchor = int(rng.choice(self._widths[int(rng.integers(len(self._families)))]))
        counts = np.round(self._shares * BATCH).astype(int)
        chosen = []
        for family, widths, count in zip(self._families, self._widths, counts, strict=True):
            at = int(np.searchsorted(widths, anchor))
            reach = max(2 * int(count), 40)
            low = int(np.clip(at - reach, 0, max(0, len(family) - 2 * reach)))
            high = min(len(family), low + 2 * reach)
            chosen += [family[i] for i in rng.integers(low, high, int(count))]
        pairs = [poor(one.sample.strip, one.sample.x, rng, drawn_x_height(rng)) for one in chosen]
        labels = [one.classes for one in chosen]
        return (
            *stacked([small for small, _ in pairs] + [large for _, large in pairs]),
            torch.tensor([one for label in labels for one in label]),
            torch.tensor([len(label) for label in labels]),
        )


def stacked(strips: Sequence[Picture]) -> tuple[torch.Tensor, torch.Tensor]:
    """Pictures in one array (grey behind their ends, as the engine fills), and their widths.

    Few widths occur: a GPU plans its convolutions anew for each.
    """
    widest = max(strip.shape[1] for strip in strips)
    wide = max(128, widest + -widest % _STEP)
    filled = np.full((len(strips), 48, wide, 3), 128, np.uint8)
    for at, strip in enumerate(strips):
        filled[at, :, : strip.shape[1]] = strip
    return torch.from_numpy(filled), torch.tensor([strip.shape[1] for strip in strips])


def taken(pictures: torch.Tensor, widths: torch.Tensor) -> torch.Tensor:
    """Bytes to what the network takes: -1 to 1, channels first, nought behind the end."""
    scaled = pictures.permute(0, 3, 1, 2).float() / 127.5 - 1
    inside = torch.arange(pictures.shape[2], device=pictures.device)[None, :] < widths[:, None]
    return scaled * inside[:, None, None, :]


def plain(text: str) -> str:
    """Letters and digits alone, in capitals: how what people typed is compared with what is read"""
    return re.sub("[^A-Z0-9]", "", text.upper())


def is_held_out(source: str) -> bool:
    """Whether a receipt or photograph is only measured on."""
    family = source.split("/", 1)[0]
    return family in _HELD_OUT and zlib.crc32(source.encode()) % _HELD_OUT[family] == 0


def lessons(folder: Path, reader: Reader) -> tuple[dict[str, list[Lesson]], list[Rung]]:
    """What is learned from, by family, and the held-out lines to measure on."""
    families: dict[str, list[Lesson]] = {"scan": [], "photo": [], "drawn": []}
    held: list[Rung] = []
    for name in ("scans", "photos", "drawn"):
        if not (folder / f"{name}.jsonl").exists():
            continue
        samples = [sample for sample, _ in unpacked(folder / name)]
        told = reader.read([clean(sample.strip) for sample in samples])
        for sample, read in zip(samples, told, strict=True):
            if name == "drawn":
                same = "".join(read.text.split()) == "".join(sample.text.split())
                if same and _fits(sample, read.classes):
                    families["drawn"].append(Lesson(sample, read.classes))
                continue
            same = name == "photos" or plain(sample.text) == plain(read.text)
            if read.confidence < _SURE or not same or not _fits(sample, read.classes):
                continue
            if is_held_out(sample.source):
                held.append(Rung(sample, read.text))
            else:
                families[sample.source.split("/", 1)[0]].append(Lesson(sample, read.classes))
    return families, held


def _fits(sample: Sample, classes: Sequence[int]) -> bool:
    """Whether CTC has room for the label (repeats need a blank between), with some to spare."""
    repeats = sum(a == b for a, b in pairwise(classes))
    return bool(len(classes) + repeats < 0.8 * sample.strip.shape[1] / 8)


def tuned(
    graph: Graph, stock: Graph, families: dict[str, list[Lesson]], steps: int, workers: int,
    limit: float, weights: Sequence[float] = LOSS,
) -> Weights:  # fmt: skip
    """The weights after so many steps: their running mean."""
    device = next(graph.parameters()).device
    torch.manual_seed(SEED)
    chosen = {name: family for name, family in families.items() if len(family) > 30}
    shares = {"drawn": _DRAWN, "photo": (1 - _DRAWN) * _OF_PHOTOS}
    shares["scan"] = 1 - shares["drawn"] - (shares["photo"] if "photo" in chosen else 0)
    data = Lessons(list(chosen.values()), [shares[name] for name in chosen])
    batches = iter(DataLoader(data, batch_size=None, num_workers=workers, pin_memory=True,
                              prefetch_factor=6 if workers else None))  # fmt: skip
    named = graph.learnable()
    neck = [value for name, value in named.items() if is_neck(name)]
    backbone = [value for name, value in named.items() if not is_neck(name)]
    optimiser = torch.optim.AdamW(
        [{"params": neck, "top": NECK_RATE}, {"params": backbone, "top": BACKBONE_RATE}],
        lr=0.0, weight_decay=0.0,
    )  # fmt: skip
    mean = {name: value.detach().clone() for name, value in named.items()}
    started = time.monotonic()
    for step in range(steps):
        spent = time.monotonic() - started
        # The clock may end it sooner: the rates go down all the same.
        done = max(step / steps, spent / limit)
        if done >= 1:
            print(f"stopped by the clock at step {step}", flush=True)
            break
        _rates(optimiser, done)
        loss, parts = _loss(graph, stock, [one.to(device) for one in next(batches)], weights)
        optimiser.zero_grad(set_to_none=True)
        loss.backward()
        torch.nn.utils.clip_grad_norm_([*neck, *backbone], 2.0)
        optimiser.step()
        kept = min(_EVERY, (step + 1) / (step + 10))
        with torch.no_grad():
            for name, value in named.items():
                mean[name].lerp_(value, 1 - kept)
        if step % 100 == 0:
            told = " ".join(f"{one:.4f}" for one in parts)
            print(f"step {step} {spent:.0f} s: label, follow, keep {told}", flush=True)
    return {name: value.cpu().numpy() for name, value in mean.items()}


def is_neck(name: str) -> bool:
    """Whether a weight stands behind the backbone (squeeze, mix, attention), before the classes."""
    return name.startswith(("linear_", "batch_norm2d_", "helper.reshape")) or name in (
        "conv2d_65.w_0", "conv2d_66.w_0", "conv2d_67.w_0",
    )  # fmt: skip


def _rates(optimiser: torch.optim.Optimizer, done: float) -> None:
    """Warm up, then down along a cosine; the backbone starts when the neck has had its share."""
    for group, start in zip(optimiser.param_groups, (0.0, _NECK_FIRST), strict=True):
        warm = min(1.0, max(0.0, (done - start) / _WARM_UP))
        group["lr"] = group["top"] * warm * 0.5 * (1 + math.cos(math.pi * done))


def _loss(
    graph: Graph, stock: Graph, batch: list[torch.Tensor], weights: Sequence[float]
) -> tuple[torch.Tensor, tuple[float, float, float]]:
    filled, widths, classes, lengths = batch
    pictures = taken(filled, widths)
    poor_ones = len(lengths)
    logits = graph(pictures).float().log_softmax(-1)
    steps = _steps(widths, filled.shape[2], logits.shape[1])
    ctc = F.ctc_loss(
        logits[:poor_ones].transpose(0, 1), classes, steps[:poor_ones], lengths, zero_infinity=True
    )
    with torch.no_grad():
        wanted = stock(pictures[poor_ones:]).float().log_softmax(-1)
    at = torch.arange(logits.shape[1], device=logits.device)
    inside = at[None, :] < steps[poor_ones:, None]
    followed = _apart(wanted, logits[:poor_ones], inside)
    kept = _apart(wanted, logits[poor_ones:], inside)
    loss = weights[0] * ctc + weights[1] * followed + weights[2] * kept
    return loss, (float(ctc.detach()), float(followed.detach()), float(kept.detach()))


def _apart(wanted: torch.Tensor, given: torch.Tensor, inside: torch.Tensor) -> torch.Tensor:
    """Divergence (Kullback-Leibler) of what is given from what is wanted, a step on the strip."""
    each = (wanted.exp() * (wanted - given)).sum(-1)
    return (each * inside).sum() / inside.sum()


def _steps(widths: torch.Tensor, wide: int, steps: int) -> torch.Tensor:
    """How many steps of the network lie on the strip, as the engine counts them."""
    return torch.ceil(widths * steps / wide).long().clamp(1, steps)


def main() -> None:
    """Entry point."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("model", type=Path)
    parser.add_argument("packs", type=Path)
    parser.add_argument("out", type=Path)
    parser.add_argument("--steps", type=int, default=4000)
    parser.add_argument("--workers", type=int, default=14)
    parser.add_argument("--limit", type=float, default=380.0, help="seconds of fitting at most")
    parser.add_argument("--loss", type=float, nargs=3, default=LOSS, help="label, follow, keep")
    parser.add_argument("--shares", type=int, default=10, help="steps between stock and tuned")
    given = parser.parse_args()
    device = torch.device("cuda" if torch.cuda.is_available() else "cpu")
    stock, graph = Graph(given.model).to(device), Graph(given.model).to(device)
    for value in stock.parameters():
        value.requires_grad_(False)
    for name, key in graph.names.items():
        if name not in graph.learnable() and key in dict(graph.named_parameters()):
            getattr(graph, key).requires_grad_(False)
    started = time.monotonic()
    families, held = lessons(given.packs, Reader(stock, given.model))
    counts = {name: len(family) for name, family in families.items()}
    print(f"{counts} lessons, {len(held)} lines held out, {time.monotonic() - started:.0f} s",
          flush=True)  # fmt: skip
    before = stock.weights()
    after = tuned(graph, stock, families, given.steps, given.workers, given.limit, given.loss)
    given.out.mkdir(parents=True, exist_ok=True)
    np.savez(given.out / "tuned.npz", allow_pickle=False, **after)
    shares = [number / given.shares for number in range(given.shares + 1)]
    steps = [(share, between(before, after, share)) for share in shares]
    drawn = curve(Reader(graph, given.model), graph, steps, given.packs, held)
    (given.out / "curve.json").write_text(json.dumps(drawn, indent=1) + "\n", encoding="utf-8")
    print(f"{time.monotonic() - started:.0f} s in all", flush=True)


if __name__ == "__main__":
    main()
