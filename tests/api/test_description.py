"""The API's own description: what the page's types are made from."""

import json
import re
import subprocess
import sys
from typing import Any

import pytest

from inkwitness.api.app import create_app
from inkwitness.api.describe import shapes
from inkwitness.api.settings import Settings
from inkwitness.api.shapes.description import SETS
from inkwitness.photo.containers import KINDS, media_type
from inkwitness.photo.decode import MEDIA_TYPES


@pytest.fixture(scope="module")
def told() -> dict[str, Any]:
    return create_app(Settings()).openapi()


def test_no_two_shapes_have_one_name(told: dict[str, Any]) -> None:
    """FastAPI puts the module's path before a name that two classes share."""
    names = told["components"]["schemas"]
    assert "CheckOut" in names
    assert [name for name in names if "__" in name or name.startswith("_")] == []


def test_a_set_of_words_stands_once_under_its_name(told: dict[str, Any]) -> None:
    schemas = told["components"]["schemas"]
    for name, values in SETS.items():
        assert schemas[name]["enum"] == list(values)
    written = json.dumps({name: one for name, one in schemas.items() if name not in SETS})
    written += json.dumps(told["paths"])
    again = [name for name, values in SETS.items() if f'"enum": {json.dumps(values)}' in written]
    assert again == []
    assert schemas["ItemOut"]["properties"]["surface"]["$ref"].endswith("/Surface")


def test_every_reference_leads_somewhere(told: dict[str, Any]) -> None:
    for document in (told, shapes(told)):
        asked = set(re.findall(r'"#/components/schemas/([^"]+)"', json.dumps(document)))
        assert asked
        assert asked <= document["components"]["schemas"].keys()


def test_the_command_writes_it_and_starts_nothing() -> None:
    made = subprocess.run(
        [sys.executable, "-m", "inkwitness.api.describe", "shapes"],
        capture_output=True,
        check=True,
        text=True,
    )
    assert "UnitOut" in json.loads(made.stdout)["components"]["schemas"]


def test_the_kinds_of_photo_are_those_that_are_opened() -> None:
    assert set(MEDIA_TYPES.values()) == set(KINDS)
    assert media_type(b"\xff\xd8\xff") in KINDS
