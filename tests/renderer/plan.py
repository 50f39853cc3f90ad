"""Every choice behind one photograph, drawn from a seed."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from tests.renderer.printed import layout
from tests.renderer.printed.content import Print, Rng
from tests.renderer.printed.schemes import compose
from tests.renderer.things import backdrop, surface
from tests.renderer.things.noise import mix
from tests.renderer.things.unit import Light


@dataclass(frozen=True, slots=True)
class Plan:
    """Every choice behind one photograph."""

    what: Print
    second: Print | None
    shape: str
    body: str
    ink: str
    process: str
    opacity: float
    wear: float
    patchy: float
    relief: float
    gloss: float
    setting: layout.Setting
    fill: float  # share of the print site that the plate takes
    x_target: float  # wanted x-height of the smallest line that bears a mark, px
    tilt: float
    azimuth: float
    roll: float
    distance: float
    zoom: float  # long side of the frame as a multiple of the unit's length
    aspect: float
    units: int
    backdrop: str
    head: bool
    hand: str  # none, hold, over
    straps: bool
    blur: float
    motion: float
    noise: float
    sharpen: float
    exposure: float
    contrast: float
    cast: tuple[float, float, float]
    uneven: float
    shadow_edge: bool
    flare: float
    enlarged: float  # factor by which the finished picture was blown up
    quality: int
    exif: int
    mirrored: bool
    light: Light
    seed: tuple[int, ...]
    longest: int = 2400  # px, long side of the frame at most
    covered: str | None = None  # the mark that a finger lies on, if any is to be


DARK = ("black", "dark grey", "navy")


def _ink_for(rng: Rng, body: str, hard: bool) -> str:
    if body in DARK:
        return "white" if rng.random() < 0.85 else "silver"
    names = ["black", "grey", "blue", "violet", "green", "red", "orange", "brown", "magenta"]
    weights = np.array([0.48, 0.13, 0.13, 0.05, 0.04, 0.06, 0.05, 0.02, 0.04])
    if body in ("blue", "green", "grey", "orange", "brown board"):
        weights[[5, 6, 8]] *= 0.3
        if rng.random() < 0.15:
            return "white"
    if not hard:
        weights[[1, 6]] *= 0.3
    return str(rng.choice(names, p=weights / weights.sum()))


def _roll(rng: Rng) -> float:
    chance = rng.random()
    if chance < 0.56:
        return float(rng.normal(0, 7))
    if chance < 0.74:
        return float(rng.choice([-90, 90]) + rng.normal(0, 6))
    if chance < 0.84:
        return float(180 + rng.normal(0, 9))
    return mix(rng, -180, 180)


def _longest(rng: Rng, web: bool, hard: bool) -> int:
    """Long side of the frame in pixels, at most: shrunk for the web, or as a telephone takes it."""
    low, high = (420.0, 1300.0) if web and hard else (650.0, 1600.0) if web else (1300.0, 3000.0)
    return int(np.exp(rng.uniform(np.log(low), np.log(high))))


def make_plan(rng: Rng, difficulty: str, what: Print, seed: tuple[int, ...]) -> Plan:
    """Draw every choice for one photograph of the wanted difficulty."""
    hard, easy = difficulty == "hard", difficulty == "easy"
    shape = str(rng.choice(list(surface.SHAPES), p=[0.31, 0.27, 0.13, 0.09, 0.11, 0.09]))
    if shape in ("pouch", "carton"):
        bodies = ["white", "sky", "blue", "silver", "green", "navy", "brown board", "warm white",
                  "pink", "orange"]  # fmt: skip
        body = str(rng.choice(bodies))
    else:
        names = ["white", "warm white", "cream", "sky", "blue", "black", "grey", "dark grey",
                 "pink", "green", "yellow", "orange"]  # fmt: skip
        odds = np.array([0.46, 0.16, 0.03, 0.05, 0.05, 0.08, 0.05, 0.02, 0.03, 0.04, 0.02, 0.01])
        body = str(rng.choice(names, p=odds / odds.sum()))
    # Etched and embossed print is never clear enough for the easier grades.
    odds_of = [0.50, 0.15, 0.14, 0.21] if hard else [0.78, 0.18, 0.02, 0.02]
    process = str(rng.choice(["pad", "inkjet", "laser", "emboss"], p=odds_of))
    if shape in ("pouch", "carton"):
        process = str(rng.choice(["flexo", "inkjet"], p=[0.85, 0.15]))
    if easy and process in ("laser", "emboss"):
        process = "pad"
    ink = _ink_for(rng, body, hard)
    cause = str(rng.choice(["small", "small", "small", "faint", "blur", "occluded", "mixed"]))
    opacity = mix(rng, 0.93, 1.0) if easy else mix(rng, 0.8, 1.0)
    x_target = mix(rng, 21.5, 38) if easy else mix(rng, 13.6, 27)
    blur = mix(rng, 0.3, 1.05) if easy else mix(rng, 0.4, 1.9)
    tilt = mix(rng, 0, 17) if easy else abs(float(rng.normal(0, 22)))
    hand = str(rng.choice(["none", "none", "none", "none", "hold"]))
    wear = mix(rng, 0, 0.25) if easy else mix(rng, 0, 0.6)
    if hard:
        x_target = mix(rng, 12, 26)
        if cause in ("small", "mixed"):
            x_target = mix(rng, 5.2, 12.6)
            blur = mix(rng, 0.35, 1.3)
        if cause in ("faint", "mixed"):
            opacity = mix(rng, 0.25, 0.62)
        if cause == "blur":
            blur = mix(rng, 2.25, 4.0)
            x_target = mix(rng, 10, 34)
        if cause == "occluded":
            hand = "over"
    if process == "laser":
        opacity *= 0.75
    if process == "emboss":
        opacity = mix(rng, 0.5, 1.6)
    motion = mix(rng, 1.5, 3.0) if (not easy and rng.random() < 0.15) else 0.0
    if hard and rng.random() < 0.15 and x_target > 9:
        motion = mix(rng, 2.5, 6.0)
    web = rng.random() < 0.5
    second = None
    if rng.random() < 0.07:  # a pack beside the mask: of the same make, or of another
        second = what if rng.random() < 0.6 else compose(rng, what.scheme, None)
    kind = str(rng.choice(backdrop.KINDS))
    if web and rng.random() < 0.55:
        kind = "studio"
    head = shape in ("dome", "fold_vertical", "fold_panels") and rng.random() < 0.09
    if head and kind not in backdrop.FLAT:
        kind = "studio"
    units, zoom = 1, float(np.exp(rng.normal(0.2, 0.3)))
    if second is not None:
        head, zoom = False, mix(rng, 1.8, 2.6)
    if not head and second is None and rng.random() < 0.12:
        units = int(rng.integers(2, 4))
    if head:
        zoom = mix(rng, 1.5, 2.8)
    elif units > 1:
        zoom = mix(rng, 1.5, 2.6)
    if hard and cause == "small":
        zoom = float(np.exp(rng.normal(0.6, 0.4)))
    azimuth = mix(rng, 0, 360)
    if head:
        azimuth, tilt = mix(rng, -180, 180), min(tilt, 35.0)
    toward = np.array([rng.normal(0, 0.6), rng.normal(-0.3, 0.6), mix(rng, 0.5, 1.3)])
    toward /= np.linalg.norm(toward)
    cast = np.ones(3)
    if rng.random() < 0.45:
        warmth = rng.normal(0, 0.10)
        cast = np.array([1 - warmth, 1 + rng.normal(0, 0.025), 1 + warmth])
    bright = mix(rng, 0.7, 1.1) if rng.random() < 0.78 else mix(rng, 0.3, 0.7)
    if kind == "studio":
        bright = mix(rng, 0.85, 1.25)
    return Plan(
        what=what,
        second=second,
        shape=shape,
        body=body,
        ink=ink,
        process=process,
        opacity=opacity,
        wear=wear,
        patchy=mix(rng, 0.1, 0.55) if easy else mix(rng, 0.15, 0.95),
        relief=mix(rng, 0.25, 1.5),
        gloss=mix(rng, 0.15, 0.9)
        if shape == "pouch"
        else (mix(rng, 0, 0.25) if shape == "carton" else 0.0),
        setting=layout.choose_setting(rng, process),
        fill=mix(rng, 0.55, 1.05),
        x_target=x_target,
        tilt=min(tilt + (14.0 if shape == "carton" and not easy else 0.0), 52.0),
        azimuth=azimuth,
        roll=_roll(rng),
        distance=mix(rng, 260, 800),
        zoom=float(np.clip(zoom, 0.72, 3.6)),
        aspect=float(rng.choice([1.0, 1.0, 4 / 3, 3 / 4, 4 / 3, 3 / 4, 1.5, 16 / 9, 0.8])),
        units=units,
        backdrop=kind,
        head=head,
        hand=hand,
        straps=bool(rng.random() < 0.88),
        blur=blur,
        motion=motion,
        noise=mix(rng, 0.0, 1.2) if web or kind == "studio" else mix(rng, 0.5, 5.0),
        sharpen=mix(rng, 0.0, 0.9) if rng.random() < 0.6 else 0.0,
        exposure=bright,
        contrast=mix(rng, -0.1, 0.6),
        cast=(float(cast[0]), float(cast[1]), float(cast[2])),
        uneven=mix(rng, 0.0, 0.12) if kind == "studio" else mix(rng, 0.02, 0.38),
        shadow_edge=bool(kind != "studio" and rng.random() < 0.18),
        flare=mix(rng, 0.15, 0.7) * (1.6 if shape in ("pouch", "carton") else 1.0)
        if (not easy and rng.random() < 0.08)
        else 0.0,
        enlarged=mix(rng, 1.2, 1.9) if (not easy and web and rng.random() < 0.1) else 1.0,
        quality=int(rng.integers(55, 93)) if web else int(rng.integers(72, 96)),
        exif=int(rng.choice([3, 6, 8])) if (not web and rng.random() < 0.3) else 1,
        mirrored=bool(not easy and rng.random() < 0.035),
        light=Light((float(toward[0]), float(toward[1]), float(toward[2])), mix(rng, 0.3, 0.72)),
        seed=seed,
        longest=_longest(rng, web, hard),
    )


def nudge(plan: Plan, wish: str, rng: Rng) -> Plan:
    """After a miss: draw less freely what decides the difficulty."""
    strong = "white" if plan.body in DARK else str(rng.choice(["black", "black", "black", "blue"]))
    if wish == "easy":
        return replace(plan, ink=strong, opacity=mix(rng, 0.92, 1.0), patchy=mix(rng, 0.05, 0.3),
                       exposure=max(plan.exposure, 0.7), flare=0.0, wear=mix(rng, 0, 0.15),
                       blur=min(plan.blur, 0.8), hand="none", process=_solid(plan))  # fmt: skip
    if wish == "medium":
        return replace(plan, ink=strong, opacity=mix(rng, 0.92, 1.0), hand="none", flare=0.0,
                       exposure=max(plan.exposure, 0.5), blur=mix(rng, 1.0, 1.8),
                       x_target=mix(rng, 13.6, 19.5), patchy=min(plan.patchy, 0.6), motion=0.0,
                       process=_solid(plan))  # fmt: skip
    faint = plan.process in ("laser", "emboss")
    x_target = mix(rng, 9.0, 30.0) if faint else mix(rng, 6.0, 12.6)
    return replace(plan, x_target=x_target, blur=min(plan.blur, 1.1), motion=0.0)


def _solid(plan: Plan) -> str:
    return "pad" if plan.process in ("laser", "emboss") else plan.process
