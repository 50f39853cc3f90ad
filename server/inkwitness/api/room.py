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


def check_room(app: Services) -> None:
    """What is taken must be read and kept. Raises StorageTrouble, and TooMany where many wait."""
    check_space(app)
    with app.store.database.reading() as conn:
        waiting, _ = jobs.waiting(conn)
    if waiting >= app.settings.most_waiting:
        raise TooMany("too_many_waiting", waiting=waiting)
