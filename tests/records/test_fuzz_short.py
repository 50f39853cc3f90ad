"""A short run of the fuzzers, from their own seeds; `make fuzz` is the long one."""

import random

import pytest

from inkwitness.photo import served
from tests.endurance import fuzz

# What the long run found: each is an input that once ended in an error that was not ours.
FOUND = {
    "containers": [b"", b"RIFF", b"RIFF\x00\x00\x00\x00WEBP"],
    "served": [b"\xff\xd8\xff", b"\x89PNG\r\n\x1a\n"],
    "lists": [b"PK\x03\x04", b"{", b"\xff\xfe"],
    "rules": [b"", b"scheme: [", b"{", b"scheme: &own [*own]"],
}


# Pillow warns of what is damaged in a file; here every file is.
@pytest.mark.filterwarnings("ignore:.*:UserWarning:PIL")
@pytest.mark.parametrize("target", fuzz.TARGETS)
def test_damaged_files_end_in_an_error_of_ours_or_an_answer(target: str) -> None:
    chance = random.Random(20)
    seeds = fuzz.seeds(target)
    inputs = list(FOUND[target])
    for _ in range(20 if target == "rules" else 150):
        data = bytearray(chance.choice(seeds))
        for _ in range(chance.randint(1, 6)):
            at = chance.randrange(len(data))
            data[at : at + chance.randint(0, 3)] = chance.randbytes(chance.randint(0, 3))
        inputs.append(bytes(data))
    for damaged in inputs:
        fuzz.once(target, damaged)
    assert len(inputs) > 20


def test_the_picture_check_of_the_fuzzer_can_fail(monkeypatch: pytest.MonkeyPatch) -> None:
    (seed,) = (one for one in fuzz.seeds("served") if one.startswith(b"\x89PNG"))
    real = served.served_copy
    other = real(fuzz.seeds("served")[2])
    monkeypatch.setattr(served, "served_copy", lambda _data: other)
    with pytest.raises(AssertionError, match="another picture"):
        fuzz.once("served", seed)
