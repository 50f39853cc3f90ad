"""What grows old is called to mind when asked, for a day; nothing is sent by itself."""

import datetime as dt
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from inkwitness.api.app import create_app
from inkwitness.holders.values import HolderEntry, HolderList
from inkwitness.records.database import open_database
from inkwitness.records.store import new_id
from inkwitness.use_cases.stores.reminders import Ages, all_of_them
from tests.api.conftest import HEADERS, NOW, settings
from tests.api.test_consignments import look_up, make
from tests.api.test_units import decide
from tests.stores.test_bins import put

DAY = dt.date(2031, 3, 18)
Later = Callable[[int], TestClient]


@pytest.fixture
def told(tmp_path: Path) -> Any:
    """What is called to mind so many days after a hold, a question, a look-up and a sorting."""
    moment = [NOW]
    app = create_app(settings(tmp_path), clock=lambda: moment[0])
    with TestClient(app, headers=HEADERS) as client:
        goods = make(client)
        decide(client, f"consignments/{goods}", "hold")
        decide(client, f"consignments/{goods}", "ask_holder", "asked about lot A312")
        look_up(client, looked_up_at="2031-03-18T09:00:00+00:00")
        put(client, new_id(), "sealed", 300)

        def _told(days: int) -> dict[str, int]:
            moment[0] = NOW + dt.timedelta(days=days)
            answer = client.get("/api/reminders?lang=hi").json()
            assert all(one["says"] for one in answer)
            return {one["key"]: one["days"] for one in answer}

        yield _told


def test_each_is_told_once_it_is_old_and_not_before(told: Any) -> None:
    """Look-ups after the site's limit of 7 days (issue 24, point 1); the other ages are decisions
    of this project, no source."""
    assert told(0) == {}
    assert told(1) == {"bins": 1}
    assert set(told(8)) == {"bins", "answer", "look_up"}
    assert told(14)["hold"] == 14


def test_a_reminder_names_who_was_asked_to_see_to_it_else_who_began_it(tmp_path: Path) -> None:
    """Need P25 of the job map: what waits has an owner."""
    moment = [NOW]
    app = create_app(settings(tmp_path), clock=lambda: moment[0])
    with TestClient(app, headers=HEADERS) as client:
        goods = f"consignments/{make(client)}"
        assert decide(client, goods, "hold", "wait", assignee="Bo Terrazin").status_code == 201
        assert decide(client, goods, "ask_holder", "lot A312?").status_code == 201
        moment[0] = NOW + dt.timedelta(days=14)
        owners = {one["key"]: one["owner"] for one in client.get("/api/reminders").json()}
        report = client.get(f"/api/{goods}/report?format=json").text
    assert owners == {"hold": "Bo Terrazin", "answer": "Ines Okparo"}
    assert "Bo Terrazin sees to it" in report


def test_a_list_is_named_before_it_is_too_old_and_an_entry_before_it_ends(tmp_path: Path) -> None:
    """Job map, scenario 8: a certificate end date 13 days ahead is a notice and no recall."""
    entry = HolderEntry(
        "us-niosh", "Brisdaal", "TC-84A-9703", status="current", valid_until=dt.date(2031, 4, 2)
    )
    list_ = HolderList("house list", (entry,), 1, dt.date(2031, 2, 18))
    database = open_database(tmp_path / "ink.sqlite")
    with database.reading() as conn:
        now = {one.key: one.days for one in all_of_them(conn, list_, dt.date(2031, 3, 20), Ages())}
        before = all_of_them(conn, list_, dt.date(2031, 3, 15), Ages())
    database.close()
    assert now == {"list": 30, "entry_ends": -13}
    assert before == []
