"""Coverage-guided fuzzing of what takes strangers' files.

`python -m tests.endurance.fuzz containers --inputs 100000` (also: served, lists, rules). A fault is
any error that is not ours, a copy that Pillow sees as another picture than the original, or
metadata left in a copy. The fuzzer is atheris (libFuzzer); inputs that found something new are kept
in a folder and used again.
"""

import argparse
import importlib
import io
import os
import re
import subprocess
import sys
import tempfile
import types
from collections.abc import Callable
from contextlib import suppress
from dataclasses import replace
from functools import cache
from pathlib import Path

from PIL import Image, UnidentifiedImageError

from inkwitness import yaml_text
from inkwitness.errors import InkwitnessError
from inkwitness.holders.files import delimited, importing, own_json, rows, workbook
from inkwitness.photo import containers, served
from inkwitness.photo.decode import decode

# The package has a function of the same name.
load = importlib.import_module("inkwitness.rulebook.load")
ROOT = Path(__file__).parents[2]
_TAKERS = (
    containers.jpeg_without_metadata,
    containers.png_without_metadata,
    containers.webp_without_metadata,
)
# What a copy may not carry: the names of the blocks that hold metadata.
_METADATA = (b"http://ns.adobe.com", b"tEXt", b"iTXt", b"Photoshop 3.0")


def fuzz_containers(data: bytes) -> None:
    """Each of the functions on any bytes: our own errors or an answer."""
    with suppress(InkwitnessError):
        containers.check_structure(data)
    containers.orientation(data)
    for take in _TAKERS:
        with suppress(InkwitnessError):
            take(data)


def fuzz_served(data: bytes) -> None:
    """A copy shows what the original shows, as Pillow sees both; so do the two readers agree."""
    try:
        copy = served.served_copy(data)
    except InkwitnessError:
        return
    with suppress(InkwitnessError):
        decode(data, "x")
    if copy.how != "metadata_removed":
        return
    for name in _METADATA:
        if name in copy.data and copy.media_type != "image/webp":
            at = copy.data.index(name)
            assert name not in (b"tEXt", b"iTXt") or not _is_chunk(copy.data, at), name
    try:
        with Image.open(io.BytesIO(data)) as before, Image.open(io.BytesIO(copy.data)) as after:
            same = before.size == after.size and before.convert("RGB").tobytes() == (
                after.convert("RGB").tobytes()
            )
    except (OSError, SyntaxError, ValueError, UnidentifiedImageError, Image.DecompressionBombError):
        return
    assert same, "the copy shows another picture"


def _is_chunk(data: bytes, at: int) -> bool:
    return data.startswith(b"\x89PNG") and int.from_bytes(data[at - 4 : at], "big") < len(data)


def fuzz_lists(data: bytes) -> None:
    """A list in any form."""
    with suppress(InkwitnessError):
        importing.preview(data)


@cache
def _companions(path: Path, name: str) -> yaml_text.YamlText:
    return _read_yaml(path, name)


_read_yaml = yaml_text.read_yaml


def _read_once(path: Path, name: str = "") -> yaml_text.YamlText:
    """The rules that came with the program are the same each time; the fuzzed file is not."""
    return _read_yaml(path, name) if path.suffix == ".fuzz" else _companions(path, name)


def fuzz_rules(data: bytes) -> None:
    """A rules file of any bytes: by itself, and where nothing is wrong with it, with the others."""
    with tempfile.NamedTemporaryFile(suffix=".fuzz", dir="/dev/shm") as file:
        file.write(data)
        file.flush()
        path = Path(file.name)
        common = _companions(ROOT / "rules" / "common.yaml", "")
        vars(load)["read_yaml"] = _read_once
        try:
            with suppress(yaml_text.BadRules):
                text = load.read_yaml(path)
                text = replace(text, content=load.expanded(text.content, load._macros(common)))
                scheme = load.schema.shaped(text, load.Scheme)
                if not load.schema.check_scheme(text, scheme):
                    load.check_file(path)
        finally:
            vars(load)["read_yaml"] = _read_yaml


TARGETS: dict[str, Callable[[bytes], None]] = {
    "containers": fuzz_containers,
    "served": fuzz_served,
    "lists": fuzz_lists,
    "rules": fuzz_rules,
}


def seeds(target: str) -> list[bytes]:
    """Small valid inputs to begin with."""
    if target == "rules":
        made_up = ROOT / "tests" / "rulebook" / "made_up_scheme" / "zz-velmarra.yaml"
        schemes = ROOT / "rules" / "schemes"
        small = [schemes / "medical" / "med-is16289.yaml", schemes / "mx-nom116.yaml"]
        return [path.read_bytes() for path in (made_up, *small)]
    if target == "lists":
        head = (
            b"scheme,holder,approval_number,status\nus-niosh,Vexholm (FICTIONAL),84A-9981,current\n"
        )
        return [head, head.replace(b",", b";"), b'{"entries": []}', *_workbooks()]
    made = []
    for kind in ("JPEG", "PNG", "WEBP"):
        out = io.BytesIO()
        exif = Image.Exif()
        exif[0x0112] = 6
        Image.effect_noise((24, 16), 90).convert("RGB").save(out, kind, exif=exif.tobytes())
        made.append(out.getvalue())
    return made


def _workbooks() -> list[bytes]:
    from openpyxl import Workbook

    book = Workbook()
    assert book.active is not None
    book.active.append(["scheme", "holder", "approval_number"])
    book.active.append(["us-niosh", "Vexholm (FICTIONAL)", "84A-9981"])
    out = io.BytesIO()
    book.save(out)
    return [out.getvalue()]


def once(target: str, data: bytes) -> None:
    """One input; raises what is a fault."""
    TARGETS[target](data)


def _inside(target: str, rest: list[str]) -> None:
    import atheris

    for module in (
        containers,
        served,
        importing,
        delimited,
        rows,
        workbook,
        own_json,
        load,
        yaml_text,
    ):
        for name, function in vars(module).items():
            own = getattr(function, "__module__", "") == module.__name__
            if own and isinstance(function, types.FunctionType):
                setattr(module, name, atheris.instrument_func(function))
    atheris.Setup([sys.argv[0], *rest], TARGETS[target])
    atheris.Fuzz()


def main() -> None:
    """Run libFuzzer in a process of its own and pass its exit code on."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("target", choices=TARGETS)
    options.add_argument("--inputs", type=int, default=100_000)
    options.add_argument("--seconds", type=int, default=0, help="stop earlier; 0: do not")
    options.add_argument("--corpus", type=Path, default=None)
    options.add_argument("--inside", nargs=argparse.REMAINDER)
    asked = options.parse_args()
    if asked.inside is not None:
        _inside(asked.target, asked.inside)
        return
    corpus = asked.corpus or Path(tempfile.mkdtemp(prefix=f"fuzz-{asked.target}-"))
    corpus.mkdir(parents=True, exist_ok=True)
    for number, seed in enumerate(seeds(asked.target)):
        (corpus / f"seed-{number}").write_bytes(seed)
    command = [sys.executable, "-m", "tests.endurance.fuzz", asked.target, "--inside"]
    limits = [f"-runs={asked.inputs}", "-max_len=20000", "-rss_limit_mb=3000", "-timeout=30"]
    limits += ["-print_final_stats=1", f"-max_total_time={asked.seconds}"]
    ended = subprocess.run(
        [*command, *limits, f"-artifact_prefix={corpus.parent}/", str(corpus)],
        env={**os.environ, "PYTHONPATH": f"{ROOT / 'server'}:{ROOT}"},
        stderr=subprocess.PIPE,
        text=True,
        check=False,
    )
    # libFuzzer's own count (-print_final_stats): what was run, not what was asked for
    ran = re.search(r"number_of_executed_units:\s+([0-9]+)", ended.stderr)
    if ended.returncode or ran is None:
        print(ended.stderr[-4000:], file=sys.stderr)
    count = ran.group(1) if ran else "an unknown number of"
    print(f"{asked.target}: {count} inputs, {'FAULT' if ended.returncode else 'no fault'}")
    sys.exit(ended.returncode or ran is None)


if __name__ == "__main__":
    main()
