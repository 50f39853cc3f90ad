"""Reads the tables beside these tests, and the shortcuts that published tables were made with."""

import csv
from fractions import Fraction
from math import ceil, log
from pathlib import Path

TABLES = Path(__file__).parent / "tables"


def rows(name: str) -> list[dict[str, str]]:
    """The rows of `tables/<name>.csv`."""
    with (TABLES / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def poisson_rule(share: float, confidence: float) -> int:
    """-ln(1 - C) / p rounded up: the rule of three at 95 % (Jovanovic and Levy 1997)."""
    return ceil(-log(1 - confidence) / share - 1e-9)


def cannon_roe(lot: int, nonconforming: int, confidence: float) -> float:
    """Cannon and Roe (1982): (1 - (1 - C)^(1/D)) (N - (D - 1)/2)."""
    return float((1 - (1 - confidence) ** (1 / nonconforming)) * (lot - (nonconforming - 1) / 2))


def imperfect_shortcut(lot: int, nonconforming: int, confidence: float, sensitivity: float) -> int:
    """The usual shortcut N/Se (1 - (1 - C)^(1/D)), rounded up."""
    return ceil(lot / sensitivity * (1 - (1 - confidence) ** (1 / nonconforming)) - 1e-9)


def percent_of(text: str) -> Fraction:
    """`2%` or `0.02` as a rational."""
    return Fraction(text[:-1]) / 100 if text.endswith("%") else Fraction(text)
