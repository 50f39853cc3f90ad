"""Fine-tunes the line recogniser on made lines: a recipe for a machine with a GPU.

    python -m server.training.fine_tune --model PP-OCRv6_rec_small.onnx --out tuned.onnx \
        --first-seed 20000000 --minutes 7 --workers 15

Data: `tests.renderer.line.render_line` with seeds from --first-seed on (no seed twice), a little
zoomed, shifted, tinted and inverted, as a line straightener and other renderings leave a strip.
The 18,710 classes are cut down to those that fold into the reader's alphabet, plus the most usual
other characters as "something else". Loss: connectionist temporal classification. The order of the
lines depends on the speed of the workers, so a second run gives like weights, not the same ones.
"""

import argparse
import random
import time
import unicodedata
from collections.abc import Iterator
from pathlib import Path

import cv2
import numpy as np
import torch
import torch.nn.functional as F
from torch.utils.data import DataLoader, IterableDataset, get_worker_info

from server.training.graph import Graph

FEATURES = "p2o.pd_op.transpose.8.0"
WEIGHT, BIAS = "linear_8.w_0", "linear_8.b_0"
OTHERS = 400
Sample = tuple[np.ndarray, list[int], str]


def kept_letters(letters: list[str], alphabet: str) -> list[int]:
    """Classes to keep: blank, all that fold into the alphabet, some others, space last."""
    plain = [unicodedata.normalize("NFKC", letter) for letter in letters]
    folds = [i for i, p in enumerate(plain) if i and len(p) == 1 and p in alphabet]
    others = [i for i, p in enumerate(plain) if "\u4e00" <= p <= "\u9fff" and i not in set(folds)]
    kept = sorted({*folds, *others[:OTHERS]} - {len(letters) - 1})
    return [0, *kept, len(letters) - 1]


class Lines(IterableDataset):  # type: ignore[type-arg]
    """Endless made lines; worker k of n takes every n-th seed."""

    def __init__(self, first_seed: int, index: dict[str, int], *, changed: bool = True) -> None:
        self.first_seed, self.index, self.changed = first_seed, index, changed

    def __iter__(self) -> Iterator[Sample]:
        from tests.renderer.line import render_line

        cv2.setNumThreads(1)
        info = get_worker_info()
        seed, step = self.first_seed + (info.id if info else 0), info.num_workers if info else 1
        while True:
            image, text = render_line(seed)
            chance = random.Random(seed)
            strip = changed(image, chance) if self.changed else image
            seed += step
            target = [self.index[letter] for letter in text if letter in self.index]
            if target and 16 <= strip.shape[1] <= 900:
                yield strip, target, text


def changed(image: np.ndarray, chance: random.Random) -> np.ndarray:
    """The strip as other cuts and renderings would show it."""
    height, width = image.shape[:2]
    zoom, lift = chance.uniform(0.82, 1.2), chance.uniform(-4, 4)
    stretch = zoom * chance.uniform(0.9, 1.12)
    out = cv2.warpAffine(
        image,
        np.array([[stretch, 0, 0], [0, zoom, height / 2 * (1 - zoom) + lift]], np.float32),
        (max(16, round(width * stretch)), height),
        flags=cv2.INTER_LINEAR,
        borderMode=cv2.BORDER_REPLICATE,
    )
    if chance.random() < 0.12:
        out = cv2.cvtColor(out, cv2.COLOR_BGR2GRAY)[:, :, None].repeat(3, axis=2)
    if chance.random() < 0.15:
        out = 255 - out
    if chance.random() < 0.3:
        gain, shift = chance.uniform(0.5, 1.5), chance.uniform(-40, 40)
        out = np.clip((out.astype(np.float32) - 128) * gain + 128 + shift, 0, 255)
    if chance.random() < 0.15:
        out = cv2.GaussianBlur(out, (0, 0), chance.uniform(0.4, 1.4))
    return np.asarray(out, np.uint8)


def together(samples: list[Sample]) -> tuple[torch.Tensor, ...]:
    """A batch: images padded on the right with zeros as the product does, targets, lengths."""
    width = max(96, *(strip.shape[1] for strip, _, _ in samples))
    width += -width % 8
    images = np.zeros((len(samples), 3, 48, width), np.float32)
    for i, (strip, _, _) in enumerate(samples):
        images[i, :, :, : strip.shape[1]] = strip.transpose(2, 0, 1) / 127.5 - 1
    targets = torch.tensor([c for _, target, _ in samples for c in target])
    lengths = torch.tensor([len(target) for _, target, _ in samples])
    steps = torch.tensor([-(-strip.shape[1] // 8) for strip, _, _ in samples])
    return torch.from_numpy(images), targets, lengths, steps


def exact(
    logits: torch.Tensor, targets: torch.Tensor, lengths: torch.Tensor, steps: torch.Tensor
) -> int:
    """How many lines the best string gets right, letter for letter."""
    best, right, at = logits.argmax(-1).cpu(), 0, 0
    for row, length, count in zip(best, lengths.tolist(), steps.tolist(), strict=True):
        said = torch.unique_consecutive(row[:count])
        right += said[said != 0].tolist() == targets[at : at + length].tolist()
        at += length
    return right


def main() -> None:
    ask = argparse.ArgumentParser(description=__doc__)
    ask.add_argument("--model", type=Path, required=True)
    ask.add_argument("--out", type=Path, required=True)
    ask.add_argument("--first-seed", type=int, default=20_000_000)
    ask.add_argument("--minutes", type=float, default=7.0)
    ask.add_argument("--workers", type=int, default=15)
    ask.add_argument("--batch", type=int, default=96)
    ask.add_argument("--rate", type=float, default=4e-4)
    ask.add_argument("--alphabet", required=True)
    args = ask.parse_args()
    device = "cuda" if torch.cuda.is_available() else "cpu"
    torch.manual_seed(1)
    torch.backends.cuda.matmul.allow_tf32 = torch.backends.cudnn.allow_tf32 = True

    graph = Graph(args.model, FEATURES)
    named = {p.key: p.value for p in graph.model.metadata_props}["character"].splitlines()
    letters = ["", *named, " "]
    kept = kept_letters(letters, args.alphabet)
    weight = graph.weights.pop(graph.names.pop(WEIGHT)).detach()[:, kept].contiguous()
    bias = graph.weights.pop(graph.names.pop(BIAS)).detach()[kept].contiguous()
    head = torch.nn.ParameterList([torch.nn.Parameter(weight), torch.nn.Parameter(bias)])
    graph.to(device)
    head.to(device)
    index = {letters[old]: new for new, old in enumerate(kept)}
    print(len(kept), "classes,", sum(p.numel() for p in [*graph.parameters(), *head]), "weights")

    def logits(images: torch.Tensor) -> torch.Tensor:
        return graph(images.to(device)) @ head[0] + head[1]

    held_out = DataLoader(
        Lines(990_000_000, index, changed=False),
        args.batch,
        collate_fn=together,
        num_workers=args.workers,
    )
    checks = [batch for batch, _ in zip(held_out, range(24), strict=False)]

    @torch.no_grad()
    def score() -> float:
        right = sum(exact(logits(images), t, n, s) for images, t, n, s in checks)
        return right / sum(len(n) for _, _, n, _ in checks)

    print(f"before: {score():.4f} of held-out lines exact", flush=True)
    data = DataLoader(
        Lines(args.first_seed, index),
        args.batch,
        collate_fn=together,
        num_workers=args.workers,
        prefetch_factor=6,
    )
    weights = [*graph.parameters(), *head]
    optimiser = torch.optim.AdamW(weights, lr=args.rate, weight_decay=1e-4)
    started, limit, step, running = time.monotonic(), args.minutes * 60, 0, 0.0
    for images, targets, lengths, steps in data:
        done = (time.monotonic() - started) / limit
        if done >= 1:
            break
        warm = min(1.0, (step + 1) / 150)
        for group in optimiser.param_groups:
            group["lr"] = args.rate * warm * 0.5 * (1 + np.cos(np.pi * done))
        scores = logits(images).log_softmax(-1).transpose(0, 1)
        loss = F.ctc_loss(
            scores, targets.to(device), steps.to(device), lengths.to(device), zero_infinity=True
        )
        optimiser.zero_grad()
        loss.backward()
        torch.nn.utils.clip_grad_norm_(weights, 5.0)
        optimiser.step()
        step, running = step + 1, 0.98 * running + 0.02 * float(loss.detach())
        if step % 500 == 0:
            print(f"{done:5.0%} step {step} loss {running / (1 - 0.98**step):.4f}", flush=True)
    print(f"after {step} steps: {score():.4f} of held-out lines exact", flush=True)
    graph.write(
        args.out,
        {WEIGHT: head[0].detach().cpu().numpy(), BIAS: head[1].detach().cpu().numpy()},
        {"character": "\n".join(letters[i] for i in kept[1:-1])},
    )


if __name__ == "__main__":
    main()
