"""By which addresses this server is reached now, for QR codes and the page."""

from dataclasses import dataclass


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
