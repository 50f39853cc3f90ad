"""The demo has a folder of its own: it is refused on live data, and live work in its folder."""

from pathlib import Path

import pytest

from inkwitness.cli.serving import demo
from inkwitness.errors import BadInput
from inkwitness.records.store import open_store


def test_the_demo_is_refused_on_live_data(tmp_path: Path) -> None:
    open_store(tmp_path).close()
    with pytest.raises(BadInput, match="FICTIONAL"):
        demo.check_folder(tmp_path, demo=True)
    demo.check_folder(tmp_path, demo=False)


def test_live_work_is_refused_in_the_demos_folder(tmp_path: Path) -> None:
    demo.check_folder(tmp_path, demo=True)
    (tmp_path / demo.OURS).touch()
    open_store(tmp_path).close()
    demo.check_folder(tmp_path, demo=True)
    with pytest.raises(BadInput, match="fictional demo"):
        demo.check_folder(tmp_path, demo=False)
