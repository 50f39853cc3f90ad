"""What is printed: lines, prints, and invented values for them.

Every holder, model and number is invented; a number may by chance equal a real one.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

Rng = np.random.Generator

HOLDERS = (
    "Vexholm", "Quarrimond", "Ostrevane", "Tamberlow", "Halcyra", "Brisdaal", "Pellanor",
    "Norrvick", "Caldemar", "Wrenquist", "Opalgate", "Sarnholt", "Yarrowmead", "Fennimar",
    "Dunquerry", "Ilvarra", "Mossendal", "Thornaby Vale", "Ruskelund", "Keldaris", "Zephrane",
    "Orsivelle", "Lunderac", "Gravelotte & Finn", "Averlune", "Bexcourt", "Castorvale",
    "Drumelzor", "Eskilara", "Farrowhythe", "Gildermoor", "Hexabrook", "Jorvanter",
    "Kestrivane", "Lommerack", "Merrivost", "Nettlecombe", "Oxmarrow", "Pommerelle", "Quillivar",
    "Rindelsen", "Skarrowby", "Tessamond", "Umberholt", "Valdrossa", "Wickerlane", "Xanteril",
    "Ystrafel", "Zundermeer", "Arkelstane",
)  # fmt: skip
_ENDINGS = ("", "", "", "", " Safety", " Respiratory", " Filtration", " Industries", " Medical",
            " PPE", " GmbH", " Ltd", " Inc.", " S.A.", " Textiles", " Works")  # fmt: skip
_STARTS = [
    "Bran",
    "Cor",
    "Dal",
    "Ever",
    "Fal",
    "Gren",
    "Hol",
    "Im",
    "Jas",
    "Kor",
    "Lind",
    "Mar",
    "Nor",
    "Ost",
    "Pell",
    "Quor",
    "Ros",
    "Sel",
    "Tor",
    "Ul",
    "Ven",
    "Wes",
    "Xan",
    "Yor",
    "Zel",
]
_MIDDLES = [
    "a",
    "e",
    "i",
    "o",
    "u",
    "ab",
    "ad",
    "el",
    "en",
    "er",
    "il",
    "im",
    "on",
    "or",
    "um",
    "und",
]
_TAILS = [
    "bury",
    "dane",
    "field",
    "gate",
    "holm",
    "lund",
    "mere",
    "nor",
    "quist",
    "rick",
    "sand",
    "thorpe",
    "vane",
    "wold",
    "yard",
    "zier",
]


@dataclass(frozen=True, slots=True)
class Line:
    """One printed line: its text, the mark values in it, its role and relative letter height."""

    text: str
    values: dict[str, str] = field(default_factory=dict)
    role: str = "body"  # logo, head, body, small, code
    size: float = 1.0
    dress: str = ""  # boxed: in a frame, turned: by a quarter to the left


@dataclass(frozen=True, slots=True)
class Printed:
    """One mark of a print: its value and other right forms, and the line it first stands on.

    `named`: a word, a sign or its form says what it is; else only its place does.
    """

    mark: str
    forms: tuple[str, ...]
    line: int
    named: bool

    @property
    def value(self) -> str:
        """The mark as printed."""
        return self.forms[0]


@dataclass(frozen=True, slots=True)
class Print:
    """Everything printed on one unit."""

    scheme: str
    fault: str | None
    lines: tuple[Line, ...]
    suffix: str | None = None
    kind: str = ""  # kind of layout, where it was made of one
    printed: tuple[Printed, ...] = ()  # every mark of that kind of layout
    others: tuple[str, ...] = ()  # print that is no mark

    @property
    def marks(self) -> dict[str, str]:
        """Mark name to its value as printed, first occurrence."""
        found: dict[str, str] = {}
        for line in self.lines:
            for name, value in line.values.items():
                found.setdefault(name, value)
        return found


def pick(rng: Rng, *options: str) -> str:
    """One of the options, evenly."""
    return options[int(rng.integers(len(options)))]


def digits(rng: Rng, count: int) -> str:
    """That many decimal digits."""
    return "".join(str(d) for d in rng.integers(0, 10, count))


def letters(rng: Rng, count: int) -> str:
    """That many capitals."""
    return "".join("ABCDEFGHIJKLMNOPQRSTUVWXYZ"[i] for i in rng.integers(0, 26, count))


def holder(rng: Rng) -> str:
    """An invented maker's name."""
    if rng.random() < 0.45:
        name = HOLDERS[int(rng.integers(len(HOLDERS)))]
    else:
        name = pick(rng, *_STARTS) + pick(rng, *_MIDDLES) + pick(rng, *_TAILS)
    name += pick(rng, *_ENDINGS)
    return name.upper() if rng.random() < 0.55 else name


def model(rng: Rng, filter_class: str, maker: str) -> str:
    """A model word, as makers form them."""
    first = "".join(c for c in maker.upper() if c.isalpha())[:1] or "M"
    start = pick(rng, first + letters(rng, 1), letters(rng, 2), first, letters(rng, 3))
    kind = int(rng.integers(8))
    if kind == 0:
        return f"{start}-{digits(rng, int(rng.integers(2, 5)))}"
    if kind == 1:
        return f"{start}{digits(rng, 4)}"
    if kind == 2:
        return str(int(rng.integers(1, 10))) + digits(rng, 3)
    if kind == 3:
        return f"{digits(rng, 4)}{filter_class.replace(' ', '')}"
    if kind == 4:
        return f"{start}-{int(rng.integers(10, 9999))}{pick(rng, 'V', 'F', 'C', 'S', 'H')}"
    if kind == 5:
        return f"{start}{digits(rng, 3)}-{pick(rng, 'S', 'M', 'L', 'V')}"
    if kind == 6:
        return f"{int(rng.integers(1, 10))}{digits(rng, 4)}"
    return f"{start}{digits(rng, 2)}{letters(rng, 1)}{digits(rng, 1)}"


def lot(rng: Rng) -> str:
    """A lot code."""
    kind = int(rng.integers(7))
    year = int(rng.integers(19, 27))
    if kind == 0:
        return f"{year}{int(rng.integers(1, 13)):02d}{int(rng.integers(1, 29)):02d}"
    if kind == 1:
        return letters(rng, 1) + digits(rng, int(rng.integers(4, 8)))
    if kind == 2:
        return f"{digits(rng, 4)}-{digits(rng, 2)}"
    if kind == 3:
        return f"{letters(rng, 2)}{year}{digits(rng, 3)}"
    if kind == 4:
        return digits(rng, int(rng.integers(5, 9)))
    if kind == 5:
        return f"20{year}{int(rng.integers(1, 13)):02d}{digits(rng, 3)}"
    return f"{letters(rng, 1)}{digits(rng, 2)}-{digits(rng, 3)}{letters(rng, 1)}"


def date(rng: Rng, low: int, high: int) -> str:
    """A date as printed, its year in [low, high]."""
    year = int(rng.integers(low, high + 1))
    month, day = int(rng.integers(1, 13)), int(rng.integers(1, 29))
    kind = int(rng.integers(9))
    names = ["JAN", "FEB", "MAR", "APR", "MAY", "JUN", "JUL", "AUG", "SEP", "OCT", "NOV", "DEC"]
    forms = (
        f"{year}-{month:02d}-{day:02d}", f"{year}.{month:02d}.{day:02d}", f"{month:02d}/{year}",
        f"{year}/{month:02d}", f"{year}-{month:02d}", f"{year}{month:02d}{day:02d}",
        f"{day:02d}/{month:02d}/{year}", f"{names[month - 1]} {year}", f"{month:02d}.{year}",
    )  # fmt: skip
    return forms[kind]
