"""Ports for the servers that tests start, which nobody else takes before they listen."""

import itertools
import os
import socket

#: Below what Linux gives out by itself (32768 on: ip(7), ip_local_port_range), so that no other
#: connection of these tests sits on one; a stretch for each process that runs tests.
_FIRST, _STRETCH = 20_000, 1000
#: Two runs at once on one machine begin at different places.
_COUNTED = itertools.count(os.getpid())


def free_port(places: int = 1) -> int:
    """A port that nobody listens on, and so are the `places` - 1 behind it."""
    process = int(os.environ.get("PYTEST_XDIST_WORKER", "gw0").removeprefix("gw"))
    while True:
        step = 4 * next(_COUNTED) % _STRETCH
        port = _FIRST + _STRETCH * (process % 12) + step
        if all(_free(port + place) for place in range(places)):
            return port


def _free(port: int) -> bool:
    with socket.socket() as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind(("", port))
        except OSError:
            return False
        return True
