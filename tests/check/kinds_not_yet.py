"""What the parser does not do yet, by expectation: kinds of layout that are expected to fail.

Strictly: a kind that begins to pass has to be taken out of its list.
"""

TYPED: dict[str, str] = {
    "labelled or of a form: read and right": """
        us-box-front-two-languages eu-dutch-pouch several-europe-america-eurasia
        kr-industrial-box ca-pouch-front medical-spanish-hygienic barrier-mask
        fault-digits-of-the-standard-swapped
    """,
    "among the first three": """
        us-bare-mixed-lot us-lot-and-date-under-one-label eu-hourglass in-valve-product-name
    """,
    "no false missing": """
        us-lot-and-date-under-one-label
    """,
    "planted fault found": """
        fault-digits-of-the-standard-swapped
    """,
}

DRAWN: dict[str, str] = {}
