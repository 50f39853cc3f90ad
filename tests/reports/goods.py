"""A consignment with papers, answers, questions of intake and findings set aside (all invented)."""

from typing import Any, NamedTuple

from starlette.testclient import TestClient

from inkwitness.records.store import new_id
from tests.api.conftest import png, wait_for
from tests.api.test_consignments import make, plan
from tests.api.test_units import decide
from tests.intake.conftest import DECLARATION, TYPE, keep_paper
from tests.scenarios.conftest import confirm_all

SUPPLIER = {"party": "supplier", "name": "Nordfelle Trading", "way": "by mail"}
HOLDER = {"party": "holder", "name": "Halcyra Respire, quality desk", "way": "by post"}
ANSWER = "Lot H1 is ours.\nLot H9 is not; we never made it."
WHY = "The four letters are the pattern of the cloth, seen under a lamp"


class Goods(NamedTuple):
    """The server, the consignment, and its units by label."""

    client: TestClient
    id: str
    units: dict[str, str]


def post(client: TestClient, path: str, **body: Any) -> Any:
    answer = client.post(f"/api/{path}", json={"id": new_id(), **body})
    assert answer.status_code == 201, answer.text
    return answer.json()


def rich(client: TestClient) -> Goods:
    """Everything that a consignment can have had said about it, kept through the API."""
    lots = [{"code": "H1", "units": 300, "cartons": 6}, {"code": "H2", "units": 100, "cartons": 2}]
    goods = make(
        client,
        label="FICTIONAL delivery",
        supplier="Nordfelle Trading",
        reference="PO 1188",
        units_declared=400,
        cartons_declared=8,
        lots=lots,
    )
    assert plan(client, goods).status_code == 201
    drawn = client.get(f"/api/consignments/{goods}").json()["drawn"]
    names = [one["place"] for one in drawn[:3]]
    made = {}
    sides = {
        names[0]: ("hr-f2.png",),
        names[1]: ("hr-f2.png",),
        names[2]: ("hr-f2.png",),
        "outside the draw": ("walk-in.png", "walk-in-box.png"),
    }
    for number, (label, photos) in enumerate(sides.items()):
        unit = new_id()
        made[label] = unit
        for turn, name in enumerate(photos):
            form = {
                "id": new_id(),
                "unit_id": unit,
                "label": label,
                "consignment_id": goods,
                "whole": "yes",
                "surface": "inner_box" if "box" in name else "facepiece",
            }
            data = png(40 + number, 30 + turn, "grey")
            file = {"file": (name, data, "image/png")}
            taken = client.post("/api/photos", data=form, files=file).json()
            assert wait_for(client, taken["job_id"])["state"] == "done"
            if number < 2:
                confirm_all(client, taken)
    declare(client, goods)
    typed(client, goods)
    answered(client, goods)
    return Goods(client, goods, made)


def declare(client: TestClient, goods: str) -> None:
    """What is said of the goods at intake; most questions stay open."""
    post(
        client,
        f"consignments/{goods}/declared",
        fields={
            "goods_from": "purchase",
            "product": "HR-F2 half mask",
            "filter_class": "FFP2",
            "use": "sterile-field",
            "region": "EU",
            "supply_condition": "contingency",
            "pallets": 1,
            "seals": 7,
            "first_offer": "2031-03-01",
            "identity": "not_confirmed",
            "valve": "yes",
        },
        answers={"why-now": "Last carton, cash today.", "maker": "Halcyra Respire"},
        signals={
            "price-low": {"seen": "yes", "note": "a third of the usual"},
            "bank-changed": {"seen": "no", "note": ""},
        },
    )


def typed(client: TestClient, goods: str) -> None:
    """A certificate of another model, corrected once, and a declaration; no paper on control."""
    first = new_id()
    paper = {**TYPE, "product": "HR-F20", "lots": ["H1", "H2"], "unreadable": ["signed_by"]}
    files = {"files": ("certificate.pdf", b"%PDF-1.4 FICTIONAL", "application/pdf")}
    answer = keep_paper(client, {**paper, "product": "HR-F3"}, consignment_id=goods, id=first)
    assert answer.status_code == 201, answer.text
    why = "the last figure was typed wrong"
    keep_paper(client, paper, files=files, consignment_id=goods, replaces=first, reason=why)
    keep_paper(client, DECLARATION, consignment_id=goods)


def answered(client: TestClient, goods: str) -> None:
    """A message to the supplier without an answer; a question to the holder with one."""
    path = f"consignments/{goods}/dispatches"
    post(client, path, kind="message", recipients=[SUPPLIER], text="Please send the papers.")
    asked = post(client, path, kind="message", recipients=[HOLDER], text="Is this yours?")
    told = {"answers": asked["dispatch_id"], "about": "differs"}
    post(client, path, kind="answer", recipients=[HOLDER], text=ANSWER, **told)


def set_aside(goods: Goods, label: str, rule: str) -> dict[str, Any]:
    """A named person sets every finding of a rule on a unit aside; the last of them."""
    seen = goods.client.get(f"/api/units/{goods.units[label]}").json()
    checks = [seen["unit_check"]["check"]] if seen["unit_check"] else []
    found = checks or [one["check"] for one in seen["checks"]]
    wanted = {one["id"] for check in found for one in check["findings"] if one["rule"] == rule}
    assert wanted, [one["rule"] for check in found for one in check["findings"]]
    last: dict[str, Any] = {}
    for finding in wanted:
        path = f"units/{goods.units[label]}/answers"
        last = post(goods.client, path, finding=finding, kind="own_words", reason=WHY)
    return last


def hold(goods: Goods) -> None:
    assert decide(goods.client, f"consignments/{goods.id}", "hold", "asked").status_code == 201
