"""`python -m tests.web.quality FOLDER`: what the check on the phone misses, on photos as they are
and on copies that are blurred, moved, darkened, burnt out or reduced. Needs `npm ci` in web/.
"""

import argparse
import json
import subprocess
import tempfile
from collections import Counter, defaultdict
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import cv2
import numpy as np
from PIL import Image, ImageOps

WEB = Path(__file__).parents[2] / "web"
SIDE = 1600
RUN = """
import { readFileSync, writeFileSync } from "node:fs";
import { createRequire } from "node:module";
const [folder, web] = process.argv.slice(2);
const ts = createRequire(`${web}/package.json`)("typescript");
const compilerOptions = { target: "ES2022", module: "ESNext" };
for (const name of ["sharpness", "first-look"]) {
  const source = readFileSync(`${web}/src/photo/${name}.ts`, "utf8");
  const made = ts.transpileModule(source, { compilerOptions }).outputText;
  writeFileSync(`${folder}/${name}.mjs`, made.replace('"./sharpness"', '"./sharpness.mjs"'));
}
const { firstLook } = await import(`${folder}/first-look.mjs`);
for (const one of JSON.parse(readFileSync(`${folder}/index.json`, "utf8"))) {
  const values = new Uint8Array(readFileSync(`${folder}/${one.file}`));
  const poor = firstLook({ ...one, values }).filter((fact) => fact.state === "poor");
  console.log(JSON.stringify({ kind: one.kind, poor: poor.map((fact) => fact.fact) }));
}
"""


def variants(grey: Any, truth: dict[str, Any]) -> Iterator[tuple[str, Any]]:
    """A photo as it is, and spoilt in one way each, in proportion to the height of its letters."""
    noise = np.random.default_rng(5)
    lines = truth["lines"]
    height = float(np.median([line["x_height_px"] for line in lines]))
    corners = np.concatenate([np.array(line["polygon"]) for line in lines])
    middle, reach = corners.mean(0), np.ptp(corners, 0) * 0.3
    light = grey.astype(np.float32)
    grained = lambda image: np.clip(image + noise.normal(0, 2, image.shape), 0, 255)  # noqa: E731
    yield "as it is", light
    for share in (0.15, 0.25, 0.35):
        yield (
            f"blurred {share} of the letters",
            grained(cv2.GaussianBlur(light, (0, 0), share * height)),
        )
    far = max(3, int(height * 0.7))
    streak = np.zeros((far, far), np.float32)
    streak[far // 2] = 1 / far
    yield "moved 0.7 of the letters", grained(cv2.filter2D(light, -1, streak))
    yield "an eighth of the light", grained(light * 0.12)
    rows, columns = np.mgrid[: light.shape[0], : light.shape[1]]
    away = ((columns - middle[0]) / reach[0]) ** 2 + ((rows - middle[1]) / reach[1]) ** 2
    yield "glare on the print", np.clip(light + 400 * np.exp(-away * 1.2), 0, 255)
    less = 7 / height
    if min(light.shape) * less > 200:
        yield (
            "letters 7 px",
            cv2.resize(light, None, fx=less, fy=less, interpolation=cv2.INTER_AREA),
        )


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("folder", type=Path, help="photos, each with a truth file beside it")
    parser.add_argument("--every", type=int, default=2, help="take every n-th photo")
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        index: list[dict[str, Any]] = []
        for photo in sorted(asked.folder.glob("*.jpg"))[:: asked.every]:
            truth = json.loads(photo.with_suffix(".json").read_text(encoding="utf-8"))
            with Image.open(photo) as opened:
                grey = np.asarray(ImageOps.exif_transpose(opened).convert("L"))
            for kind, image in variants(grey, truth):
                scale = max(1.0, max(image.shape) / SIDE)
                if scale > 1:
                    size = (round(image.shape[1] / scale), round(image.shape[0] / scale))
                    image = cv2.resize(image, size, interpolation=cv2.INTER_AREA)
                file = f"{len(index)}.grey"
                np.ascontiguousarray(image.astype(np.uint8)).tofile(folder / file)
                sides = {"width": image.shape[1], "height": image.shape[0], "scale": scale}
                index.append({"file": file, "kind": kind, **sides})
        (folder / "index.json").write_text(json.dumps(index), encoding="utf-8")
        (folder / "run.mjs").write_text(RUN, encoding="utf-8")
        command = ["node", str(folder / "run.mjs"), str(folder), str(WEB)]
        out = subprocess.run(command, check=True, capture_output=True, text=True).stdout
    _report([json.loads(line) for line in out.splitlines()])


def _report(rows: list[dict[str, Any]]) -> None:
    found: dict[str, Counter[str]] = defaultdict(Counter)
    for row in rows:
        found[row["kind"]]["photos"] += 1
        found[row["kind"]].update(row["poor"])
    for kind, counts in found.items():
        said = {fact: f"{n}/{counts['photos']}" for fact, n in counts.items() if fact != "photos"}
        print(f"{kind}: {said or 'nothing said'} of {counts['photos']} photos")


if __name__ == "__main__":
    main()
