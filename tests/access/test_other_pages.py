"""A stranger's page in the same browser: it can neither read nor write, by a name or from a tab.

What a browser sends is the browser's own affair, so that this is tried in one, against the server
as it is started without accounts.
"""

import threading
from collections.abc import Iterator
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, HTTPServer
from pathlib import Path
from typing import Any

import httpx2
import pytest
from playwright.sync_api import Playwright

from inkwitness.records.store import new_id
from tests.access.test_pages import served
from tests.web.serving import CHROMIUM

pytestmark = pytest.mark.browser

# Reads, writes, uploads; answers what came back of each. `no-cors` sends without asking first.
TRIES = """async ([there, consignment, ids]) => {
  const told = {};
  const attempt = async (name, path, options) => {
    try {
      const answer = await fetch(there + path, options);
      told[name] = answer.type === "opaque" ? "opaque" : (await answer.text()).slice(0, 300);
    } catch (problem) { told[name] = "refused: " + problem.name; }
  };
  const json = { "Content-Type": "application/json", "X-Actor": "Mallory" };
  const hold = (id) => JSON.stringify({ id, disposition: "hold", reason: "mine" });
  const holds = `/api/consignments/${consignment}/decisions`;
  const asked = { method: "POST", headers: json, body: hold(ids[0]) };
  const unasked = (body) => ({ method: "POST", mode: "no-cors", body });
  const form = new FormData();
  form.append("id", ids[2]); form.append("unit_id", ids[3]);
  form.append("file", new Blob(["x"], { type: "image/png" }), "x.png");
  await attempt("read", "/api/consignments", {});
  await attempt("read without asking", "/api/consignments", { mode: "no-cors" });
  await attempt("hold", holds, asked);
  await attempt("hold without asking", holds, unasked(hold(ids[1])));
  await attempt("upload without asking", "/api/photos", unasked(form));
  await attempt("draw", "/api/sampling/draw", unasked("{}"));
  return told;
}"""


class _Stranger(BaseHTTPRequestHandler):
    def do_GET(self) -> None:  # the library's name
        body = b"<!doctype html><title>stranger</title>"
        self.send_response(200)
        self.send_header("Content-Type", "text/html")
        self.send_header("Content-Length", str(len(body)))
        self.end_headers()
        self.wfile.write(body)

    def log_message(self, *_said: Any) -> None:
        return


@contextmanager
def stranger() -> Iterator[str]:
    """Somebody else's page on another port of this machine."""
    server = HTTPServer(("127.0.0.1", 0), _Stranger)
    thread = threading.Thread(target=server.serve_forever)
    thread.start()
    try:
        yield f"http://127.0.0.1:{server.server_port}"
    finally:
        server.shutdown()
        thread.join()
        server.server_close()


def test_a_strangers_page_reads_and_writes_nothing(tmp_path: Path, playwright: Playwright) -> None:
    data = tmp_path / "data"
    with (
        served(data, waits=("0 /api/alive",)) as (port, said),
        stranger() as elsewhere,
    ):
        assert "this machine alone" in said
        own = f"http://127.0.0.1:{port}"
        consignment = new_id()
        made = {"id": consignment, "label": "FICTIONAL secret delivery"}
        httpx2.post(
            f"{own}/api/consignments", json=made, headers={"X-Actor": "Ines"}
        ).raise_for_status()
        browser = playwright.chromium.launch(
            executable_path=CHROMIUM,
            headless=True,
            args=["--no-sandbox", "--host-resolver-rules=MAP rebound.example 127.0.0.1"],
        )
        page = browser.new_page()
        # from another tab
        page.goto(elsewhere)
        told = page.evaluate(TRIES, [own, consignment, [new_id() for _ in range(4)]])
        assert not any("secret" in answer for answer in told.values()), told
        # from a name that resolves to loopback: to the browser it is one and the same site
        page.goto(f"http://rebound.example:{port}/")
        assert "does not answer to the name" in page.inner_text("body")
        told = page.evaluate(TRIES, ["", consignment, [new_id() for _ in range(4)]])
        assert all("wrong_name" in answer or answer == "opaque" for answer in told.values()), told
        browser.close()
        seen = httpx2.get(f"{own}/api/consignments/{consignment}").json()
        assert (seen["held"], seen["decisions"]) == (False, [])
        assert httpx2.get(f"{own}/api/units").json()["units"] == []
