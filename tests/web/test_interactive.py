"""The definition by which `tests.bench.page` calls the page interactive (Lighthouse, "Time to
Interactive", from memory), on invented visits."""

from tests.bench.page import interactive_ms


def _seen(tasks: list[tuple[float, float]], asked: list[tuple[float, float]]) -> dict[str, object]:
    spans = [{"start": start, "end": end} for start, end in asked]
    return {"tasks": tasks, "asked": spans, "paint": 900, "drawn": 950, "loaded": 700}


def test_a_page_that_is_quiet_at_once_is_interactive_when_it_is_drawn() -> None:
    assert interactive_ms(_seen([(600.0, 800.0)], [(0, 160)])) == 950


def test_a_long_task_within_five_seconds_puts_it_off_until_that_task_ends() -> None:
    assert interactive_ms(_seen([(600.0, 800.0), (3000.0, 3100.0)], [])) == 3100


def test_a_long_task_after_five_quiet_seconds_does_not_put_it_off() -> None:
    assert interactive_ms(_seen([(600.0, 800.0), (5950.0, 6100.0)], [])) == 950


def test_three_requests_at_once_are_not_quiet_and_two_are() -> None:
    task = [(4000.0, 4100.0)]
    assert interactive_ms(_seen(task, [(850.0, 1200.0)] * 3 + [(8900.0, 9000.0)] * 3)) == 4100
    assert interactive_ms(_seen([], [(850, 1200)] * 2)) == 950
