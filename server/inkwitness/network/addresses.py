"""This machine's private addresses and names, as they are now: a hotspot changes them."""

import ipaddress
import re
import socket
from collections.abc import Iterable
from dataclasses import dataclass

import ifaddr

# IPv4: RFC 1918 and, for a cable between two machines, RFC 3927. IPv6: RFC 4193.
PRIVATE = (
    ipaddress.ip_network("10.0.0.0/8"),
    ipaddress.ip_network("172.16.0.0/12"),
    ipaddress.ip_network("192.168.0.0/16"),
    ipaddress.ip_network("169.254.0.0/16"),
    ipaddress.ip_network("fc00::/7"),
)
_LABEL = re.compile(r"[a-z0-9]([a-z0-9-]{0,61}[a-z0-9])?")
# Networks that containers and virtual machines make on one host; no phone is there.
_INSIDE = ("docker", "br-", "veth", "virbr", "podman", "cni")

Address = ipaddress.IPv4Address | ipaddress.IPv6Address


@dataclass(frozen=True, slots=True)
class Reach:
    """Where others find this server.

    `origins` are addresses of the page, the one that stays first. `plain` is where a phone without
    our authority gets it, or hands in photos by a ticket; empty where there is none. `fingerprint`
    is the SHA-256 of the authority's certificate in groups of four hex digits; empty likewise.
    """

    origins: tuple[str, ...]
    plain: str = ""
    fingerprint: str = ""


def private_addresses() -> list[Address]:
    """IPv4 addresses by which others in the room reach this machine, most likely first.

    The server listens on IPv4 alone: a phone in the room always has it, and a link-local IPv6
    address cannot be written into a browser.
    """
    found = {
        (rank(adapter.nice_name), address)
        for adapter in ifaddr.get_adapters()
        for one in adapter.ips
        if isinstance(one.ip, str)
        for address in [ipaddress.ip_address(one.ip)]
        if is_private(address)
    }
    return [address for _, address in sorted(found)]


def rank(adapter: str) -> int:
    """0 for an adapter that phones may be on, 1 for one inside this machine."""
    return 1 if adapter.startswith(_INSIDE) else 0


def is_private(address: Address) -> bool:
    """Whether an address may stand in our certificate."""
    return any(address in network for network in PRIVATE if network.version == address.version)


def host_label() -> str:
    """This machine's own name as one label, or empty where it has none that fits a certificate."""
    label = socket.gethostname().partition(".")[0].lower()
    return label if _LABEL.fullmatch(label) and label != "localhost" else ""


def as_texts(addresses: Iterable[Address]) -> tuple[str, ...]:
    """Addresses as they stand in a URL."""
    return tuple(f"[{one}]" if one.version == 6 else str(one) for one in addresses)
