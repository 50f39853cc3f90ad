"""How goods in store stand in the terminal: as on the page, by the same conditions."""

from pathlib import Path

from starlette.testclient import TestClient
from typer.testing import CliRunner

from inkwitness.cli.main import app
from tests.api.conftest import HEADERS
from tests.holders.test_api import accept, propose
from tests.scenarios.test_list_changes_after_release import Site, keep_released
from tests.stores.test_stock import received


def test_goods_without_a_public_list_stand_as_on_the_page(tmp_path: Path) -> None:
    """EN 149 has no list of goods: a paper was compared, and that opens the gate here too."""
    site = Site(tmp_path)
    with TestClient(site.app(), headers=HEADERS) as client:
        accept(client, propose(client)["proposal_id"])
        key = "BRISDAAL TEXTIEL BD-3 9871"
        more = {"scheme": "eu-en149", "source": "certificate", "list_name": "certificate"}
        goods = keep_released(client, site, ["bd-3.png"], key, **more)
        received(client, goods, 1, lot="B1")
        there = client.get("/api/stock/where?lot=B1").json()["lots"][0]["piles"][0]["status"]
    asked = ["--data", str(tmp_path / "data"), "--on", "2031-03-14"]
    told = CliRunner().invoke(app, ["stock", "where", "B1", *asked], catch_exceptions=False)
    listed = CliRunner().invoke(app, ["stock", "list", *asked], catch_exceptions=False)
    assert (there, told.exit_code) == ("released", 0)
    assert "released by a person" in told.stdout
    assert '"released","released by a person"' in listed.stdout
