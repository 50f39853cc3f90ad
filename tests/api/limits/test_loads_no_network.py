"""Judging and showing load no network: only a reading process does (the project's own decision)."""

import os
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[3]
ASKED = """
import sys
from pathlib import Path
from starlette.testclient import TestClient
import inkwitness.cli.main
from inkwitness.api.app import create_app
from inkwitness.api.settings import Settings
from inkwitness.findings.values import Circumstances
from tests.api.typed_checker import DAY, typed

def main():
    set_up = Settings(data=Path(sys.argv[1]), names="testserver", helpers=0, workers=1)
    with TestClient(create_app(set_up)) as client:
        about = client.get("/api/about").json()
        assert any("PP-OCRv6" in reader for reader in about["readers"]), about
        assert client.get("/").status_code in (200, 503)
        judge = client.app.state.services.judge()
        judged = judge.judge(typed("us-face.png"), (), Circumstances(DAY), None)
        assert judged.best["approval_number"].value == "TC-84A-9981"
    print(sorted({"onnxruntime", "rapidocr"} & sys.modules.keys()))

if __name__ == "__main__":
    main()
"""


def test_the_server_process_imports_no_network_to_show_and_to_judge(tmp_path: Path) -> None:
    script = tmp_path / "asked.py"
    script.write_text(ASKED, encoding="utf-8")
    paths = (str(ROOT), os.environ.get("PYTHONPATH", ""))
    told = subprocess.run(
        [sys.executable, str(script), str(tmp_path / "data")],
        env={**os.environ, "PYTHONPATH": os.pathsep.join(filter(None, paths))},
        capture_output=True,
        text=True,
        check=False,
    )
    assert told.stdout.splitlines()[-1:] == ["[]"], told.stderr
