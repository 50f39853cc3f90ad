"""The renderer's pictures are repeatable and its truth is what the pixels show."""

from __future__ import annotations

import csv
import json
import re
from pathlib import Path

import cv2
import numpy as np
import pytest
from PIL import Image, ImageOps
from rapidfuzz.distance import DamerauLevenshtein

from tests.renderer.lens.camera import Pose
from tests.renderer.line import HEIGHT, line_strip, render_line
from tests.renderer.photo import Made, render_photo
from tests.renderer.printed import faces
from tests.renderer.printed.content import Print
from tests.renderer.printed.layout import Setting
from tests.renderer.printed.schemes import FAULTS, SCHEMES, compose
from tests.renderer.samples import COLUMNS, HOLDERS, SAMPLES
from tests.renderer.truth import grade
from tests.renderer.writing import write_photo

SAMPLE_FOLDER = Path(__file__).parents[2] / "sample_images"
SMALL = {"longest": 520, "zoom": 1.2, "x_target": 9.0, "head": False, "units": 1, "second": None}


@pytest.fixture(scope="module")
def plain() -> Made:
    """A carton seen straight from above, straight lines, black on white."""
    bold = faces.Style("liberation-bold")
    setting = Setting(bold, bold, bold, bold, bold, 0.6, "centre", 0.0, False, False, 9)
    return render_photo(
        77, "easy", "US-NIOSH", fault="", shape="carton", body="white", ink="black",
        process="flexo", roll=0.0, tilt=0.0, units=1, second=None, head=False, hand="none",
        mirrored=False, longest=1400, enlarged=1.0, setting=setting,
    )  # fmt: skip


def test_same_seed_gives_the_same_bytes() -> None:
    first = render_photo(5, "hard", **SMALL)
    again = render_photo(5, "hard", **SMALL)
    assert np.array_equal(first.image, again.image)
    assert first.truth == again.truth


def test_other_seed_gives_another_picture() -> None:
    first, other = render_photo(5, "hard", **SMALL), render_photo(6, "hard", **SMALL)
    assert first.truth["marks"] != other.truth["marks"]


def test_polygons_of_lines_inside_lie_in_the_frame(plain: Made) -> None:
    truth = plain.truth
    assert truth["lines"]
    for line in truth["lines"]:
        if line["inside"]:
            points = np.array(line["polygon"])
            slack = line["x_height_px"]
            assert points.min() >= -slack
            assert np.all(points.max(axis=0) <= np.array([truth["width"], truth["height"]]) + slack)


def test_contrast_and_place_of_lines_are_those_of_the_pixels(plain: Made) -> None:
    """Measured here in another way: by the darkest and lightest pixels in and beside a line."""
    grey = cv2.cvtColor(plain.image, cv2.COLOR_BGR2GRAY).astype(float)
    for line in plain.truth["lines"]:
        points = np.array(line["polygon"])
        left, top = np.floor(points.min(axis=0)).astype(int)
        right, bottom = np.ceil(points.max(axis=0)).astype(int)
        inside = grey[top:bottom, left:right]
        seen = (np.percentile(inside, 97) - np.percentile(inside, 6)) / 255
        assert seen == pytest.approx(line["contrast"], abs=0.15)
        dark = inside < (inside.max() + inside.min()) / 2
        rows = np.flatnonzero(dark.any(axis=1))
        # The ink fills the polygon from top to bottom, but for the blur of its edges.
        assert rows[-1] - rows[0] + 1 == pytest.approx(bottom - top, abs=4 + 0.1 * (bottom - top))


def test_letter_height_is_a_share_of_the_line_height(plain: Made) -> None:
    """x-height is 0.65 to 0.8 of the capitals in common faces (from memory)."""
    for line in plain.truth["lines"]:
        points = np.array(line["polygon"])
        tall = float(np.ptp(points[:, 1]))
        assert 0.45 * tall < line["x_height_px"] < 0.85 * tall


def test_marks_are_in_the_lines_that_name_them() -> None:
    for seed in (11, 12, 13):
        truth = render_photo(seed, "hard", **SMALL).truth
        own = [line for line in truth["lines"] if line["unit"] == 0]
        for name, info in truth["mark_info"].items():
            text = truth["lines"][info["line"]]["text"]
            assert truth["marks"][name] in text
            assert any(name in line["marks"] for line in own)
        for name, value in truth["marks"].items():
            assert (value is not None) == (name in truth["mark_info"])


def test_a_hidden_mark_is_not_called_legible() -> None:
    covered = next(s for s in SAMPLES if s.name == "us-number-covered")
    truth = json.loads((SAMPLE_FOLDER / f"{covered.name}.json").read_text(encoding="utf-8"))
    assert truth["mark_info"]["approval_number"]["occluded"]
    assert not truth["legible"]["approval_number"]
    assert truth["legible"]["filter_class"]


@pytest.mark.parametrize("scheme", SCHEMES)
def test_every_scheme_renders(scheme: str) -> None:
    truth = render_photo(21, "hard", scheme, fault="", **SMALL).truth
    assert truth["scheme"] == scheme
    assert truth["marks"]["filter_class"]
    assert truth["planted_fault"] is None


@pytest.mark.parametrize("shape", ["dome", "fold_vertical", "fold_panels", "duckbill", "pouch"])
@pytest.mark.parametrize("process", ["pad", "emboss"])
def test_every_shape_renders(shape: str, process: str) -> None:
    made = render_photo(31, "hard", "EU-EN149", fault="", shape=shape, process=process, **SMALL)
    assert made.truth["shape"] == shape
    assert made.image.std() > 3


@pytest.mark.parametrize(
    ("scheme", "fault"), [(s, f) for s, faults in FAULTS.items() for f in faults]
)
def test_every_fault_changes_what_is_printed(scheme: str, fault: str) -> None:
    def print_of(planted: str | None, seed: int) -> Print:
        return compose(np.random.default_rng(seed), scheme, planted)

    for seed in range(6):
        faulty = print_of(fault, seed)
        assert faulty.fault == fault
        assert faulty.lines
        texts = [line.text for line in faulty.lines]
        assert texts != [line.text for line in print_of(None, seed).lines]


def test_prints_without_a_fault_have_the_forms_of_their_standards() -> None:
    """Forms: NIOSH letter to manufacturers of 3 September 2008 (four digits: all numbers seen);
    Regulation (EU) 2016/425, article 17 (four digits after CE); GB 2626-2006 and -2019 (titles);
    CM/L of 7, 8 or 10 digits (common practice, no source); CA of 5 digits (from memory).
    """
    forms = {
        ("US-NIOSH", "approval_number"): r"TC[- ]?84A[- ]\d{4}",
        ("US-NIOSH", "filter_class"): r"[NRP]-?(95|99|100)",
        ("EU-EN149", "body_number"): r"\d{4}",
        ("EU-EN149", "filter_class"): r"FFP[123]",
        ("EU-EN149", "reuse"): r"(NR|R)( D)?",
        ("CN-GB2626", "standard"): r"GB ?2626-(2006|2019)",
        ("CN-GB2626", "filter_class"): r"K[NP](90|95|100)",
        ("IN-IS9473", "approval_number"): r"CM/L-(\d{7}|\d{8}|\d{10})",
        ("BR-PFF2", "approval_number"): r"\d{2}\.?\d{3}",
    }
    for (scheme, mark), form in forms.items():
        for seed in range(40):
            marks = compose(np.random.default_rng(seed), scheme, None).marks
            assert re.fullmatch(form, marks[mark]), (scheme, mark, marks[mark])


def test_difficulty_is_graded_by_the_measured_quantities() -> None:
    """Limits: the project's own (small under 13 px, faint under 0.2, soft over 2.2 px)."""
    assert grade(20.0, 0.35, 1.2, False, 19.9) == "easy"
    assert grade(19.9, 0.35, 1.2, False, 0.0) == "medium"
    assert grade(13.0, 0.2, 2.2, False, 50.0) == "medium"
    assert grade(12.9, 0.9, 0.5, False, 0.0) == "hard"
    assert grade(30.0, 0.19, 0.5, False, 0.0) == "hard"
    assert grade(30.0, 0.9, 2.3, False, 0.0) == "hard"
    assert grade(30.0, 0.9, 0.5, True, 0.0) == "hard"


@pytest.mark.parametrize("orientation", [1, 3, 6, 8])
def test_a_viewer_turns_the_written_file_upright(tmp_path: Path, orientation: int) -> None:
    """EXIF orientation as a viewer applies it: Pillow's exif_transpose."""
    made = render_photo(5, "hard", exif=orientation, **SMALL)
    path = tmp_path / "p.jpg"
    write_photo(made, path)
    shown = np.asarray(ImageOps.exif_transpose(Image.open(path)))[..., ::-1]
    assert shown.shape == made.image.shape
    assert np.abs(shown.astype(int) - made.image).mean() < 4
    truth = json.loads(path.with_suffix(".json").read_text(encoding="utf-8"))
    assert (truth["width"], truth["height"]) == (shown.shape[1], shown.shape[0])


def test_line_strips_are_repeatable_and_say_what_they_show() -> None:
    for seed in range(25):
        strip = line_strip(seed)
        image, text = render_line(seed)
        assert np.array_equal(image, strip.image)
        assert text == strip.text
        assert image.shape[0] == HEIGHT
        assert image.shape[2] == 3
        assert all(value in text for value in strip.values.values())
    readable = [line_strip(seed).legible for seed in range(25)]
    assert 0.7 < np.mean(readable) <= 1.0


def test_faces_draw_different_letters_differently() -> None:
    """A dot matrix and an outline face that confused 8 and B would teach a reader wrong."""
    for face in (*faces.FACES, faces.DOTS):
        style = faces.Style(face)
        for a, b in (("8", "B"), ("0", "8"), ("5", "S"), ("1", "7"), ("6", "G"), ("3", "8")):
            first, second = faces.typeset(a, 30, style), faces.typeset(b, 30, style)
            size = (24, 30)
            gap = np.abs(cv2.resize(first, size) - cv2.resize(second, size)).mean()
            assert gap > 0.03, (face, a, b)


def test_missing_faces_are_named_with_their_packages(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(faces.FACES, "lobster", Path("/nowhere/lobster.otf"))
    with pytest.raises(faces.FacesMissing, match=r"lobster.*apt-get install .*fonts-lobster"):
        faces.check_faces()


def test_the_set_up_installs_every_typeface_and_looks_for_its_folder() -> None:
    """`server/system.sh` gives each package a proof; a face's folder must be among the proofs."""
    setup = (Path(__file__).parents[2] / "server" / "system.sh").read_text("utf-8")
    proofs = dict(re.findall(r"(fonts-[a-z-]+):\$fonts/(\S+?)[\s\"]", setup))
    assert set(faces.PACKAGES) <= set(proofs)
    shown = {Path("/usr/share/fonts", proof) for proof in proofs.values()}
    kept = shown | {proof.parent for proof in shown}
    assert [name for name, file in faces.FACES.items() if not kept & set(file.parents)] == []


def test_an_unknown_scheme_or_fault_is_refused() -> None:
    rng = np.random.default_rng(1)
    with pytest.raises(ValueError, match="no layout for scheme"):
        compose(rng, "XX", None)
    with pytest.raises(ValueError, match="has no fault"):
        compose(rng, "US-NIOSH", "gb_year_against_date")


def test_a_pose_turns_and_moves() -> None:
    moved = Pose(10.0, 0.0, 90.0).to_world(np.array([[1.0, 0.0, 2.0]], np.float32))
    assert moved[0] == pytest.approx([10.0, 1.0, 2.0], abs=1e-5)


# The sample pictures


def _truth(name: str) -> dict[str, object]:
    loaded: dict[str, object] = json.loads((SAMPLE_FOLDER / f"{name}.json").read_text("utf-8"))
    return loaded


def test_sample_files_are_those_that_the_renderer_makes() -> None:
    """The truth of one sample, made again; pixels may differ with another JPEG library."""
    sample = next(s for s in SAMPLES if s.name == "us-complete")
    made = sample.render()
    stored = _truth(sample.name)
    assert made.truth["marks"] == stored["marks"]
    assert made.truth["lines"] == stored["lines"]


def test_samples_cover_every_outcome_and_enough_hard_ones() -> None:
    truths = [_truth(s.name) for s in SAMPLES]
    outcomes = {t["expected_outcome"] for t in truths}
    assert outcomes == {"no_conflict_found", "missing", "conflict", "cannot_tell"}
    assert sum(t["difficulty"] == "hard" for t in truths) >= 4
    assert {t["scheme"] for t in truths} == {"US-NIOSH", "EU-EN149"}
    rolls = [float(str(t["roll"])) for t in truths]
    assert any(abs(abs(r) - 90) < 15 for r in rolls)
    assert any(abs(abs(r) - 180) < 15 for r in rolls)


def test_sample_pictures_are_of_a_telephone_s_size_and_small_files() -> None:
    pictures = [SAMPLE_FOLDER / f"{s.name}.jpg" for s in SAMPLES]
    assert len(pictures) >= 12
    assert sum(p.stat().st_size for p in pictures) < 6_000_000
    for path in pictures:
        with Image.open(path) as picture:
            assert 1200 <= max(picture.size) <= 2000


def test_expected_list_states_follow_from_the_fictional_list() -> None:
    with (SAMPLE_FOLDER / "holders.csv").open(encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    assert tuple(rows[0]) == COLUMNS
    assert len(rows) == len(HOLDERS)
    assert all("FICTIONAL" in row["source"] for row in rows)
    by_number = {row["approval_number"]: row for row in rows if row["approval_number"]}
    for sample in SAMPLES:
        marks = sample.what.marks
        number = marks.get("approval_number", "")
        row = by_number.get(number)
        if sample.list_state == "near" and number:
            assert row is None
            assert {len(other) for other in by_number} == {len(number)}
            # One character differs, or two neighbours are swapped.
            assert min(DamerauLevenshtein.distance(number, other) for other in by_number) == 1
        elif sample.list_state == "near":
            models = [
                model
                for row in rows
                if row["holder"].upper() == marks["manufacturer"].upper()
                for model in row["models"].split("; ")
            ]
            assert min(DamerauLevenshtein.distance(marks["model"], model) for model in models) == 1
        elif sample.what.scheme == "EU-EN149":
            listed = any(
                row["holder"].upper() == marks["manufacturer"].upper()
                and marks["model"] in row["models"].split("; ")
                for row in rows
            )
            assert listed == (sample.list_state == "listed_agrees")
        elif sample.list_state in ("listed_agrees", "listed_differs", "listed_ended"):
            assert row is not None
            names = row["models"] + row["private_labels"]
            assert (marks["model"] in names) == (sample.list_state != "listed_differs")
            assert (row["status"] == "current") == (sample.list_state != "listed_ended")
        elif sample.list_state == "not_listed":
            assert row is None
