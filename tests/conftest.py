"""How the tests are spread over processes, and what they share in one."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Playwright, sync_playwright

import inkwitness  # noqa: F401  (before any test imports the readers' runtime: see its first lines)

TESTS = Path(__file__).parent


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """One process has the page, its server and its browser; each other file stays whole.

    The page takes longest, so it comes first.
    """
    for item in items:
        item.add_marker(pytest.mark.xdist_group(_group(item)))
    items.sort(key=lambda item: _group(item) != "page")


def _group(item: pytest.Item) -> str:
    file = item.path.relative_to(TESTS)
    return "page" if file.parts[0] == "web" else str(file)


@pytest.fixture(scope="session")
def playwright() -> Iterator[Playwright]:
    """What drives the browsers, once a process: a second one beside it is refused."""
    with sync_playwright() as opened:
        yield opened
