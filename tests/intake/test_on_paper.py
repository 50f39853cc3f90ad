"""A look-up that rests on a paper kept with the goods: EN 149 has no public list of products.

Issue 24, point 1: the body's certificate or the declaration of conformity for maker, model and
number of the body. All names and numbers are invented.
"""

from collections.abc import Callable
from typing import Any

import pytest
from starlette.testclient import TestClient

from inkwitness.records.store import new_id
from tests.intake.conftest import DECLARATION, TYPE, consignment, keep_paper
from tests.scenarios.conftest import confirm_all

Send = Callable[..., dict[str, Any]]
KEY = "HALCYRA RESPIRE HR-F2 2999"
CONTROL = {
    "kind": "control",
    "title": "Certificate of production control",
    "holder": "Halcyra Respire",
    "product": "HR-F2",
    "body_number": "2999",
}


def kept(client: TestClient, fields: dict[str, Any], **about: str) -> str:
    id_ = new_id()
    answer = keep_paper(client, fields, id=id_, **about)
    assert answer.status_code == 201, answer.text
    return id_


def look_up(client: TestClient, paper: str, **more: str) -> Any:
    form = {
        "id": new_id(),
        "looked_up": KEY,
        "list_name": "EU Declaration of Conformity",
        "answer": "listed_same",
        "source": "declaration",
        "words": "HR-F2, Halcyra Respire",
        "document_id": paper,
        **more,
    }
    return client.post("/api/holders/look-ups", data=form)


def ways(client: TestClient, goods: str) -> set[str]:
    found = client.get(f"/api/consignments/{goods}").json()["in_the_way"]
    return {one["key"] for one in found if "look_up" in one["key"]}


@pytest.fixture
def goods(client: TestClient, send: Send) -> str:
    """One unit of HR-F2, its marks confirmed."""
    made = consignment(client, units_declared=1)
    confirm_all(client, send("en-face.png", consignment_id=made))
    return made


def test_the_gate_takes_it_for_maker_model_and_body_and_the_report_names_the_paper(
    client: TestClient, goods: str
) -> None:
    paper = kept(client, DECLARATION, consignment_id=goods)
    assert ways(client, goods) == {"no_papers_look_up"}
    answer = look_up(client, paper, consignment_id=goods)
    assert answer.status_code == 201, answer.text
    assert answer.json()["document_id"] == paper
    assert ways(client, goods) == set()
    report = client.get(f"/api/consignments/{goods}/report", params={"format": "json"}).json()
    (official,) = [one for one in report["sections"] if paper in " ".join(one["sentences"])]
    assert "“EU Declaration of Conformity” looked up on 2031-03-18" in official["sentences"][0]


def test_it_grows_old_like_any_look_up(client: TestClient, goods: str) -> None:
    paper = kept(client, DECLARATION, consignment_id=goods)
    look_up(client, paper, consignment_id=goods, looked_up_at="2031-03-10T09:00:00+00:00")
    assert ways(client, goods) == {"look_up_too_old"}


def test_a_paper_that_is_corrected_or_taken_back_carries_it_no_more(
    client: TestClient, goods: str
) -> None:
    paper = kept(client, DECLARATION, consignment_id=goods)
    look_up(client, paper, consignment_id=goods)
    about = {"consignment_id": goods, "replaces": paper, "reason": "typed wrong"}
    later = kept(client, {**DECLARATION, "product": "HR-F20"}, **about)
    assert ways(client, goods) == {"look_up_paper_gone"}
    refused = look_up(client, paper, consignment_id=goods)
    assert (refused.status_code, refused.json()["error"]["code"]) == (422, "bad_input")
    assert look_up(client, later, consignment_id=goods).status_code == 422


def test_a_paper_of_other_goods_carries_nothing_here(client: TestClient, goods: str) -> None:
    other = consignment(client)
    theirs = kept(client, DECLARATION, consignment_id=other)
    assert look_up(client, theirs, consignment_id=goods).status_code == 422
    assert look_up(client, new_id(), consignment_id=goods).status_code == 404
    assert ways(client, goods) == {"no_papers_look_up"}


@pytest.mark.parametrize(
    ("fields", "source", "status"),
    [
        ({**DECLARATION, "product": "HR-F20"}, "declaration", 422),
        ({**DECLARATION, "product": "HR-F"}, "declaration", 422),
        ({**DECLARATION, "holder": "Vexholm Filtration"}, "declaration", 422),
        ({**DECLARATION, "holder": ""}, "declaration", 422),
        ({**CONTROL, "body_number": "9871"}, "certificate", 422),
        (CONTROL, "certificate", 201),
        # two bodies may act for one certificate: Regulation (EU) 2016/425, Article 17(3)
        (TYPE, "certificate", 201),
        (TYPE, "declaration", 422),
        ({**TYPE, "kind": "test_report"}, "certificate", 422),
        (DECLARATION, "official_list", 422),
    ],
)
def test_a_paper_must_be_of_its_kind_and_agree_in_maker_model_and_body(
    client: TestClient, goods: str, fields: dict[str, Any], source: str, status: int
) -> None:
    paper = kept(client, fields, consignment_id=goods)
    answer = look_up(client, paper, consignment_id=goods, source=source)
    assert answer.status_code == status, answer.text
    assert ("no_papers_look_up" in ways(client, goods)) is (status != 201)


def test_that_a_paper_says_something_else_can_be_recorded_and_shuts_the_gate(
    client: TestClient, goods: str
) -> None:
    paper = kept(client, {**DECLARATION, "product": "HR-F20"}, consignment_id=goods)
    assert look_up(client, paper, consignment_id=goods, answer="listed_other").status_code == 201
    assert ways(client, goods) & {"look_up_paper_differs", "look_up_says_other"}


def test_a_paper_that_nobody_kept_counts_for_the_goods_it_was_compared_for_alone(
    client: TestClient, goods: str
) -> None:
    """And never in the place of a kept one that was corrected or taken back."""
    assert look_up(client, "", consignment_id=consignment(client)).status_code == 201
    assert look_up(client, "").status_code == 201
    assert ways(client, goods) == {"no_papers_look_up"}
    assert look_up(client, "", consignment_id=goods).status_code == 201
    assert ways(client, goods) == set()
    paper = kept(client, DECLARATION, consignment_id=goods)
    assert look_up(client, paper, consignment_id=goods).status_code == 201
    about = {"consignment_id": goods, "replaces": paper, "reason": "typed wrong"}
    kept(client, {**DECLARATION, "product": "HR-F20"}, **about)
    assert look_up(client, "", consignment_id=goods).status_code == 201
    assert ways(client, goods) == {"look_up_paper_gone"}


def test_a_phone_whose_clock_runs_ahead_says_no_later_time_than_that_of_its_word(
    client: TestClient, goods: str
) -> None:
    """An old phone that was away: what it sends counts from when somebody looked."""
    ahead = {"X-Clock": "2031-03-18T11:00:00+00:00"}
    form = {"id": new_id(), "looked_up": KEY, "list_name": "Declaration", "answer": "listed_same"}
    form |= {"source": "declaration", "words": "HR-F2", "consignment_id": goods}
    form |= {"looked_up_at": "2031-03-18T10:59:00+00:00"}
    told = [client.post("/api/holders/look-ups", data=form, headers=ahead).json() for _ in range(2)]
    assert [one["looked_up_at"][:16] for one in told] == ["2031-03-18T09:00"] * 2
    late = {**form, "id": new_id()}
    assert client.post("/api/holders/look-ups", data=late).status_code == 422


def test_papers_of_its_consignment_stand_beside_a_unit_and_leave_its_outcome(
    client: TestClient, send: Send
) -> None:
    """Issue 24, point 3: the aspects `documents` and `supplier` come alive, beside the print."""
    made = consignment(client)
    unit = send("en-face.png", consignment_id=made)["unit_id"]
    before = client.get(f"/api/units/{unit}").json()
    assert before["came_with"] is None
    keep_paper(client, {**DECLARATION, "product": "HR-F20"}, consignment_id=made)
    after = client.get(f"/api/units/{unit}").json()
    assert after["came_with"]["aspects"] == {"documents": "conflict"}
    assert "p-product-differs" in {one["rule"] for one in after["came_with"]["findings"]}
    assert after["row"]["outcome"] == before["row"]["outcome"]
    report = client.get(f"/api/units/{unit}/report", params={"format": "json"}).json()
    (aspects,) = [one for one in report["sections"] if one["title"].startswith("Six results")]
    assert ["Papers", "▲ conflict found"] in aspects["table"]["rows"]
    text = " ".join(one for part in report["sections"] for one in part["sentences"])
    assert "names the product HR-F20, and the print shows HR-F2" in text
    assert "Not looked at: papers." not in text
