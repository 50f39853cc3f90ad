"""A short number for a consignment, made of its id on any device: the same before and after sync.

`261129-7KQ4M`: the day (UTC, year, month, day) on which the id was made, and 25 of its random bits
in the letters of Crockford's base 32, which has no I, L, O and U. Two consignments of one day share
a number about once in 33 million pairs; the id is what counts, the number is what one says aloud.
"""

import datetime as dt
import uuid

#: Letters that are told apart when read aloud or typed: Crockford's base 32 (from memory).
LETTERS = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"


def number_of(id_: str) -> str:
    """The number of a UUID. Of version 7 (RFC 9562, 5.7) the first 48 bits are milliseconds since
    1970; an id of another version has no day, and more letters in its place.

    >>> number_of("019a0b50-0000-7abc-8def-001122334455")
    '251022-36H2N'
    """
    value = uuid.UUID(id_)
    tail = _letters(value.int, 5)
    if value.version != 7:
        return f"{_letters(value.int >> 25, 6)}-{tail}"
    day = dt.datetime(1970, 1, 1, tzinfo=dt.UTC) + dt.timedelta(milliseconds=value.int >> 80)
    return f"{day:%y%m%d}-{tail}"


def _letters(bits: int, count: int) -> str:
    return "".join(LETTERS[bits >> 5 * place & 31] for place in reversed(range(count)))
