"""QR codes (ISO/IEC 18004, made by a library): as rows for the page, as text for a terminal."""

import io

import segno


def rows(text: str) -> list[str]:
    """The modules of a QR code without its quiet zone, a row a string: 1 dark, 0 light."""
    made = segno.make(text, error="m", micro=False)
    return ["".join("1" if module else "0" for module in row) for row in made.matrix]


def for_terminal(text: str) -> str:
    """The same in half blocks, with the quiet zone that cameras need."""
    out = io.StringIO()
    segno.make(text, error="m", micro=False).terminal(out=out, compact=True, border=2)
    return out.getvalue()
