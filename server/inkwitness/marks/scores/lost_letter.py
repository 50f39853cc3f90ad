"""A class that may have lost its first letters: N95 may be what was seen of KN95.

Ink that is pressed in, cut, folded or crossed loses a letter whole: the rest is read surely, and
names a class of another scheme. So such a class stands only where the ground before it is plain and
other print of its own scheme backs it.
"""

import re
from collections.abc import Sequence

from inkwitness.marks.vocabulary import ClassRest
from inkwitness.reading.values import Line

#: From here on the ground before the first letter is not plain (see borders.marked_before).
NOT_PLAIN = 0.45


def longer_class(value: str, rests: Sequence[ClassRest]) -> str:
    """The class that this one may be the rest of, where one of another scheme ends so; else ''."""
    for rest in rests:
        if rest.lost and re.fullmatch(rest.regex, value):
            return rest.lost + value
    return ""


def may_have_lost_its_first_letter(
    value: str,
    line: Line,
    text_before: str,
    others: Sequence[tuple[str, str]],
    rests: Sequence[ClassRest],
) -> bool:
    """Whether a class may be the rest of a longer one.

    `value` is the class in its normal form, `text_before` what was read before it in its line,
    `others` the marks of the same item (name, normal form), `rests` what the rules say of classes
    that end as others do. True where something marks the ground
    before it (a stroke may have been read as a sign), or where no other print of its scheme stands
    beside it.
    """
    for rest in rests:
        if re.fullmatch(rest.regex, value):
            backed = any(
                name in rest.backed_by and re.match(rest.backed_by[name], other)
                for name, other in others
            )
            first = not any(sign.isalnum() for sign in text_before)
            marked = line.before > NOT_PLAIN or bool(text_before.strip())
            return not backed or (first and marked)
    return False
