"""`/sampling`: the same answers as the command line, on the wire."""

from collections.abc import Iterator

import pytest
from starlette.testclient import TestClient

from inkwitness.api.app import create_app
from tests.api.conftest import settings


@pytest.fixture(scope="module")
def client(tmp_path_factory: pytest.TempPathFactory) -> Iterator[TestClient]:
    with TestClient(create_app(settings(tmp_path_factory.mktemp("sampling")))) as opened:
        yield opened


def test_plan(client):
    got = client.get("/api/sampling/plan", params={"lot": 100_000, "level": "S-4", "aql": "0.40"})
    answer = got.json()
    assert got.status_code == 200
    assert {key: answer[key] for key in ("letter", "n", "accept", "reject", "plan_letter")} == {
        "letter": "J",
        "n": 125,
        "accept": 1,
        "reject": 2,
        "plan_letter": "K",
    }
    assert "plan.only_for" in [statement["key"] for statement in answer["statements"]]


def test_discovery(client):
    answer = client.get(
        "/api/sampling/discovery",
        params={"lot": 40_000, "nonconforming_share": "1 %", "cartons": 100},
    ).json()
    assert (answer["n"], answer["nonconforming"], answer["per_carton"]) == (297, 400, 3)
    assert answer["chance"] >= 0.95
    assert answer["reason"] is None
    assert answer["statements"][0]["values"]["n"] == 297


def test_discovery_that_cannot_be_done(client):
    answer = client.get(
        "/api/sampling/discovery", params={"lot": 100, "nonconforming": 1, "sensitivity": 0.9}
    ).json()
    assert answer["n"] is None
    assert answer["reason"].startswith("No sample size can do it.")


def test_cartons(client):
    answer = client.get(
        "/api/sampling/cartons",
        params={"cartons": 100, "per_carton": 200, "nonconforming_cartons": 5},
    ).json()
    assert (answer["plan"]["opened"], answer["plan"]["units"]) == (45, 45)
    assert answer["few_cartons"]["opened"] == 1
    assert answer["every_carton"]["opened"] == 100
    assert answer["few_cartons"]["chance"] < answer["plan"]["chance"]


def test_bound(client):
    answer = client.get(
        "/api/sampling/bound", params={"lot": 5000, "looked_at": 200, "differed": 0, "seed": "s"}
    ).json()
    assert (answer["at_most"], answer["share"], answer["at_least"]) == (72, 0.0144, 0)
    assert "(seed s)" in answer["statements"][0]["text"]
    cartons = {"design": "cartons", "cartons": 100, "opened": 100}
    answer = client.get(
        "/api/sampling/bound", params={"lot": 40_000, "looked_at": 300, "differed": 0, **cartons}
    ).json()
    assert (answer["at_most"], answer["nonconforming_cartons_at_most"]) == (396, 0)
    process = client.get("/api/sampling/bound", params={"looked_at": 200, "differed": 1}).json()
    assert process["at_most"] is None
    assert process["statements"][0]["key"] == "after.hold"


def test_estimate(client):
    answer = client.get(
        "/api/sampling/estimate",
        params={"looked_at": 120, "flagged": 25, "sensitivity": 0.9, "specificity": 0.99},
    ).json()
    # R package RSurveillance, tests (read)
    assert answer["share"] == pytest.approx(0.2228464, abs=1e-7)


def test_curve(client):
    answer = client.get(
        "/api/sampling/curve", params={"lot": 5000, "n": 290, "nonconforming_share": "0.01"}
    ).json()
    assert answer["points"][0] == {"nonconforming": 0, "share": 0.0, "chance": 1.0}
    assert answer["marked"][0]["nonconforming"] == 50
    assert answer["svg"].startswith("<svg ")


def test_draw(client):
    asked = {"units": ["C001..C020"], "n": 5, "reserve": 2}
    answer = client.post(
        "/api/sampling/draw",
        json={**asked, "seed": "consignment 2026-117;dice 4 1 6 2 5 3 3 6 1 2"},
    ).json()
    assert [unit["unit"] for unit in answer["units"]] == ["C008", "C017", "C001", "C019", "C016"]
    assert [unit["rank"] for unit in answer["reserve"]] == [6, 7]
    assert answer["frame"] == 20
    assert answer["statements"][0]["key"] == "draw.rule"


@pytest.mark.parametrize(
    ("path", "params"),
    [
        ("plan", {"lot": 100, "aql": "1.6"}),
        ("discovery", {"lot": 100, "nonconforming_share": 0}),
        ("discovery", {"lot": 100, "nonconforming_share": 0.1, "confidence": 1}),
        ("cartons", {"cartons": 0, "per_carton": 10}),
        ("bound", {"lot": 100, "looked_at": 101, "differed": 0}),
        ("estimate", {"looked_at": 9, "flagged": 1, "sensitivity": 0.5, "specificity": 0.5}),
        ("curve", {"lot": 100, "n": -1}),
    ],
)
def test_bad_input_is_answered_with_our_own_error(client, path, params):
    answer = client.get(f"/api/sampling/{path}", params=params)
    assert (answer.status_code, answer.json()["error"]["code"]) == (422, "bad_input")
    assert answer.json()["error"]["message"]
