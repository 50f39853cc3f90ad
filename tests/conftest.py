"""How the tests are spread over processes, and what they share in one."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import settings
from playwright.sync_api import Playwright, sync_playwright

import inkwitness  # noqa: F401  (before any test imports the readers' runtime: see its first lines)

# A time limit on each example would be a timed assertion: on a busy machine it says nothing.
# The same examples each time: a change is judged, not the day's luck. Other examples are sought by
# `pytest --hypothesis-profile=seeking`.
settings.register_profile("untimed", deadline=None, derandomize=True)
settings.register_profile("seeking", deadline=None, derandomize=False)
settings.load_profile("untimed")

TESTS = Path(__file__).parent
#: Tests that go through the same code a thousand times, or that spend their time in a browser or
#: in drawing: coverage doubles their time, and others reach all that they reach.
LONGEST = ("web", "access", "records/test_stored.py", "endurance", "renderer")
UNCOUNTED = (
    "access",
    "bench",
    "renderer",
    "web",
    "scenarios",
    "check/test_kinds_of_layout.py",
    "records/test_stored.py",
    "rulebook/test_examples.py",
    "rulebook/test_messages.py",
)


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Whole files go to a process each (`--dist loadfile`), those that take longest first."""
    for item in items:
        if _place(item).startswith(UNCOUNTED):
            item.add_marker(pytest.mark.no_cover)
    items.sort(key=lambda item: not _place(item).startswith(LONGEST))


def _place(item: pytest.Item) -> str:
    return item.path.relative_to(TESTS).as_posix()


@pytest.fixture(scope="session")
def playwright() -> Iterator[Playwright]:
    """What drives the browsers, once a process: a second one beside it is refused."""
    with sync_playwright() as opened:
        yield opened
