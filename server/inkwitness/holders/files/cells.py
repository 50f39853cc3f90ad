"""Cells into values: several in one cell, dates, numbers; and what spreadsheets do to them.

Our own format parts several values with `;`, the models of a private label with `,` after
`name:`, and puts a backslash before a sign that belongs to the text.
"""

import datetime as dt
import re
import unicodedata
from collections.abc import Iterable

from inkwitness.holders.values import PrivateLabel, Status

_RUNS = "=+-@\t\r＝＋－＠"
_MONTHS = "jan feb mar apr may jun jul aug sep oct nov dec mrz mai okt dez"
_TURNED_TO_DATE = re.compile(
    rf"(?:\d{{1,2}}[-. ](?:{'|'.join(_MONTHS.split())})[a-z]*(?:[-. ]\d{{2,4}})?"
    rf"|(?:{'|'.join(_MONTHS.split())})[a-z]*[-. ]\d{{2,4}}"
    r"|\d{4}-\d{2}-\d{2}(?:[ T][\d:.]+)?|\d{1,2}/\d{1,2}/\d{2,4})",
    re.IGNORECASE,
)
_EXPONENT = re.compile(r"\d(?:[.,]\d+)?E[+-]\d+", re.IGNORECASE)
_ISO = re.compile(r"\d{4}-\d{2}-\d{2}(?:[ T]00:00(?::00)?)?")
_DATE_WORDS = re.compile(r"(\d{1,2})[- ]([A-Za-z]{3})[a-z]*[- ](\d{4})")
_STATUS_WORDS: dict[str, Status] = {
    "current": "current",
    "active": "current",
    "valid": "current",
    "expired": "expired",
    "lapsed": "expired",
    "rescinded": "rescinded",
    "revoked": "rescinded",
    "withdrawn": "rescinded",
    "cancelled": "rescinded",
    "canceled": "rescinded",
    "suspended": "suspended",
    "unknown": "unknown",
    "": "unknown",
}


def clean(text: str) -> str:
    """Text in composed form, white space as single spaces, no control or invisible signs."""
    if text.isascii() and text.isprintable() and "  " not in text:
        return text.strip()
    shown = (
        " " if letter.isspace() else letter
        for letter in text
        if letter.isspace() or unicodedata.category(letter) not in ("Cc", "Cf", "Cs", "Co", "Cn")
    )
    return " ".join(unicodedata.normalize("NFC", "".join(shown)).split())


def guarded(text: str) -> str:
    """Text that no spreadsheet runs as a formula: an apostrophe before what could be one."""
    if text[:1] and (text[0] in _RUNS or (text[0] == "'" and text[1:2] and text[1] in _RUNS + "'")):
        return "'" + text
    return text


def unguarded(text: str) -> str:
    """The text that `guarded` was given."""
    if len(text) > 1 and text[0] == "'" and text[1] in _RUNS + "'":
        return text[1:]
    return text


def joined(values: Iterable[str]) -> str:
    """Several values for one cell of our own format."""
    return "; ".join(_escape(value, "\\;") for value in values)


def split(text: str, *, own: bool, commas: bool = False) -> tuple[str, ...]:
    """The values of one cell; in tables of others also one a line, or with commas."""
    if own:
        return _distinct(_unescape(piece) for piece in _pieces(text, ";"))
    return _distinct(re.split(r"[;\n\r,]" if commas else r"[;\n\r]", text))


def joined_labels(labels: Iterable[PrivateLabel]) -> str:
    """Private labels for one cell of our own format: `Name: model, model; Name`."""
    texts = []
    for label in labels:
        models = ", ".join(_escape(model, "\\;,") for model in label.models)
        texts.append(_escape(label.name, "\\;:,") + (f": {models}" if models else ""))
    return "; ".join(texts)


def split_labels(text: str, *, own: bool) -> tuple[PrivateLabel, ...]:
    """The private labels of one cell."""
    labels: dict[str, PrivateLabel] = {}
    for piece in _pieces(text, ";") if own else re.split(r"[;\n\r]", text):
        name, *rest = _pieces(piece, ":") if own else piece.split(":", 1)
        tail = ":".join(rest)
        models = _pieces(tail, ",") if own else tail.split(",")
        cleaned = clean(_unescape(name) if own else name)
        if cleaned:
            found = _distinct(_unescape(model) if own else model for model in models)
            have = labels[cleaned].models if cleaned in labels else ()
            labels[cleaned] = PrivateLabel(cleaned, tuple(dict.fromkeys((*have, *found))))
    return tuple(labels.values())


def date_of(text: str) -> dt.date | None:
    """A date as 2031-05-04 or 4 May 2031; None for anything else: 4/5/2031 has two readings."""
    if _ISO.fullmatch(text):
        try:
            return dt.date.fromisoformat(text[:10])
        except ValueError:
            return None
    words = _DATE_WORDS.fullmatch(text)
    if words is not None and words.group(2).lower() in _MONTHS.split()[:12]:
        month = _MONTHS.split().index(words.group(2).lower()) + 1
        try:
            return dt.date(int(words.group(3)), month, int(words.group(1)))
        except ValueError:
            return None
    return None


def status_of(text: str) -> Status | None:
    """The status that a word stands for; None for a word that is not known."""
    return _STATUS_WORDS.get(text.casefold())


def turned_to_date(text: str) -> bool:
    """Whether a text looks like what spreadsheets make of a model such as 3-95: a date."""
    return _TURNED_TO_DATE.fullmatch(text) is not None


def turned_to_exponent(text: str) -> bool:
    """Whether a text looks like what spreadsheets make of 12E4 or of long digits: 1.2E+05."""
    return _EXPONENT.fullmatch(text) is not None


def _distinct(values: Iterable[str]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(cleaned for value in values if (cleaned := clean(value))))


def _escape(text: str, signs: str) -> str:
    return "".join("\\" + letter if letter in signs else letter for letter in text)


def _unescape(text: str) -> str:
    return re.sub(r"\\(.)", r"\1", text, flags=re.DOTALL)


def _pieces(text: str, sign: str) -> list[str]:
    """The text parted at a sign that has no backslash before it; escapes stay for later."""
    pieces, start, i = [], 0, 0
    while i < len(text):
        if text[i] == "\\":
            i += 2
            continue
        if text[i] == sign:
            pieces.append(text[start:i])
            start = i + 1
        i += 1
    return [*pieces, text[start:]]
