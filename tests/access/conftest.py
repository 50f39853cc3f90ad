"""A running application with accounts on, a clock that can be turned, and people with one role."""

import datetime as dt
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from inkwitness.access import codes, devices, people
from inkwitness.api.app import create_app
from inkwitness.api.guard.roles import COOKIE
from inkwitness.network.addresses import Reach
from inkwitness.records.chain import ROLES
from inkwitness.records.database import Database
from tests.api.conftest import NOW, settings

ORIGIN = "https://testserver"
PASSWORD = "four plain words here"


@dataclass
class House:
    """The application, its access database, and a clock."""

    app: Any
    store: Database
    now: dt.datetime = NOW
    ids: dict[str, str] = field(default_factory=dict)

    def later(self, **by: float) -> None:
        self.now += dt.timedelta(**by)

    def client(self, token: str = "", address: str = "192.168.43.7") -> TestClient:
        """A browser at an address of the room, on a device with this token or on an unknown one."""
        opened = TestClient(
            self.app, base_url=ORIGIN, headers={"Origin": ORIGIN}, client=(address, 50000)
        )
        if token:
            opened.headers["Cookie"] = f"{COOKIE}={token}"
        return opened

    def person(self, name: str, *roles: str) -> str:
        with self.store.writing() as conn:
            return people.add(conn, name, roles, self.now, by=None).id

    def token(self, person_id: str, *, shared: bool = False, by: str = "code") -> str:
        with self.store.writing() as conn:
            return devices.join(conn, person_id, "phone", self.now, by=by, shared=shared)

    def signed(self, *roles: str, name: str = "") -> TestClient:
        """A browser on which somebody with these roles is signed in."""
        key = name or f"Only {' and '.join(roles)}"
        if key not in self.ids:
            self.ids[key] = self.person(key, *roles)
        return self.client(self.token(self.ids[key]))

    def code(self, person_id: str, *, shared: bool = False) -> str:
        with self.store.writing() as conn:
            return codes.make(conn, "join", self.now, person_id=person_id, shared=shared)[0]

    def first(self) -> str:
        with self.store.writing() as conn:
            return codes.make(conn, "first", self.now)[0]


@pytest.fixture
def house(tmp_path: Path) -> Iterator[House]:
    held: list[House] = []

    def reach() -> Reach:
        return Reach((ORIGIN, "https://192.168.43.1:8000"), "http://192.168.43.1:8001", "AB12")

    app = create_app(
        settings(tmp_path, accounts=True), clock=lambda: held[0].now if held else NOW, reach=reach
    )
    with TestClient(app, base_url=ORIGIN):
        store = app.state.services.access
        assert store is not None
        held.append(House(app, store))
        yield held[0]


Each = Callable[[str], TestClient]


@pytest.fixture
def each(house: House) -> dict[str, TestClient]:
    """A browser for each role, with somebody signed in who has that role alone."""
    return {role: house.signed(role) for role in ROLES}
