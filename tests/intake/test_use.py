"""Goods beside the site's own policy: cautions, never a permission.

The shipped example is common practice, no source (issue 24, point 5): aerosols and isolation rooms
need a respirator, source control and sterile fields exclude valves, general care a medical mask.
"""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from inkwitness import rulebook
from inkwitness.consignment.use import ForUse, Protects, cautions, protects
from inkwitness.rulebook import policy
from inkwitness.rulebook.policy import Setting
from inkwitness.yaml_text import BadRules
from tests.intake.conftest import consignment, keep_paper
from tests.intake.test_declared import declare

Send = Callable[..., dict[str, Any]]
BOOK = rulebook.shipped()
SHIPPED = policy.load(policy.shipped_file())
MASK = Protects("TYPE IIR", "medical_mask")
FFP1 = Protects("FFP1", "respirator", 80)
FFP2 = Protects("FFP2", "respirator", 94)


def keys(goods: ForUse, setting: str) -> set[str]:
    wanted = SHIPPED.setting(setting)
    assert wanted is not None
    return {one.key for one in cautions(goods, wanted)}


@pytest.mark.parametrize("setting", ["aerosol-procedures", "isolation-room"])
def test_infectious_particles_in_the_air_need_a_respirator(setting: str) -> None:
    assert keys(ForUse((MASK,)), setting) == {"less_than_wanted"}
    assert keys(ForUse((FFP1,)), setting) == {"efficiency_less"}
    assert keys(ForUse((FFP2,)), setting) == set()
    assert keys(ForUse(), setting) == {"class_not_known"}


@pytest.mark.parametrize("setting", ["source-control", "sterile-field"])
def test_valves_are_excluded_where_those_around_are_protected(setting: str) -> None:
    assert "valve" in keys(ForUse((FFP2,), valve=True), setting)
    assert "valve_not_known" in keys(ForUse((FFP2,)), setting)
    assert not {"valve", "valve_not_known"} & keys(ForUse((FFP2,), valve=False), setting)


def test_a_class_of_respirators_does_not_tell_of_fluid_resistance() -> None:
    """Health Canada, masks and respirators for health professionals: tested separately."""
    assert keys(ForUse((FFP2,), valve=False), "sterile-field") == {"fluid_not_known"}
    assert keys(ForUse((FFP2,), fluid_resistant=False), "splashes") == {"no_fluid_resistance"}
    assert keys(ForUse((FFP2,), fluid_resistant=True), "splashes") == set()


def test_one_of_two_classes_that_is_less_is_said() -> None:
    assert keys(ForUse((FFP2, MASK)), "isolation-room") == {"less_than_wanted"}


@pytest.mark.parametrize(
    ("name", "scheme", "kind", "efficiency"),
    [
        ("N95", "us-niosh", "respirator", 95),
        ("FFP2 NR", "eu-en149", "respirator", 94),
        ("FFP3", "eu-en149", "respirator", 99),
    ],
)
def test_what_a_class_is_comes_from_its_scheme(
    name: str, scheme: str, kind: str, efficiency: float
) -> None:
    """42 CFR 84.179 (95 %); EN 149:2001+A1:2009, 7.9.2 (6 and 1 % penetration)."""
    found = protects(name, [scheme], BOOK)
    assert found is not None
    assert (found.kind, found.efficiency) == (kind, efficiency)
    assert protects(name, [], BOOK) is None


def test_the_goods_lie_beside_the_shipped_example(client: TestClient, send: Send) -> None:
    goods = consignment(client)
    send("en-face.png", consignment_id=goods)
    before = client.get(f"/api/consignments/{goods}/use").json()
    assert (before["setting"], before["cautions"]) == ("", [])
    declare(client, goods, fields={"use": "sterile-field"})
    seen = client.get(f"/api/consignments/{goods}/use").json()
    assert {one["key"] for one in seen["cautions"]} == {"valve_not_known", "fluid_not_known"}
    assert "common practice, no source" in seen["made_by"]
    assert "no permission" in seen["no_permission"]
    assert any("microwaves can ruin the filter" in line for line in seen["care"])
    other = client.get(f"/api/consignments/{goods}").json()
    assert other["outcome"] == "no_conflict_found"


def test_a_site_edits_its_own_policy_in_the_data_folder(
    client: TestClient, tmp_path: Path, send: Send
) -> None:
    own = "{made_by: Sollanby, settings: [{id: counter, says: At our counter, least: respirator}]}"
    (tmp_path / "data" / policy.FILE).write_text(own, encoding="utf-8")
    goods = consignment(client)
    declare(client, goods, fields={"use": "counter"})
    seen = client.get(f"/api/consignments/{goods}/use").json()
    assert seen["settings"] == [{"id": "counter", "says": "At our counter"}]
    assert seen["made_by"] == "Sollanby"
    assert [one["key"] for one in seen["cautions"]] == ["class_not_known"]


def test_a_site_names_the_papers_without_which_it_takes_nothing(
    client: TestClient, tmp_path: Path
) -> None:
    """Need H18: no purchase without an invoice, whatever the goods are meant for."""
    own = "{made_by: Sollanby, papers: [invoice], settings: [{id: a, says: A, least: none}]}"
    (tmp_path / "data" / policy.FILE).write_text(own, encoding="utf-8")
    goods = consignment(client)
    (told,) = client.get(f"/api/consignments/{goods}/use").json()["cautions"]
    assert (told["key"], told["says"].endswith("invoice.")) == ("paper_wanted", True)
    keep_paper(client, {"kind": "invoice", "title": "Invoice 7"}, consignment_id=goods)
    assert client.get(f"/api/consignments/{goods}/use").json()["cautions"] == []


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("{made_by: x, settings: []}", "at least one setting"),
        ("{made_by: x, papers: [bill], settings: [{id: a, says: b, least: none}]}", "papers"),
        ("{made_by: x, settings: [{id: a, says: b, least: helmet}]}", "least"),
        ("{made_by: x, settings: [{id: A b, says: b, least: none}]}", "kebab case"),
        ("{made_by: x, settings: [{id: a, says: b, lest: none}]}", "lest"),
    ],
)
def test_a_policy_that_cannot_be_used_is_refused_with_its_line(
    tmp_path: Path, text: str, says: str
) -> None:
    path = tmp_path / "site-policy.yaml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(BadRules, match=says) as caught:
        policy.load(path)
    assert "site-policy.yaml:1" in caught.value.message


def test_a_setting_that_asks_for_nothing_cautions_of_nothing() -> None:
    assert cautions(ForUse(), Setting("training", "Training", "none")) == ()
