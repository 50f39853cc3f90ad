"""What strangers' files and large questions may cost: little, and never the server's process."""

import io
import threading
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor, as_completed
from pathlib import Path

import pytest
from openpyxl import Workbook
from starlette.testclient import TestClient

from inkwitness.api.app import create_app
from inkwitness.api.routes import consignments
from inkwitness.api.routes.intake import papers
from inkwitness.errors import NotAPhoto, StorageTrouble, TooLarge
from inkwitness.jobs import apart as processes
from inkwitness.jobs.helpers import MIB, MOST_WAITING, Helpers
from inkwitness.photo.decode import decode
from inkwitness.records.store import new_id
from tests.api.conftest import HEADERS, NOW, png, settings
from tests.api.limits import hostile, work

TITLE = '{"kind": "type_certificate", "title": "FICTIONAL certificate"}'
FILES = {
    "a PNG with two headers": hostile.png_of_two_sizes(),
    "a JPEG with two frame headers": hostile.jpeg_of_two_sizes(),
    "a WebP whose canvas is not its picture": hostile.webp_of_two_sizes(),
    "a JPEG of 6 million comments": hostile.jpeg_of_comments(),
    "a PNG of 1.5 million chunks": hostile.png_of_chunks(),
    "a PNG that moves": hostile.moving("PNG"),
    "a WebP that moves": hostile.moving("WEBP"),
}


@pytest.fixture
def apart(tmp_path: Path) -> Iterator[TestClient]:
    """The application as it is served: decoding and lists in processes of their own."""
    app = create_app(settings(tmp_path, helpers=1), clock=lambda: NOW)
    with TestClient(app, headers=HEADERS) as opened:
        yield opened


@pytest.mark.parametrize("what", FILES)
def test_a_file_with_two_stories_or_a_million_parts_is_refused_by_both_readers(
    client: TestClient, what: str
) -> None:
    answer = client.post(
        "/api/photos",
        data={"id": new_id(), "unit_id": new_id()},
        files={"file": ("x", FILES[what])},
    )
    assert (answer.status_code, answer.json()["error"]["code"]) == (415, "not_a_photo")
    with pytest.raises(NotAPhoto):
        decode(FILES[what], "x")


def _most_used() -> int:
    """The most memory that this process held since `_forget`, in kB."""
    (line,) = [
        one
        for one in Path("/proc/self/status").read_text(encoding="ascii").splitlines()
        if one.startswith("VmHWM")
    ]
    return int(line.split()[1])


def _forget() -> int:
    """Begin to measure anew, whatever was held before; answers what is held now."""
    # proc(5), /proc/pid/clear_refs: 5 resets the peak to what is held now (Linux 4.0)
    Path("/proc/self/clear_refs").write_text("5", encoding="ascii")
    return _most_used()


@pytest.mark.parametrize("helpers", [1, 0])
def test_the_servers_own_memory_does_not_grow_with_a_picture(tmp_path: Path, helpers: int) -> None:
    # 60 megapixels decode to 180 MB; without a helper they do so here, which shows that it is seen
    large = hostile.png_of(8000, 7400)
    app = create_app(settings(tmp_path, helpers=helpers), clock=lambda: NOW)
    with TestClient(app, headers=HEADERS) as client:
        before = _forget()
        for _ in range(4 if helpers else 1):
            ids = {"id": new_id(), "unit_id": new_id()}
            answer = client.post("/api/photos", data=ids, files={"file": ("x", large)})
            assert answer.status_code == 202
        grown = _most_used() - before
    assert grown < 60 * 1024 if helpers else grown > 120 * 1024


def test_a_line_number_of_300_digits_is_a_bad_request(client: TestClient) -> None:
    answer = client.get(f"/api/photos/{new_id()}/lines/{'9' * 300}")
    assert answer.status_code == 422


@pytest.mark.parametrize(
    ("task", "args", "says"),
    [
        (work.grab, (2048 * MIB,), "memory"),
        (work.spin, (), "more than 5 seconds"),
        (work.leave, (), "can take"),
    ],
)
def test_a_helper_that_takes_too_much_is_ended_and_the_next_is_served(
    task: object, args: tuple[object, ...], says: str
) -> None:
    helpers = Helpers(1, seconds=5)
    try:
        assert helpers.run(work.grab, 10) == 10
        with pytest.raises(TooLarge, match=says):
            helpers.run(task, *args)  # type: ignore[arg-type]
        assert helpers.run(work.grab, 10) == 10
    finally:
        helpers.stop()
    with pytest.raises(StorageTrouble):
        helpers.run(work.grab, 10)


def test_a_helper_that_was_killed_is_asked_once_more_before_the_work_is_blamed(
    tmp_path: Path,
) -> None:
    helpers = Helpers(1, seconds=60)
    try:
        assert helpers.run(work.leave_once, tmp_path / "seen") == "done"
    finally:
        helpers.stop()


def test_a_few_wait_for_a_helper_and_the_next_is_put_off_at_once() -> None:
    helpers = Helpers(1, seconds=60)
    taken = helpers._free.get()
    try:
        with ThreadPoolExecutor(MOST_WAITING + 1) as many:
            asked = [many.submit(helpers.run, work.grab, 10) for _ in range(MOST_WAITING + 1)]
            refused = next(as_completed(asked))
            assert isinstance(refused.exception(), StorageTrouble)
            helpers._free.put(taken)
            served = [one.result() for one in asked if one is not refused]
    finally:
        helpers.stop()
    assert served == [10] * MOST_WAITING


def test_a_helper_that_cannot_begin_in_time_is_the_machines_fault(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(processes, "_BEGINNING", 0.001)
    helpers = Helpers(1, seconds=60)
    try:
        with pytest.raises(StorageTrouble) as told:
            helpers.run(work.grab, 10)
        assert told.value.kind == "busy"
        monkeypatch.undo()
        assert helpers.run(work.grab, 10) == 10
    finally:
        helpers.stop()


def test_an_error_in_a_helper_is_the_error_that_it_would_be_here(apart: TestClient) -> None:
    bad_picture = apart.post(
        "/api/photos",
        data={"id": new_id(), "unit_id": new_id()},
        files={"file": ("x", png()[:-20])},
    )
    assert bad_picture.status_code == 415
    bad_list = apart.post("/api/holders/preview", files={"file": ("x.csv", b"PK\x03\x04 no book")})
    assert (bad_list.status_code, bad_list.json()["error"]["code"]) == (422, "bad_list")
    bad_question = apart.get("/api/sampling/discovery", params={"lot": -1, "nonconforming": 1})
    assert bad_question.status_code == 422


def test_a_list_that_takes_too_long_is_given_up_and_said_so(tmp_path: Path) -> None:
    book = Workbook(write_only=True)
    sheet = book.create_sheet()
    sheet.append(["scheme", "holder", "approval_number"])
    for number in range(100_000):
        sheet.append(["us-niosh", f"FICTIONAL {number}", f"84A-{number:04d}"])
    out = io.BytesIO()
    book.save(out)
    app = create_app(settings(tmp_path, helpers=1, helper_seconds=1), clock=lambda: NOW)
    with TestClient(app, headers=HEADERS) as client:
        answer = client.post("/api/holders/preview", files={"file": ("x.xlsx", out.getvalue())})
        assert (answer.status_code, answer.json()["error"]["code"]) == (413, "too_large")
        assert client.get("/api/about").status_code == 200


def _consignment(client: TestClient) -> str:
    made = {"id": new_id(), "label": "FICTIONAL"}
    answer = client.post("/api/consignments", json=made)
    assert answer.status_code == 201
    return str(answer.json()["consignment_id"])


def test_nobody_waits_for_the_lock_while_a_plan_is_computed(
    client: TestClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    services = client.app.state.services  # type: ignore[attr-defined]
    turn: threading.Lock = services.store.database._turn
    run, free = services.tables.run, []

    def watched(*args: object) -> object:
        free.append(not turn.locked())
        return run(*args)

    monkeypatch.setattr(services.tables, "run", watched)
    asked = {
        "id": new_id(),
        "kind": "discovery",
        "seed": "x",
        "nonconforming": 9,
        "units": ["A1..A500"],
    }
    answer = client.post(f"/api/consignments/{_consignment(client)}/plan", json=asked)
    assert (answer.status_code, free) == (201, [True])


@pytest.mark.parametrize("what", ["consignment", "paper"])
def test_nobody_waits_for_the_lock_while_an_answer_is_put_together(
    client: TestClient, monkeypatch: pytest.MonkeyPatch, what: str
) -> None:
    services = client.app.state.services  # type: ignore[attr-defined]
    turn: threading.Lock = services.store.database._turn
    goods, free = _consignment(client), []
    owner, name = (consignments, "_see") if what == "consignment" else (papers, "_seen")
    see = getattr(owner, name)

    def watched(*args: object) -> object:
        free.append(not turn.locked())
        return see(*args)

    monkeypatch.setattr(owner, name, watched)
    if what == "consignment":
        _consignment(client)
    else:
        paper = {"id": new_id(), "consignment_id": goods, "paper": TITLE}
        answer = client.post("/api/papers", data=paper)
        assert answer.status_code == 201, answer.text
    assert free == [True]


def test_a_plan_that_draws_more_than_can_be_listed_is_refused(apart: TestClient) -> None:
    asked = {
        "id": new_id(),
        "kind": "discovery",
        "seed": "x",
        "nonconforming": 1,
        "units": ["A1..A500000"],
    }
    consignment_id = _consignment(apart)
    answer = apart.post(f"/api/consignments/{consignment_id}/plan", json=asked)
    assert answer.status_code == 422
    assert "10,000" in answer.json()["error"]["message"]
    assert len(apart.get(f"/api/consignments/{consignment_id}").content) < 10_000
