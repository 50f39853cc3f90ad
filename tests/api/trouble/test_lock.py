"""Nothing is judged, and no list is made, while the write lock is held; what changes counts.

What a judgement is made of may change until the lock is taken: the work is then done again with
what is there, so that what is stored is what it would be had everybody waited.
"""

import threading
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from typing import Any

import pytest
from starlette.testclient import TestClient

from inkwitness.holders import editions
from inkwitness.records import lists
from inkwitness.records.store import new_id
from inkwitness.use_cases.judged import beforehand
from tests.api.fake_checker import NUMBER, FakeJudge
from tests.api.test_confirmations import confirm

Send = Callable[..., dict[str, Any]]
LIST = (
    b"scheme,approval_number,holder,models,filter_class,status,checked_on,source,checked_by\n"
    b"us-niosh,TC-84A-9981,Vexholm Filtration,VX-910,N95,current,2031-03-12,registry,Bo\n"
)


@dataclass
class Watching(FakeJudge):
    """Notes of each judgement whether the write lock was free, and does something in between."""

    turn: threading.Lock
    free: list[bool] = field(default_factory=list)
    between: list[Callable[[], object]] = field(default_factory=list)

    def judge(self, *args: Any) -> Any:
        self._see()
        return super().judge(*args)

    def judge_unit(self, *args: Any) -> Any:
        self._see()
        return super().judge_unit(*args)

    def _see(self) -> None:
        self.free.append(not self.turn.locked())
        if self.between:
            self.between.pop()()


@pytest.fixture
def judge(client: TestClient) -> Iterator[Watching]:
    services = client.app.state.services  # type: ignore[attr-defined]
    services._judge = Watching(services.store.database._turn)
    return services._judge


def accept_list(client: TestClient, name: str = "Ours") -> Any:
    form = {"id": new_id(), "name": name, "checked_on": "2031-03-12"}
    made = client.post("/api/holders/proposals", data=form, files={"file": ("l.csv", LIST)})
    assert made.status_code == 201, made.text
    path = f"/api/holders/proposals/{made.json()['proposal_id']}/accept"
    return client.post(path, json={"id": new_id()})


def test_words_uploads_and_rechecks_are_judged_while_others_may_write(
    client: TestClient, send: Send, judge: Watching
) -> None:
    unit_id = new_id()
    first, second = send(unit_id=unit_id), send(unit_id=unit_id)
    counts = [len(judge.free)]
    word = confirm(client, first["photo_id"], NUMBER).json()["confirmation_id"]
    confirm(client, second["photo_id"], NUMBER)
    counts.append(len(judge.free))
    client.post(f"/api/confirmations/{word}/withdraw", json={"id": new_id()})
    counts.append(len(judge.free))
    assert accept_list(client).status_code == 201
    counts.append(len(judge.free))
    assert client.get("/api/holders/editions/1/recheck").json()["done"] == 1
    assert sorted(set(counts)) == counts, "each of these judges something"
    assert all(judge.free)


def test_a_word_that_comes_while_another_is_judged_counts_in_the_newest_check(
    client: TestClient, send: Send, judge: Watching
) -> None:
    taken = send()
    said: list[Any] = []
    other = {"mark": "filter_class", "actor": "Bo", "read_as": "N95"}
    judge.between.append(lambda: said.append(confirm(client, taken["photo_id"], "N95", **other)))
    mine = confirm(client, taken["photo_id"], NUMBER)
    assert (mine.status_code, said[0].status_code) == (201, 201)
    newest = client.get(f"/api/units/{taken['unit_id']}").json()["checks"][0]
    words = {mine.json()["confirmation_id"], said[0].json()["confirmation_id"]}
    assert set(newest["confirmations"]) == words


def test_an_edition_put_in_force_while_a_word_is_judged_is_the_one_it_is_judged_by(
    client: TestClient, send: Send, judge: Watching, monkeypatch: pytest.MonkeyPatch
) -> None:
    used = []
    real = FakeJudge.judge

    def noted(self: FakeJudge, *args: Any) -> Any:
        used.append(args[3].edition if args[3] is not None else None)
        return real(self, *args)

    monkeypatch.setattr(FakeJudge, "judge", noted)
    taken = send()
    judge.between.append(lambda: accept_list(client))
    assert confirm(client, taken["photo_id"], NUMBER).status_code == 201
    assert used == [None, None, 1]


def test_what_never_stays_the_same_is_given_up_with_try_again_and_stores_nothing(
    client: TestClient, send: Send, monkeypatch: pytest.MonkeyPatch
) -> None:
    taken = send()
    monkeypatch.setattr(beforehand, "_MOST_TRIES", 1)
    answer = confirm(client, taken["photo_id"], NUMBER)
    assert (answer.status_code, answer.json()["error"]["code"]) == (503, "busy")
    assert int(answer.headers["Retry-After"]) > 0
    unit = client.get(f"/api/units/{taken['unit_id']}").json()
    assert (len(unit["checks"]), unit["confirmations"]) == (1, [])


def test_a_list_is_made_before_the_lock_and_made_anew_where_another_was_accepted(
    client: TestClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    services = client.app.state.services  # type: ignore[attr-defined]
    turn, free = services.store.database._turn, []
    real = editions.digest

    def digest(*args: Any) -> str:
        free.append(not turn.locked())
        return real(*args)

    monkeypatch.setattr(lists, "digest", digest)
    assert accept_list(client).status_code == 201
    form = {"id": new_id(), "name": "Late", "checked_on": "2031-03-13"}
    late = client.post("/api/holders/proposals", data=form, files={"file": ("l.csv", LIST)}).json()
    draft, between = lists._draft_edition, [True]

    def slow(*args: Any) -> Any:
        made = draft(*args)
        if between:
            between.clear()
            assert accept_list(client, "Between").status_code == 201
        return made

    monkeypatch.setattr(lists, "_draft_edition", slow)
    answer = client.post(
        f"/api/holders/proposals/{late['proposal_id']}/accept", json={"id": new_id()}
    )
    assert (answer.status_code, "Propose the change again" in answer.text) == (409, True)
    assert [one["name"] for one in client.get("/api/holders/editions").json()] == [
        "Between",
        "Ours",
    ]
    assert free
    assert all(free)
