"""What the parser does not do yet, by expectation: kinds of layout that are expected to fail.

Strictly: a kind that begins to pass has to be taken out of its list.
"""

TYPED: dict[str, str] = {}

DRAWN: dict[str, str] = {}
