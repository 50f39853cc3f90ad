"""Whether there is room for what somebody sends: space on the disk, and among what waits."""

import shutil

from inkwitness.api.deps import Services
from inkwitness.api.errors import TooMany
from inkwitness.errors import StorageTrouble
from inkwitness.jobs import queue as jobs


def check_space(app: Services) -> None:
    """Raise StorageTrouble where a file would take the space for people's words."""
    free = shutil.disk_usage(app.settings.data).free
    if free < app.settings.least_free_mb * 1_000_000:
        raise StorageTrouble("disk_nearly_full", "no_space", free=free // 1000000)


def check_room(app: Services, actor_id: str = "") -> None:
    """What is taken must be read and kept. Raises StorageTrouble, and TooMany where many wait.

    One who sends leaves a quarter of the places to the others.
    """
    check_space(app)
    most = app.settings.most_waiting
    with app.store.database.reading() as conn:
        waiting, _ = jobs.waiting(conn)
        own = jobs.waiting_of(conn, actor_id) if actor_id else 0
    if waiting >= most:
        raise TooMany("too_many_waiting", waiting=waiting)
    if own >= max(1, most * 3 // 4):
        raise TooMany("too_many_of_yours", waiting=own)
