"""The network as it is now: addresses, certificate and name follow when the hotspot changes."""

import datetime as dt
from collections.abc import Callable
from pathlib import Path

from inkwitness.network import authority as authorities
from inkwitness.network.addresses import Address, Reach, as_texts, private_addresses
from inkwitness.network.announce import Announcer
from inkwitness.network.authority import Authority


class Room:
    """What a server on the local network answers to, kept up to date by `look`.

    `port` is where https is, `plain_port` where a phone gets the authority and uses tickets.
    """

    def __init__(
        self,
        folder: Path,
        port: int,
        plain_port: int,
        *,
        clock: Callable[[], dt.datetime],
        addresses: Callable[[], list[Address]] = private_addresses,
    ) -> None:
        self._clock = clock
        self._find = addresses
        self._ports = (port, plain_port)
        self.authority: Authority
        self.authority, self.made_now = authorities.open_authority(folder, clock())
        self._addresses: tuple[Address, ...] = ()
        self._announcer = Announcer(self.authority.name, port)
        self.heard = False
        self.look()

    def look(self) -> bool:
        """Look at the network again; whether there is a new certificate to serve from now on."""
        now = self._clock()
        found = tuple(self._find())
        if found != self._addresses or not self.heard:
            self._addresses = found
            self.heard = self._announcer.tell(found)
        return authorities.certify(self.authority, found, now)

    def names(self) -> set[str]:
        """Host names and addresses that are ours now."""
        return {*self.authority.names, *as_texts(self._addresses)}

    def reach(self) -> Reach:
        """The same as addresses to scan: the name that stays, then the numbers."""
        port, plain_port = self._ports
        texts = as_texts(self._addresses)
        named = [self.authority.name] if self.heard else []
        return Reach(
            origins=tuple(f"https://{one}:{port}" for one in (*named, *texts))
            or (f"https://localhost:{port}",),
            plain=f"http://{texts[0]}:{plain_port}" if texts else "",
            fingerprint=self.authority.fingerprint,
        )

    def close(self) -> None:
        """Take the name back."""
        self._announcer.close()
