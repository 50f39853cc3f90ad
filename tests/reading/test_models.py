"""Only the models that were measured are loaded."""

from pathlib import Path

import pytest

from inkwitness.errors import ReaderMissing
from inkwitness.reading.readers import engines
from inkwitness.reading.readers.engines import MODEL_SHA256, checked_model


@pytest.mark.parametrize("name", MODEL_SHA256)
def test_a_model_of_other_bytes_is_refused_with_what_to_do(name: str, tmp_path: Path) -> None:
    shipped = engines._model_folder() / name
    changed = bytearray(checked_model(shipped))
    changed[len(changed) // 2] ^= 1
    (tmp_path / name).write_bytes(changed)
    with pytest.raises(ReaderMissing, match=rf"{name} is not the one.*make setup"):
        checked_model(tmp_path / name)


def test_a_missing_model_is_named(tmp_path: Path) -> None:
    with pytest.raises(ReaderMissing, match=r"other\.onnx is missing"):
        checked_model(tmp_path / "other.onnx")
