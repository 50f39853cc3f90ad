"""A class that may have lost its first letters: N95 may be what was seen of KN95.

Ink that is pressed in, cut, folded or crossed loses a letter whole: the rest is read surely, and
names a class of another scheme. So such a class stands only where the ground before it is plain and
other print of its own scheme backs it.
"""

import re
from collections.abc import Sequence

from inkwitness.reading.values import Line

#: From here on the ground before the first letter is not plain (see borders.marked_before).
NOT_PLAIN = 0.45
#: What a class may be the rest of, and the print that backs it as it stands: marks by name, with
#: the values that count (an agency's word may be misread by a letter). Sources: the classes and
#: marks of 42 CFR 84, GB 2626-2019, EN 149:2001+A1:2009 and AS/NZS 1716:2012, as in rules/.
_REST_OF: tuple[tuple[str, str, tuple[tuple[str, str], ...]], ...] = (
    (
        r"[NP](?:95|99|100)",
        "K",
        (("agency", ".*(?:NI|IO)"), ("approval_number", "TC-"), ("standard", "42 ?CFR|NOM-?116")),
    ),
    (
        r"R(?:95|99|100)",
        "",
        (("agency", ".*(?:NI|IO)"), ("approval_number", "TC-"), ("standard", "42 ?CFR|NOM-?116")),
    ),
    (r"P[123]", "FF", (("standard", "AS/?NZS ?1716|AS ?1716|EN ?143|EN ?12941|EN ?12942"),)),
    (r"FP[123]", "F", ()),
)


def longer_class(value: str) -> str:
    """The class that this one may be the rest of, where one of another scheme ends so; else ''."""
    for rest, lost, _ in _REST_OF:
        if lost and re.fullmatch(rest, value):
            return lost + value
    return ""


def may_have_lost_its_first_letter(
    value: str, line: Line, text_before: str, others: Sequence[tuple[str, str]]
) -> bool:
    """Whether a class may be the rest of a longer one.

    `value` is the class in its normal form, `text_before` what was read before it in its line,
    `others` the marks of the same item (name, normal form). True where something marks the ground
    before it (a stroke may have been read as a sign), or where no other print of its scheme stands
    beside it.
    """
    for rest, _, backing in _REST_OF:
        if re.fullmatch(rest, value):
            backed = any(
                mark == name and re.match(form, other)
                for mark, other in others
                for name, form in backing
            )
            first = not any(sign.isalnum() for sign in text_before)
            marked = line.before > NOT_PLAIN or bool(text_before.strip())
            return not backed or (first and marked)
    return False
