"""The language that an error is told in: the one asked for, else the one that the browser names.

Routes take `lang`; an error may be older than its route (a name that is not ours, a body that is
too large), so it looks at the address and the headers itself. Source for `Accept-Language`: RFC
9110, 12.5.4, with the lookup of RFC 4647, 3.4, by first subtag: `pt-BR` is answered in `pt`.
"""

from typing import cast, get_args
from urllib.parse import parse_qs

from starlette.types import Scope

from inkwitness.phrases import Language

_SPOKEN = get_args(Language)
#: Names of languages looked at in one header; browsers send a handful.
_MOST_NAMED = 20


def language_of(scope: Scope) -> Language:
    """The language for whoever sent this request: `lang`, else `Accept-Language`, else English."""
    asked = parse_qs(scope.get("query_string", b"").decode("latin-1")).get("lang", [])
    if asked and asked[-1] in _SPOKEN:
        return cast(Language, asked[-1])
    named = [value for name, value in scope["headers"] if name == b"accept-language"]
    return accepted(b",".join(named).decode("latin-1"))


def accepted(header: str) -> Language:
    """The language spoken here that a reader likes best; English where there is none.

    >>> accepted("de-CH, hi;q=0.5, pt-BR;q=0.8, fr;q=0")
    'pt'
    """
    liked: list[tuple[float, str]] = []
    for part in header.split(",")[:_MOST_NAMED]:
        name, *about = part.split(";")
        spoken = name.strip().lower().partition("-")[0]
        weight = next((one.strip()[2:] for one in about if one.strip().startswith("q=")), "1")
        if spoken in _SPOKEN and weight.replace(".", "", 1).isdecimal() and float(weight) > 0:
            liked.append((float(weight), spoken))
    # of equals the first, as browsers order them
    return cast(Language, max(liked, key=lambda one: one[0], default=(0.0, "en"))[1])
