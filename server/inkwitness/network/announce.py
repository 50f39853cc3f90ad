"""The name that stays (`inkwitness-xxxx.local`) said to the room by multicast DNS (RFC 6762)."""

import logging
from collections.abc import Sequence

from zeroconf import Error, IPVersion, ServiceInfo, Zeroconf

from inkwitness.network.addresses import Address

_KIND = "_https._tcp.local."
_log = logging.getLogger(__name__)


class Announcer:
    """Answers for the name while it is open. Without multicast the numbers still work."""

    def __init__(self, name: str, port: int) -> None:
        self._name = name
        self._port = port
        self._zeroconf: Zeroconf | None = None

    def tell(self, addresses: Sequence[Address]) -> bool:
        """Say at which addresses the name is now; False where this network has no multicast."""
        self.close()
        if not addresses:
            return False
        try:
            self._zeroconf = Zeroconf(
                interfaces=[str(one) for one in addresses], ip_version=IPVersion.V4Only
            )
            label = self._name.removesuffix(".local")
            self._zeroconf.register_service(
                ServiceInfo(
                    _KIND,
                    f"{label}.{_KIND}",
                    addresses=[one.packed for one in addresses],
                    port=self._port,
                    server=f"{self._name}.",
                )
            )
        except (OSError, Error) as error:
            _log.warning("the name %s is not said to this network: %s", self._name, error)
            self.close()
            return False
        return True

    def close(self) -> None:
        """Take the name back."""
        if self._zeroconf is not None:
            self._zeroconf.close()
            self._zeroconf = None
