"""Scenario 4: papers of Europe. Two bodies are no conflict; a body of another scope is one.

Regulation (EU) 2016/425, Article 17(3): the number beside CE is that of the body of production
control. Bodies 9862, 9871 and 9844 are invented, and stand so in the registers of the rules.
"""

from typing import Any

from starlette.testclient import TestClient

from inkwitness.records.store import new_id
from inkwitness.reports.outgoing import wording
from tests.api.test_consignments import make
from tests.api.test_units import decide
from tests.intake.conftest import TYPE, keep_paper
from tests.scenarios.conftest import Send, confirm_all, findings, keys

DECLARATION = {
    "kind": "declaration",
    "title": "EU Declaration of Conformity",
    "holder": "Halcyra Respire",
    "product": "HR-F2",
    "certificate": "ZK/31/0457",
    "standard": "EN 149:2001+A1:2009",
}
COMPLIANCE = {
    "kind": "type_certificate",
    "title": "Certificate of Compliance",
    "body_number": "9844",
    "holder": "Nordfelle Trading",
    "product": "NF-2",
    "filter_class": "FFP2 NR",
    "standard": "EN 149:2001+A1:2009",
    "issued": "2031-03-04",
}


def raised(answer: Any, *severities: str) -> dict[str, dict[str, Any]]:
    """The findings on papers by their rule; questions left out."""
    assert answer.status_code == 201, answer.text
    found = [one for one in answer.json()["findings"] if not one["question"]]
    return {one["rule"]: one for one in found if not severities or one["severity"] in severities}


def message(client: TestClient, goods: str, to: str) -> dict[str, str]:
    told: dict[str, str] = client.get(f"/api/consignments/{goods}/messages/{to}").json()
    assert not wording.judging("en", told["subject"] + told["text"])
    return told


def test_two_bodies_are_explained_and_the_paper_on_production_is_asked_for(
    client: TestClient, send: Send
) -> None:
    goods = make(client, units_declared=5000)
    check = confirm_all(client, send("hr-f2.png", consignment_id=goods))
    assert (check["outcome"], check["aspects"]["marks"]) == ("no_conflict_found",) * 2
    assert check["holder_match"]["state"] == "listed_agrees"
    keep_paper(client, TYPE, consignment_id=goods)
    answer = keep_paper(client, DECLARATION, consignment_id=goods)
    # Nothing calls the two numbers a conflict: no finding, no row of the table, no sentence.
    assert raised(answer, "conflict") == {}
    assert {row["state"] for row in answer.json()["table"]} <= {"agrees", "alone"}
    told = raised(answer)["p-two-bodies"]
    assert told["severity"] == "note"
    for part in ("9871", "9862", "one that examined the type and one that watches production"):
        assert part in told["says"]
    # What is missing is named with the body that would give it, and asked for.
    (missing,) = raised(answer, "missing").values()
    assert missing["rule"] == "p-no-control"
    assert "C2 or D" in missing["says"]
    assert "9862" in missing["says"]
    assert decide(client, f"consignments/{goods}", "hold", "papers awaited").status_code == 201
    seen = client.get(f"/api/consignments/{goods}").json()
    assert (seen["held"], seen["decisions"][-1]["code"]) == (True, "D5")
    assert seen["aspects"]["documents"] == {"missing": 1}
    assert {"held", "papers_open"} <= keys(client, goods)
    request = message(client, goods, "supplier")["text"]
    assert missing["says"] in request
    assert "9871" not in request


def test_a_body_of_another_scope_and_a_paper_of_another_kind_are_a_conflict(
    client: TestClient, send: Send
) -> None:
    goods = make(client, supplier="Nordfelle Trading", units_declared=9000)
    declared = {"id": new_id(), "fields": {"first_offer": "2031-03-01"}}
    path = f"/api/consignments/{goods}/declared"
    assert client.post(path, json=declared).status_code == 201
    check = confirm_all(client, send("nf-2.png", consignment_id=goods))
    match = check["holder_match"]
    # Of the model it is said that the list does not have it, which by itself is no conflict.
    assert match["state"] == "not_listed"
    assert "NF-2" in match["looked_up"]
    assert findings(check, "conflict") == []
    answer = keep_paper(client, COMPLIANCE, consignment_id=goods)
    found = raised(answer)
    assert found.keys() >= {
        "p-body-of-other-scope",
        "p-title-no-type-certificate",
        "p-no-end-date",
        "p-issued-after-offer",
        "p-no-declaration",
    }
    assert set(raised(answer, "conflict")) == {
        "p-body-of-other-scope",
        "p-title-no-type-certificate",
    }
    # The later day is a flag, with its innocent cause beside it.
    flag = found["p-issued-after-offer"]
    assert (flag["severity"], "renewal" in flag["says"]) == ("note", True)
    assert decide(client, f"consignments/{goods}", "hold_conflict").status_code == 201
    seen = client.get(f"/api/consignments/{goods}").json()
    assert (seen["outcome"], seen["decisions"][-1]["code"]) == ("conflict", "D6")
    asked = message(client, goods, "supplier")["text"]
    for paper in ("The EU type-examination certificate", "The EU declaration of conformity"):
        assert paper in asked
    # The authority and the body get what was seen, and their address comes from neither paper.
    for to, register in (("authority", "authority's own pages"), ("body", "official register")):
        draft = message(client, goods, to)
        assert register in draft["address"]
        assert "NF-2" in draft["text"]
        assert "Certificate of Compliance" in draft["text"]
        assert "9844" in draft["text"]
    # Nobody calls the paper a forgery: no finding, no report.
    report = client.get(f"/api/consignments/{goods}/report?format=json&lang=en")
    for text in (report.text, *(one["says"] for one in found.values())):
        assert not wording.judging("en", text)
