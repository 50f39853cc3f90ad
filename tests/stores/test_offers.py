"""Records without a consignment: refused at the door, and print that was typed without a photo."""

import csv
import io
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient
from typer.testing import CliRunner

from inkwitness.api.app import create_app
from inkwitness.cli.main import app as command
from inkwitness.records.store import new_id
from tests.api.conftest import HEADERS, NOW, settings
from tests.api.test_consignments import make, plan
from tests.api.typed_checker import US


@pytest.fixture
def client(tmp_path: Path) -> Iterator[TestClient]:
    """With the real rules: what is typed goes through them."""
    how = settings(tmp_path, judge="tests.api.typed_checker:build_judge")
    with TestClient(create_app(how, clock=lambda: NOW), headers=HEADERS) as opened:
        yield opened


def offer(client: TestClient, **more: Any) -> Any:
    body = {
        "id": new_id(),
        "channel": "at_the_door",
        "goods": "N95 with ear loops",
        "why": ["papers_missing"],
        **more,
    }
    return client.post("/api/offers", json=body)


def typed(client: TestClient, *lines: str, **more: Any) -> Any:
    return client.post("/api/typed?lang=en", json={"id": new_id(), "lines": lines, **more})


def test_a_refused_offer_is_a_short_record(client: TestClient) -> None:
    """Job map, scenario 5: D0 recorded without the man's name or picture."""
    kept = offer(client, pieces=200).json()
    assert (kept["code"], kept["by"]["name"]) == ("D0", "Ines Okparo")
    assert client.get("/api/offers").json() == [kept]
    file = client.get("/api/offers/list.csv").content.decode("utf-8-sig")
    (row,) = csv.DictReader(io.StringIO(file))
    assert (row["why"], row["pieces"]) == ("papers missing", "200")


@pytest.mark.parametrize(
    "more",
    [
        {"seller": "somebody"},
        {"photo_id": new_id()},
        {"goods": "write to someone@example.org"},
        {"goods": "call +44 20 7946 0958"},
        {"goods": ""},
        {"why": []},
    ],
)
def test_it_has_no_room_for_a_person(client: TestClient, more: dict[str, Any]) -> None:
    """The telephone number is of a range kept for drama (Ofcom, from memory)."""
    assert offer(client, **more).status_code == 422
    assert client.get("/api/offers").json() == []


def test_typed_print_goes_through_the_same_rules(client: TestClient) -> None:
    """42 CFR 84.33 and appendix B (2020): nine classes; N94 is none of them."""
    good = typed(client, *US).json()
    assert good["check"]["scheme"] == "us-niosh"
    assert good["check"]["marks"]["approval_number"]["value"] == "TC-84A-9981"
    odd = typed(client, *(line.replace("N95", "N94") for line in US)).json()
    assert odd["check"]["outcome"] in ("conflict", "cannot_tell")
    assert odd["check"]["findings"] != good["check"]["findings"]


def test_typed_print_says_everywhere_who_typed_it_and_is_only_a_reading(
    client: TestClient,
) -> None:
    kept = typed(client, *US).json()
    seen = client.get(f"/api/typed/{kept['typed_id']}?lang=es").json()
    assert kept["says"] == "typed by Ines Okparo, no photo"
    assert seen["check"]["photo"] == seen["says"] == "tecleado por Ines Okparo, sin foto"
    assert kept["check"]["basis"] == "reading"
    assert "typed_no_photo" in kept["check"]["notes"]


def test_typed_print_is_no_unit_and_counts_in_no_sample(client: TestClient) -> None:
    """Stricter than asked: a drawn unit is looked at only by its photo."""
    goods = make(client, units_declared=20)
    plan(client, goods, nonconforming_share="0.5")
    before = client.get(f"/api/consignments/{goods}").json()["left_to_do"]
    typed(client, *US, whole="yes")
    assert client.get("/api/units").json()["units"] == []
    assert client.get(f"/api/consignments/{goods}").json()["left_to_do"] == before
    assert client.get("/api/find", params={"q": "9981"}).json()["found"] == []


def test_typed_print_sent_twice_is_kept_once(client: TestClient) -> None:
    body = {"id": new_id(), "lines": list(US), "on": "2031-03-18"}
    first, second = (client.post("/api/typed", json=body).json() for _ in range(2))
    assert first == second
    other = client.post("/api/typed", json={**body, "lines": ["N95"]})
    assert other.status_code == 409


@pytest.mark.parametrize("lines", [[], [" "], ["x" * 201], ["N95"] * 61])
def test_nothing_or_too_much_is_refused(client: TestClient, lines: list[str]) -> None:
    assert typed(client, *lines).status_code == 422


def test_the_terminal_says_so_too() -> None:
    told = CliRunner().invoke(command, ["typed", *US, "--by", "Samira", "--on", "2031-03-18"])
    assert told.stdout.startswith("typed by Samira, no photo")
    assert told.exit_code in (0, 1)
