"""Text tables: which encoding, which sign between the cells, and the cells."""

import codecs
import csv
import io
from collections import Counter
from collections.abc import Iterator

from inkwitness.errors import BadList
from inkwitness.holders.files.tables import Cell, Table, checked_row, checked_size

_BOMS = (
    (codecs.BOM_UTF8, "utf-8-sig", "UTF-8 with a byte order mark"),
    (codecs.BOM_UTF32_LE, "utf-32", "UTF-32"),
    (codecs.BOM_UTF32_BE, "utf-32", "UTF-32"),
    (codecs.BOM_UTF16_LE, "utf-16", "UTF-16"),
    (codecs.BOM_UTF16_BE, "utf-16", "UTF-16"),
)
_DELIMITERS = {",": "comma", ";": "semicolon", "\t": "tab", "|": "bar"}


def read_delimited(data: bytes) -> Table:
    """The table of a CSV or TSV file. Raises BadList that names the row."""
    text, encoding = decoded(checked_size(data))
    delimiter = delimiter_of(text)
    rows = tuple(
        checked_row(number, tuple(Cell(value) for value in row))
        for number, row in enumerate(_rows(text, delimiter), start=1)
    )
    return Table(rows, (f"read as {encoding}", f"cells parted by {_DELIMITERS[delimiter]}"))


def decoded(data: bytes) -> tuple[str, str]:
    """The text of the bytes, and the name of the encoding. Raises BadList.

    A byte order mark decides; without one, zero bytes in every second place mean UTF-16, then
    UTF-8 is tried, which other encodings almost never satisfy by chance, then Windows-1252.
    """
    for mark, codec, name in _BOMS:
        if data.startswith(mark):
            return _decode(data, codec, name), name
    for start, codec in ((1, "utf-16-le"), (0, "utf-16-be")):
        places = data[start:4000:2]
        if len(places) > 3 and places.count(0) > 0.6 * len(places):
            return _decode(data, codec, "UTF-16"), "UTF-16"
    if b"\0" in data:
        raise BadList("zero_byte", at=data.index(0))
    try:
        return data.decode("utf-8"), "UTF-8"
    except UnicodeDecodeError:
        pass
    try:
        return data.decode("cp1252"), "Windows-1252 (look at letters with accents)"
    except UnicodeDecodeError:
        return data.decode("latin-1"), "Latin-1 (look at letters with accents)"


def delimiter_of(text: str) -> str:
    """The sign between the cells: the one that parts the first rows most evenly."""
    head = "\n".join(text.splitlines()[:60])
    best, chosen = (0.0, 0), ","
    for sign in _DELIMITERS:
        try:
            widths = [len(row) for row in csv.reader(io.StringIO(head), delimiter=sign) if row]
        except csv.Error:
            continue
        wide = Counter(width for width in widths if width > 1)
        if wide:
            width, count = wide.most_common(1)[0]
            score = (count / len(widths), width)
            if score > best:
                best, chosen = score, sign
    return chosen


def _decode(data: bytes, codec: str, name: str) -> str:
    try:
        return data.decode(codec).removeprefix("\ufeff")
    except UnicodeDecodeError as error:
        raise BadList("byte_not_fitting", at=error.start, encoding=name) from error


def _rows(text: str, delimiter: str) -> Iterator[list[str]]:
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    number = 0
    while True:
        try:
            row = next(reader)
        except StopIteration:
            return
        except csv.Error as error:
            raise BadList(
                "quotation_open", row=number + 1, line=reader.line_num, why=str(error)
            ) from error
        number += 1
        yield row
