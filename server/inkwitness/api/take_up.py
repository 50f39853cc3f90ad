"""Re-checking against the edition of the list in force, taken up at a start where it was cut off.

Until it is done the gate of a release names the units that it waits for, so nothing is let go
meanwhile.
"""

import logging
import threading

from inkwitness.api.deps import Services
from inkwitness.errors import InkwitnessError
from inkwitness.records import chain, lists
from inkwitness.records.chain import WriteContext
from inkwitness.records.tables import list_editions
from inkwitness.records.trouble import trouble
from inkwitness.use_cases.judged import rechecks

_log = logging.getLogger(__name__)


class _Stopped(Exception):
    """The server ends; what was re-checked so far is kept."""


class TakeUp:
    """Looks once, in the background, whether stock was left behind, and re-checks it."""

    def __init__(self, services: Services) -> None:
        self._services = services
        self._stopping = threading.Event()
        self._thread = threading.Thread(target=self._work, name="re-checking", daemon=True)

    def start(self) -> None:
        """Begin in the background."""
        self._thread.start()

    def stop(self) -> None:
        """End after the photos that are under way; a later start goes on."""
        self._stopping.set()
        if self._thread.ident is not None:
            self._thread.join()

    def _go_on(self, done: int, waiting: int) -> None:
        if self._stopping.is_set():
            raise _Stopped(f"{done} of {waiting}")

    def _work(self) -> None:
        app = self._services
        try:
            with app.store.database.reading() as conn:
                left = lists.not_compared(conn)
                if not left:
                    return
                accepted = chain.entries(conn, list_editions)[-1]
                holder_list = lists.edition(conn, accepted.content["edition"])
            _log.info("%d photos are compared with the newest edition of the list", len(left))
            rechecks.recheck_all(
                app.store.database,
                app.judge(),
                accepted.id,
                holder_list,
                # who put the edition in force had everything re-checked with it
                WriteContext(accepted.context.actor, app.clock()),
                today=app.today(),
                progress=self._go_on,
            )
        except _Stopped as left_at:
            _log.info("Re-checking goes on at the next start: %s", left_at)
        except InkwitnessError as error:
            _log.error("Re-checking stopped; take it up: %s", error)
        except Exception as error:
            if trouble(error) is None:
                raise
            _log.error("Re-checking stopped; take it up: %s", error)
