"""Papers that came with goods, through the API: job map, scenario 4 (all names invented).

The rules' own examples run with those of all rules, tests/rulebook/test_examples.py.
"""

from collections.abc import Callable
from typing import Any

import pytest
from starlette.testclient import TestClient

from inkwitness.records.store import new_id
from tests.intake.conftest import DECLARATION, TYPE, consignment, keep_paper

Send = Callable[..., dict[str, Any]]


def rules(answer: Any, *severities: str) -> set[str]:
    found = answer.json()["findings"]
    return {one["rule"] for one in found if not severities or one["severity"] in severities}


def see(client: TestClient, goods: str) -> Any:
    return client.get("/api/papers", params={"consignment_id": goods})


def test_two_bodies_are_explained_and_only_the_paper_on_production_is_missing(
    client: TestClient, send: Send
) -> None:
    """Scenario 4 (a). The number beside CE is that of the body of production control: Regulation
    (EU) 2016/425, Article 17(3)."""
    goods = consignment(client)
    send("en-face.png", consignment_id=goods)
    keep_paper(client, TYPE, consignment_id=goods)
    answer = keep_paper(client, DECLARATION, consignment_id=goods)
    assert answer.status_code == 201, answer.text
    assert rules(answer, "conflict") == set()
    assert rules(answer, "missing") == {"p-no-control"}
    (note,) = [one for one in answer.json()["findings"] if one["rule"] == "p-two-bodies"]
    assert (note["severity"], note["question"]) == ("note", False)
    assert "9871" in note["says"]
    assert "2999" in note["says"]
    seen = client.get(f"/api/consignments/{goods}").json()
    assert seen["aspects"]["documents"] == {"missing": 1}
    assert seen["outcome"] == "missing"


def test_a_certificate_of_compliance_of_a_body_of_other_scope_is_a_conflict(
    client: TestClient, send: Send
) -> None:
    """Scenario 4 (b): title, body and end date; nothing is called by a verdict."""
    goods = consignment(client)
    send("en-face.png", consignment_id=goods)
    paper = {
        "kind": "type_certificate",
        "title": "Certificate of Compliance",
        "body_number": "9844",
        "holder": "Nordfelle Trading",
        "product": "NF-2",
        "standard": "EN 149:2001+A1:2009",
    }
    answer = keep_paper(client, paper, consignment_id=goods)
    assert rules(answer, "conflict") >= {
        "p-title-no-type-certificate",
        "p-body-of-other-scope",
        "p-holder-differs",
        "p-product-differs",
    }
    assert "p-no-end-date" in rules(answer, "missing")
    for finding in answer.json()["findings"]:
        if finding["severity"] in ("conflict", "missing"):
            assert finding["next_step"], finding["rule"]
        assert finding["source"]
    assert client.get(f"/api/consignments/{goods}").json()["outcome"] == "conflict"
    (row,) = client.get("/api/consignments").json()["consignments"]
    assert row["outcome"] == "conflict"


def test_a_body_that_the_register_does_not_have_is_a_question_never_a_conflict(
    client: TestClient,
) -> None:
    """The register here is a part, from memory: issue 24, point 3."""
    goods = consignment(client)
    answer = keep_paper(client, {**TYPE, "body_number": "9899"}, consignment_id=goods)
    (asked,) = [one for one in answer.json()["findings"] if one["rule"] == "p-body-not-in-register"]
    assert asked["question"]
    assert rules(answer, "conflict") == set()


def test_what_only_its_place_names_is_compared_with_nothing(client: TestClient, send: Send) -> None:
    """A conflict rests on print that is read or confirmed (decisions of this project)."""
    goods = consignment(client)
    send("us-free-print.png", consignment_id=goods)
    label = {"kind": "approval_label", "title": "Approval Label", "holder": "Tamberlow Mask Co"}
    answer = keep_paper(client, label, consignment_id=goods)
    assert "p-holder-differs" not in rules(answer)


def test_a_corrected_paper_takes_the_place_of_the_earlier_one_which_is_kept(
    client: TestClient, send: Send
) -> None:
    goods = consignment(client)
    send("en-face.png", consignment_id=goods)
    first = keep_paper(client, {**TYPE, "product": "HR-F3"}, consignment_id=goods)
    assert "p-product-differs" in rules(first)
    before = first.json()["papers"][0]["paper_id"]
    refused = keep_paper(client, TYPE, consignment_id=goods, replaces=before)
    assert refused.status_code == 422
    second = keep_paper(client, TYPE, consignment_id=goods, replaces=before, reason="typing error")
    assert "p-product-differs" not in rules(second)
    assert [one["in_force"] for one in second.json()["papers"]] == [False, True]
    last = keep_paper(
        client,
        TYPE,
        consignment_id=goods,
        replaces=second.json()["papers"][1]["paper_id"],
        withdrawn="true",
        reason="it belongs to other goods",
    )
    assert last.json()["state"] == "not_looked_at"
    assert len(last.json()["papers"]) == 3


def test_a_repeat_changes_nothing_and_other_content_under_the_id_is_refused(
    client: TestClient,
) -> None:
    goods = consignment(client)
    paper_id = new_id()
    for _ in range(2):
        answer = keep_paper(client, TYPE, consignment_id=goods, id=paper_id)
        assert answer.status_code == 201
    assert len(answer.json()["papers"]) == 1
    other = keep_paper(client, DECLARATION, consignment_id=goods, id=paper_id)
    assert other.status_code == 409


def test_a_file_is_kept_by_its_hash_and_served_to_be_saved_alone(client: TestClient) -> None:
    """As the files of official look-ups are: never shown as a page of ours."""
    goods = consignment(client)
    page = b"%PDF-1.7 <script>alert(1)</script>"
    answer = keep_paper(
        client,
        TYPE,
        consignment_id=goods,
        files=[("files", ("../cert.pdf", page, "application/pdf"))],
    )
    (paper,) = answer.json()["papers"]
    assert paper["files"][0]["name"] == "cert.pdf"
    got = client.get(f"/api/papers/{paper['paper_id']}/files/0")
    assert got.content == page
    assert got.headers["content-disposition"] == "attachment"
    assert got.headers["x-content-type-options"] == "nosniff"
    assert client.get(f"/api/papers/{paper['paper_id']}/files/1").status_code == 404


@pytest.mark.parametrize(
    ("fields", "about", "says"),
    [
        ({"kind": "type_certificate"}, {}, "Nothing was typed"),
        ({"kind": "treaty", "title": "x"}, {}, "kind"),
        ({**TYPE, "issued": "yesterday"}, {}, "issued"),
        (TYPE, {"replaces": "none"}, "UUID"),
        (TYPE, {"withdrawn": "true"}, "replaces"),
        (TYPE, {"unit_id": new_id()}, "one of the two"),
    ],
)
def test_what_cannot_be_used_is_refused_with_a_word_on_it(
    client: TestClient, fields: dict[str, Any], about: dict[str, str], says: str
) -> None:
    answer = keep_paper(client, fields, **{"consignment_id": consignment(client), **about})
    assert answer.status_code == 422
    assert says in answer.json()["error"]["message"]


def test_a_release_waits_for_a_word_on_what_papers_leave_open(
    client: TestClient, send: Send
) -> None:
    """A decision holds for what was open then: another paper opens it again."""
    goods = consignment(client, units_declared=1)
    send("en-face.png", consignment_id=goods)

    def blocked() -> set[str]:
        seen = client.get(f"/api/consignments/{goods}").json()
        return {one["key"] for one in seen["in_the_way"]}

    assert "papers_open" not in blocked()
    keep_paper(client, TYPE, consignment_id=goods)
    assert "papers_open" in blocked()
    path = f"/api/consignments/{goods}/papers/decide"
    assert client.post(path, json={"id": new_id(), "reason": ""}).status_code == 422
    said = {"id": new_id(), "reason": "The maker sent the rest by post; seen today."}
    assert client.post(path, json=said).status_code == 201
    assert client.post(path, json=said).status_code == 201
    assert "papers_open" not in blocked()
    keep_paper(client, {**DECLARATION, "product": "HR-F3"}, consignment_id=goods)
    assert "papers_open" in blocked()


def test_there_is_nothing_to_decide_where_nothing_is_open(client: TestClient) -> None:
    goods = consignment(client)
    said = {"id": new_id(), "reason": "because"}
    answer = client.post(f"/api/consignments/{goods}/papers/decide", json=said)
    assert answer.status_code == 422


def test_a_paper_of_a_unit_lies_beside_its_own_print_and_counts_for_its_consignment(
    client: TestClient, send: Send
) -> None:
    goods = consignment(client)
    unit = send("us-face.png", consignment_id=goods)["unit_id"]
    label = {"kind": "approval_label", "title": "Approval Label", "number": "TC-84A-9918"}
    answer = keep_paper(client, label, unit_id=unit)
    assert rules(answer, "conflict") == {"p-number-differs-print"}
    assert "p-number-differs-print" in rules(see(client, goods))


def test_the_table_shows_each_field_number_to_number(client: TestClient, send: Send) -> None:
    goods = consignment(client)
    send("en-face.png", consignment_id=goods)
    keep_paper(client, TYPE, consignment_id=goods)
    answer = keep_paper(client, {**DECLARATION, "product": "HR-F3"}, consignment_id=goods)
    rows = {row["field"]: row for row in answer.json()["table"]}
    assert rows["product"]["state"] == "differs"
    assert {cell["value"] for cell in rows["product"]["cells"]} == {"HR-F2", "HR-F3"}
    assert rows["holder"]["state"] == "agrees"
