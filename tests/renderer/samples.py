"""The pictures of sample_images/: an invented delivery, its truth, and the invented list."""

from __future__ import annotations

import csv
import json
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from tests.renderer.printed.content import Line, Print

from .photo import Made, render_photo
from .truth import OCCURRENCES
from .writing import write_photo

CHECK_DATE = "2026-11-25"


@dataclass(frozen=True, slots=True)
class Sample:
    """One sample: its seed and choices, and what a careful check of it should come to."""

    name: str
    seed: int
    difficulty: str
    what: Print
    surface: str
    whole: str
    outcome: str
    list_state: str
    note: str
    choices: dict[str, Any]

    def render(self) -> Made:
        """The picture and its truth."""
        fixed: dict[str, Any] = {
            "longest": 2000, "second": None, "head": False, "units": 1, "mirrored": False,
        }  # fmt: skip
        return render_photo(self.seed, self.difficulty, what=self.what, **{**fixed, **self.choices})


def _line(text: str, role: str = "body", size: float = 1.0, **values: str) -> Line:
    return Line(text, values, role, size)


def _us(*lines: Line, fault: str | None = None) -> Print:
    return Print("US-NIOSH", fault, lines)


def _en(suffix: str | None, *lines: Line, fault: str | None = None) -> Print:
    return Print("EU-EN149", fault, lines, suffix)


def _plain_us(maker: str, model: str, number: str, grade: str, lot: str) -> Print:
    return _us(
        _line(maker, "logo", 1.5, manufacturer=maker),
        _line(model, size=1.1, model=model),
        _line(f"NIOSH {grade}", "head", 1.3, agency="NIOSH", filter_class=grade),
        _line(number, approval_number=number),
        _line(f"LOT {lot}", "code", 0.9, lot=lot),
    )


def _plain_en(maker: str, model: str, grade: str, suffix: str, body: str, lot: str) -> Print:
    return _en(
        suffix,
        _line(maker, "logo", 1.5, manufacturer=maker),
        _line(model, size=1.1, model=model),
        _line(f"{grade} {suffix}", "head", 1.2, filter_class=grade, reuse=suffix),
        _line("EN 149:2001+A1:2009", standard="EN 149:2001+A1:2009"),
        _line(f"CE {body}", "head", 1.2, conformity_mark="CE", body_number=body),
        _line(f"LOT {lot}", "code", 0.9, lot=lot),
    )


SAMPLES: tuple[Sample, ...] = (
    Sample(
        "us-complete", 4101, "easy",
        _plain_us("VEXHOLM", "VX-2100", "TC-84A-9621", "N95", "A42759"),
        "facepiece", "yes", "no_conflict_found", "listed_agrees",
        "A complete facepiece whose number, class, model and holder agree with the list.",
        {"shape": "dome", "body": "white", "ink": "black", "process": "pad", "roll": -4.0,
         "backdrop": "wood", "zoom": 1.15,
         "aspect": 4 / 3},
    ),
    Sample(
        "us-near-number", 4102, "medium",
        _plain_us("QUARRIMOND", "QM-95F", "TC-84A-9614", "N95", "7741-26"),
        "facepiece", "yes", "cannot_tell", "near",
        "The list has TC-84A-9674 for this holder and model; the ink says 9614.",
        {"shape": "fold_panels", "body": "warm white", "ink": "blue", "process": "pad",
         "roll": 7.0, "fill": 0.95, "x_target": 16.0, "backdrop": "cardboard",
         "zoom": 1.1, "aspect": 4 / 3},
    ),
    Sample(
        "us-model-differs", 4103, "easy",
        _plain_us("Ostrevane Safety", "OV-77", "TC-84A-9688", "N99", "L20611"),
        "facepiece", "yes", "conflict", "listed_differs",
        "The number is listed for this holder, but for models OV-71 and OV-72 only.",
        {"shape": "dome", "body": "white", "ink": "black", "process": "pad", "roll": 3.0,
         "fill": 1.05, "x_target": 23.0, "hand": "none", "backdrop": "table", "zoom": 1.05,
         "aspect": 1.0},
    ),
    Sample(
        "us-private-label", 4104, "medium",
        _us(
            _line("Larkmoor Supply", "logo", 1.4, manufacturer="Larkmoor Supply"),
            _line("NIOSH", agency="NIOSH"),
            _line("N95 PARTICULATE RESPIRATOR", size=0.9, filter_class="N95"),
            _line("TC-84A-9655", approval_number="TC-84A-9655"),
            _line("MODEL LM-400", size=1.0, model="LM-400"),
            _line("LOT 60922", "code", 0.9, lot="60922"),
        ),
        "facepiece", "yes", "no_conflict_found", "listed_agrees",
        "A private label: the list names Larkmoor Supply with model LM-400 under Tamberlow.",
        {"shape": "duckbill", "body": "sky", "ink": "black", "process": "pad", "roll": -6.0,
         "fill": 1.0, "x_target": 16.0, "hand": "none", "backdrop": "cloth", "zoom": 1.1,
         "aspect": 4 / 3},
    ),
    Sample(
        "us-number-missing-sideways", 4105, "medium",
        _us(
            _line("HALCYRA MEDICAL", "logo", 1.3, manufacturer="HALCYRA MEDICAL"),
            _line("HC-310", size=1.1, model="HC-310"),
            _line("NIOSH N95", "head", 1.4, agency="NIOSH", filter_class="N95"),
            _line("LOT H6-0815", "code", 0.9, lot="H6-0815"),
            fault="approval_number_missing",
        ),
        "facepiece", "yes", "missing", "nothing_to_look_up",
        "No approval number on the whole facepiece; the photo lies on its side.",
        {"shape": "fold_vertical", "body": "white", "ink": "black", "process": "pad",
         "roll": 91.0, "x_target": 19.5, "blur": 1.1, "tilt": 24.0, "backdrop": "stone",
         "zoom": 1.1, "aspect": 3 / 4, "exif": 1},
    ),
    Sample(
        "us-foreign-class", 4106, "hard",
        _us(
            _line("BRISDAAL", "logo", 1.4, manufacturer="BRISDAAL"),
            _line("BD-KN3", model="BD-KN3"),
            _line("NIOSH KN95", "head", 1.2, agency="NIOSH", filter_class="KN95"),
            _line("TC-84A-9713", approval_number="TC-84A-9713"),
            _line("LOT 2605B", "code", 0.95, lot="2605B"),
            fault="foreign_class_with_tc",
        ),
        "facepiece", "yes", "conflict", "near",
        "KN95 is no class of 42 CFR Part 84, yet NIOSH and a TC number stand beside it.",
        {"shape": "dome", "body": "white", "ink": "red", "process": "pad", "roll": 12.0,
         "backdrop": "warehouse", "zoom": 1.9,
         "aspect": 4 / 3, "x_target": 11.8, "blur": 0.8, "hand": "none",
         "opacity": 0.95, "motion": 0.0, "enlarged": 1.0},
    ),
    Sample(
        "us-rescinded", 4107, "medium",
        _plain_us("PELLANOR", "1520", "TC-84A-9642", "P95", "PL2209"),
        "facepiece", "yes", "conflict", "listed_ended",
        "The list keeps this approval as rescinded on 2025-03-14.",
        {"shape": "dome", "body": "grey", "ink": "black", "process": "inkjet", "roll": -9.0,
         "backdrop": "paper", "zoom": 1.1,
         "aspect": 1.0},
    ),
    Sample(
        "us-carton", 4108, "medium",
        _us(
            _line("VEXHOLM", "logo", 2.0, manufacturer="VEXHOLM"),
            _line("N95 PARTICULATE RESPIRATOR", "head", 1.2, filter_class="N95"),
            _line("NIOSH APPROVED", agency="NIOSH"),
            _line("MODEL VX-2100", model="VX-2100"),
            _line("TC-84A-9621", approval_number="TC-84A-9621"),
            _line("20 RESPIRATORS", "small", 0.9),
            _line("LOT A42759", "code", 0.9, lot="A42759"),
            _line("EXP 2031-04", "code", 0.9, expiry_date="2031-04"),
        ),
        "carton", "no", "cannot_tell", "listed_agrees",
        "One face of the carton: nothing contradicts, the other faces were not photographed.",
        {"shape": "carton", "body": "white", "ink": "blue", "process": "flexo", "roll": 5.0,
         "backdrop": "table", "zoom": 1.25,
         "aspect": 4 / 3, "tilt": 24.0},
    ),
    Sample(
        "us-number-covered", 4109, "hard",
        _plain_us("TAMBERLOW", "TM-88", "TC-84A-9655", "N95", "26-4471"),
        "facepiece", "no", "cannot_tell", "nothing_to_look_up",
        "A finger lies over the approval number: it cannot be read here.",
        {"shape": "fold_vertical", "body": "white", "ink": "black", "process": "pad",
         "roll": 0.0, "backdrop": "room",
         "zoom": 1.2, "aspect": 4 / 3, "hand": "over", "x_target": 20.0, "blur": 1.0,
         "opacity": 0.9,
         "covered": "approval_number", "exposure": 0.9},
    ),
    Sample(
        "us-orange-small", 4110, "hard",
        _plain_us("ORSIVELLE", "OS-11", "TC-84A-9702", "N95", "M55210"),
        "facepiece", "yes", "no_conflict_found", "listed_agrees",
        "Orange ink on white, low in contrast in grey.",
        {"shape": "dome", "body": "white", "ink": "orange", "process": "pad", "roll": -14.0,
         "fill": 1.0, "backdrop": "studio", "zoom": 1.4,
         "aspect": 1.0, "x_target": 12.4, "blur": 0.7, "motion": 0.0, "enlarged": 1.0,
         "opacity": 0.95, "hand": "none"},
    ),
    Sample(
        "en-complete", 4111, "easy",
        _plain_en("MERRIVOST", "MV-220", "FFP2", "NR D", "4217", "614-26"),
        "facepiece", "yes", "no_conflict_found", "listed_agrees",
        "A complete EN 149 facepiece that agrees with the list.",
        {"shape": "fold_vertical", "body": "white", "ink": "black", "process": "pad",
         "roll": 91.0, "fill": 1.05, "x_target": 23.0, "hand": "none", "backdrop": "grey sweep",
         "zoom": 1.05, "aspect": 1.0},
    ),
    Sample(
        "en-reuse-missing", 4112, "medium",
        _en(
            None,
            _line("KELDARIS", "logo", 1.5, manufacturer="KELDARIS"),
            _line("KD-30 FFP3", size=1.1, model="KD-30", filter_class="FFP3"),
            _line("EN149:2001+A1:2009", standard="EN149:2001+A1:2009"),
            _line("CE 4302", "head", 1.2, conformity_mark="CE", body_number="4302"),
            _line("LOT K2611", "code", 0.9, lot="K2611"),
            fault="reuse_mark_missing",
        ),
        "facepiece", "yes", "missing", "listed_agrees",
        "Neither NR nor R stands after the class.",
        {"shape": "fold_panels", "body": "black", "ink": "white", "process": "pad",
         "roll": -5.0, "backdrop": "wood",
         "zoom": 1.05, "aspect": 4 / 3},
    ),
    Sample(
        "en-short-number-upside-down", 4113, "medium",
        _plain_en("LOMMERACK", "LR-150", "FFP2", "NR", "421", "09-2026"),
        "facepiece", "yes", "conflict", "near",
        "Three digits stand beside CE where a number of four belongs; the photo is upside down.",
        {"shape": "dome", "body": "white", "ink": "violet", "process": "pad", "roll": 177.0,
         "fill": 0.95, "x_target": 16.0, "backdrop": "cardboard", "zoom": 1.1,
         "aspect": 4 / 3, "exif": 1},
    ),
    Sample(
        "en-far-away", 4114, "hard",
        _plain_en("AVERLUNE", "AL-2", "FFP2", "NR", "4217", "A-0932"),
        "facepiece", "yes", "no_conflict_found", "listed_agrees",
        "A mask on a table seen from a distance: small letters.",
        {"shape": "fold_vertical", "body": "white", "ink": "black", "process": "pad",
         "roll": 18.0, "backdrop": "wood",
         "zoom": 2.4, "aspect": 4 / 3, "x_target": 9.8, "blur": 0.7, "motion": 0.0,
         "hand": "none", "enlarged": 1.0},
    ),
)  # fmt: skip

COLUMNS = ("scheme", "approval_number", "certificate_number", "holder", "other_names",
           "private_labels", "filter_class", "models", "examination_body", "production_body",
           "status", "valid_until", "source", "checked_on", "checked_by")  # fmt: skip


def _us_row(number: str, maker: str, grade: str, models: str, other: str = "", labels: str = "",
            status: str = "current", until: str = "") -> tuple[str, ...]:  # fmt: skip
    return ("us-niosh", number, "", maker, other, labels, grade, models, "", "", status, until,
            "FICTIONAL demo list", "2026-11-10", "A. Keeper")  # fmt: skip


def _en_row(
    certificate: str,
    maker: str,
    grade: str,
    models: str,
    examined: str,
    produced: str,
    other: str = "",
    status: str = "current",
    until: str = "2030-06-30",
) -> tuple[str, ...]:
    return ("eu-en149", "", certificate, maker, other, "", grade, models, examined, produced,
            status, until, "FICTIONAL demo list", "2026-11-10", "A. Keeper")  # fmt: skip


HOLDERS: tuple[tuple[str, ...], ...] = (
    _us_row("TC-84A-9621", "Vexholm", "N95", "VX-2100; VX-2100S", "Vexholm Respiratory"),
    _us_row("TC-84A-9622", "Vexholm", "P100", "VX-3300", "Vexholm Respiratory"),
    _us_row("TC-84A-9674", "Quarrimond", "N95", "QM-95F; QM-95V"),
    _us_row("TC-84A-9675", "Quarrimond", "N99", "QM-99V"),
    _us_row("TC-84A-9688", "Ostrevane Safety", "N99", "OV-71; OV-72", "Ostrevane"),
    _us_row("TC-84A-9655", "Tamberlow", "N95", "TM-88; TM-88F", "Tamberlow Mask Co",
            "Larkmoor Supply: LM-400; Dellbrook Trade: DT-8"),
    _us_row("TC-84A-9656", "Tamberlow", "R95", "TM-95R", "Tamberlow Mask Co"),
    _us_row("TC-84A-9630", "Halcyra Medical", "N95", "HC-310; HC-311", "Halcyra"),
    _us_row("TC-84A-9642", "Pellanor", "P95", "1520; 1521", status="rescinded",
            until="2025-03-14"),
    _us_row("TC-84A-9643", "Pellanor", "N95", "1310; 1310V"),
    _us_row("TC-84A-9702", "Orsivelle", "N95", "OS-11; OS-12"),
    _us_row("TC-84A-9731", "Brisdaal", "N95", "BD-3; BD-3V"),
    _us_row("TC-84A-9732", "Brisdaal", "N100", "BD-100"),
    _us_row("TC-84A-9750", "Wrenquist Industries", "N95", "WQ1; WQ2"),
    _en_row("XH-2021-1108", "Merrivost", "FFP2", "MV-220; MV-221", "4188", "4217"),
    _en_row("XH-2021-1109", "Merrivost", "FFP3", "MV-330", "4188", "4217"),
    _en_row("KR-77402", "Keldaris", "FFP3", "KD-30; KD-31", "4302", "4302"),
    _en_row("KR-77410", "Keldaris", "FFP2", "KD-20", "4302", "4302"),
    _en_row("LM-30061", "Lommerack", "FFP2", "LR-110; LR-120", "4217", "4217"),
    _en_row("AV-2-2023", "Averlune", "FFP2", "AL-2; AL-2V", "4217", "4217", "Averlune PPE"),
    _en_row("SK-1907", "Skarrowby", "FFP1", "SK-101", "4302", "4217"),
    _en_row("UH-5512", "Umberholt", "FFP3", "UH-3R", "4188", "4188"),
    _en_row("CD-0098", "Caldemar", "FFP2", "CM-250; CM-255", "4302", "4302", status="expired",
            until="2026-04-30"),
    _en_row("ZP-4410", "Zephrane", "FFP2", "ZF 12; ZF 12 V", "4188", "4302", "Zephrane Works"),
    _en_row("GM-0071", "Gildermoor", "FFP2", "GM-20", "4217", "4188"),
)  # fmt: skip

README = """# Sample pictures

These are no photographs of any product. They are drawn by the seeded renderer in
`tests/renderer/` and show an invented delivery: every holder, model, lot and number is invented,
and a number may by chance equal a real one. The check date of the scenario is 2026-11-25.

Beside each `NAME.jpg` stands `NAME.json`: what is printed, as printed (`marks`), where (`lines`,
in pixels as a viewer shows the picture), how large and how clear it came out, and

- `surface` and `whole`: what the photo is said to show;
- `expected_outcome` and `expected_list_state`: what a careful check against `holders.csv` on
  2026-11-25 should come to, if the print can be read; on a hard picture doubt is a right answer;
- `note`: why.

`holders.csv` is a FICTIONAL list of approved holders. Never use it for stock.

What is missed today is named in `MISSES` of `tests/check/test_samples.py`; `make test` compares.

`python -m tests.renderer samples` makes all of them again.

| picture | difficulty | expected outcome | list state |
|---|---|---|---|
"""


def make_samples(out: Path, only: Sequence[str] = ()) -> None:
    """Write pictures, truth files, the list and the README into `out`."""
    out.mkdir(parents=True, exist_ok=True)
    for sample in SAMPLES:
        if only and sample.name not in only:
            continue
        made = sample.render()
        extra = {
            "surface": sample.surface,
            "whole": sample.whole,
            "on": CHECK_DATE,
            "expected_outcome": sample.outcome,
            "expected_list_state": sample.list_state,
            "note": sample.note,
        }
        # `marks` says all that is printed on a sample: no mark stands there in two values.
        truth = {key: made.truth[key] for key in made.truth if key not in OCCURRENCES}
        write_photo(replace(made, truth=truth), out / f"{sample.name}.jpg", extra)
    with (out / "holders.csv").open("w", newline="", encoding="utf-8") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(COLUMNS)
        writer.writerows(HOLDERS)
    rows = []
    for sample in SAMPLES:
        path = out / f"{sample.name}.json"
        level = json.loads(path.read_text(encoding="utf-8"))["difficulty"]
        rows.append(f"| `{sample.name}` | {level} | {sample.outcome} | {sample.list_state} |")
    (out / "README.md").write_text(README + "\n".join(rows) + "\n", encoding="utf-8")
