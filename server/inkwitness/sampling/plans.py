"""Single attribute plans of MIL-STD-105E (10 May 1989, public domain): Tables I, II-A, II-B, II-C.

Only for ordinary print and pack faults in a series of lots under one contract. An acceptance
number above 0 makes no sense for a doubt about origin.

Table II has a rule. Sample sizes and AQLs both step by about 10^0.2, so a cell depends on its
diagonal alone: row of the letter plus column of the AQL. `_DIAGONALS` holds the printed cells from
diagonal 14 on; before it every cell is an arrow down, after it an arrow up. In reduced inspection
a sample cannot fall below 2, so its first three rows are held cell by cell.

>>> plan_for_lot(5000, "II", "1.5")
Plan(letter='L', n=200, accept=7, reject=8, plan_letter='L')
>>> plan_for_lot(100_000, "S-4", "0.40").plan_letter    # arrow down from J
'K'
"""

from bisect import bisect_left
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from typing import Literal, get_args

from inkwitness.errors import BadInput
from inkwitness.sampling import arguments as given

Level = Literal["S-1", "S-2", "S-3", "S-4", "I", "II", "III"]
Inspection = Literal["normal", "tightened", "reduced"]
Aql = str | float | Decimal
Cell = tuple[int, int] | Literal["down", "up"]

LETTERS = "ABCDEFGHJKLMNPQR"
LEVELS: tuple[Level, ...] = get_args(Level)
INSPECTIONS: tuple[Inspection, ...] = get_args(Inspection)
# fmt: off
AQLS = (
    "0.010", "0.015", "0.025", "0.040", "0.065", "0.10", "0.15", "0.25", "0.40", "0.65",
    "1.0", "1.5", "2.5", "4.0", "6.5", "10", "15", "25", "40", "65",
    "100", "150", "250", "400", "650", "1000",
)
# fmt: on
# Up to 10 an AQL may be read as percent nonconforming; above it counts faults per hundred units.
PERCENT_AQLS = AQLS[: AQLS.index("10") + 1]

# Table I: the largest lot of each row, then the letters at levels S-1 .. S-4, I .. III.
_LARGEST = (8, 15, 25, 50, 90, 150, 280, 500, 1200, 3200, 10_000, 35_000, 150_000, 500_000)
_CODE_LETTERS = (
    "AAAAAAB", "AAAAABC", "AABBBCD", "ABBCCDE", "BBCCCEF", "BBCDDFG", "BCDEEGH", "BCDEFHJ",
    "CCEFGJK", "CDEGHKL", "CDFGJLM", "CDFHKMN", "DEGJLNP", "DEGJMPQ", "DEHKNQR",
)  # fmt: skip

_SIZES = (2, 3, 5, 8, 13, 20, 32, 50, 80, 125, 200, 315, 500, 800, 1250, 2000)
_REDUCED_SIZES = (2, 2, 2, 3, 5, 8, 13, 20, 32, 50, 80, 125, 200, 315, 500, 800)
_FIRST_DIAGONAL = 14
_DIAGONALS: dict[Inspection, str] = {
    "normal": "0/1 up down 1/2 2/3 3/4 5/6 7/8 10/11 14/15 21/22 30/31 44/45",
    "tightened": "down 0/1 down down 1/2 2/3 3/4 5/6 8/9 12/13 18/19 27/28 41/42",
    "reduced": "0/1 up down 0/2 1/3 1/4 2/5 3/6 5/8 7/10 10/13 14/17 21/24",
}
# The last two cells of a diagonal are printed in rows A to E only; below, they are arrows up.
_ROWS_WITH_ALL = LETTERS.index("E") + 1
_ALWAYS = 11

_REDUCED_ROWS = {
    "A": "6.5 0/1, 25 1/2, 40 2/3, 65 3/4, 100 5/6, 150 7/8, 250 10/11, 400 14/15, 650 21/22, "
    "1000 30/31",
    "B": "4.0 0/1, 6.5 up, 15 0/2, 25 1/3, 40 2/4, 65 3/5, 100 5/6, 150 7/8, 250 10/11, "
    "400 14/15, 650 21/22, 1000 30/31",
    "C": "2.5 0/1, 4.0 up, 10 0/2, 15 1/3, 25 1/4, 40 2/5, 65 3/6, 100 5/8, 150 7/10, 250 10/13, "
    "400 14/17, 650 21/24, 1000 up",
}


@dataclass(frozen=True, slots=True)
class Plan:
    """Look at `n`; within the plan with `accept` or fewer faults, outside with `reject` or more.

    `letter` is the code letter asked for, `plan_letter` the row an arrow led to (S: the extra row
    of Table II-B).
    """

    letter: str
    n: int
    accept: int
    reject: int
    plan_letter: str


def code_letter(lot: int, level: str = "II") -> str:
    """Table I: the code letter for a lot of 2 or more at an inspection level."""
    given.lot_size(lot)
    if lot < 2:
        raise BadInput("sample_lot_for_plan", value=lot)
    if level not in LEVELS:
        raise BadInput("sample_level", value=level, allowed=", ".join(LEVELS))
    return _CODE_LETTERS[bisect_left(_LARGEST, lot)][LEVELS.index(level)]


def printed_cell(letter: str, aql: Aql, inspection: str = "normal") -> Cell:
    """The cell of Table II as printed: acceptance and rejection number, or an arrow."""
    row, column, kind = _row(letter), _column(aql), _inspection(inspection)
    return _cell(kind, row, column)


def single_plan(letter: str, aql: Aql, inspection: str = "normal") -> Plan:
    """The plan of a letter and an AQL, arrows followed; the arrow's row gives the sample too."""
    row, column, kind = _row(letter), _column(aql), _inspection(inspection)
    sizes = _REDUCED_SIZES if kind == "reduced" else _SIZES
    asked, cell = row, _cell(kind, row, column)
    while isinstance(cell, str):
        row += 1 if cell == "down" else -1
        if row == len(LETTERS):  # Table II-B ends with a row S, for AQL 0.025 alone
            return Plan(LETTERS[asked], 3150, 1, 2, "S")
        cell = _cell(kind, row, column)
    return Plan(LETTERS[asked], sizes[row], cell[0], cell[1], LETTERS[row])


def plan_for_lot(lot: int, level: str = "II", aql: Aql = "1.5", inspection: str = "normal") -> Plan:
    """The plan for a lot; where it asks for more units than there are, all are looked at.

    AQL 0.010 to 10 only: higher ones count faults per hundred units, not nonconforming units.
    """
    if _column(aql) >= len(PERCENT_AQLS):
        raise BadInput("sample_aql_over_10", value=str(aql))
    plan = single_plan(code_letter(lot, level), aql, inspection)
    return Plan(plan.letter, min(plan.n, lot), plan.accept, plan.reject, plan.plan_letter)


def _row(letter: str) -> int:
    if len(letter) != 1 or letter not in LETTERS:
        raise BadInput("sample_letter", value=letter, allowed=", ".join(LETTERS))
    return LETTERS.index(letter)


def _column(aql: Aql) -> int:
    try:
        wanted = Decimal(str(aql).strip().removesuffix("%").rstrip())
    except InvalidOperation:
        wanted = Decimal("NaN")
    for column, printed in enumerate(AQLS):
        if Decimal(printed) == wanted:
            return column
    raise BadInput("sample_aql", value=str(aql), allowed=", ".join(PERCENT_AQLS))


def _inspection(name: str) -> Inspection:
    for known in INSPECTIONS:
        if name == known:
            return known
    raise BadInput("sample_inspection", value=name, allowed=", ".join(INSPECTIONS))


def _cell(kind: Inspection, row: int, column: int) -> Cell:
    letter, aql = LETTERS[row], AQLS[column]
    if kind == "reduced" and letter in _REDUCED_ROWS:
        cells = dict(entry.split() for entry in _REDUCED_ROWS[letter].split(", "))
        return _parsed(cells.get(aql, "down"))
    # An arrow at the edge of the table points inwards: nothing is printed above A or below R.
    if letter == "A" and aql == "10":
        return "down"
    if letter == "R" and aql == "0.015":
        return "up"
    diagonal = row + column - _FIRST_DIAGONAL
    if diagonal < 0:
        return "down"
    cells_on = _DIAGONALS[kind].split()
    if diagonal >= (len(cells_on) if row < _ROWS_WITH_ALL else _ALWAYS):
        return "up"
    return _parsed(cells_on[diagonal])


def _parsed(cell: str) -> Cell:
    if cell == "down":
        return "down"
    if cell == "up":
        return "up"
    accept, reject = cell.split("/")
    return int(accept), int(reject)
