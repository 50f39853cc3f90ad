"""Makes the labelled pairs beside this file: `python -m tests.holders.make_pairs` writes them anew.

All names and numbers are invented. Each pair carries the rule that made it, so that whoever doubts
a label can see why it has it; the hand-made ones carry `hand`.

Numbers: a pair is `same` where the printed side is a misreading of the listed number (rules after
the confusion table of recognisers: common practice, no source), and `other` where the two were
issued apart. Names: `same` is one firm written in two ways, `slip` one letter read wrong, `other`
two firms.
"""

import csv
import random
from collections.abc import Iterator
from pathlib import Path

HERE = Path(__file__).parent
SEED = 20260311

_TAKEN = {"0": "OD", "1": "I7", "2": "Z", "3": "8", "4": "A", "5": "S6", "6": "G", "8": "B3",
          "9": "G", "A": "4", "B": "8", "C": "G", "S": "5", "T": "7"}  # fmt: skip
_OWN_WORDS = (
    "Vexholm Quarrimond Ostrevane Tamberlow Halcyra Brisdaal Pellanor Merrivost Keldaris Lommerack "
    "Averlune Skarrowby Umberholt Caldemar Zephrane Gildermoor Orsivelle Wrenquist Dovrenshire "
    "Kestrane Jorvandy Marrowbrook Sollanby Nordfelle Larkmoor Dellbrook Orsaline Lumbrel"
)
_TRADE_WORDS = (
    "Filtration Works|Safety|Breathing|Respire|Industrial|Textiel|Mask|Medical|Protection"
)
_FORM_WORDS = "Ltd|Limited|GmbH|S.p.A.|Inc.|Co., Ltd.|LLC|B.V.|S.A.|Sp. z o.o.|Oy|AB|A/S|Pty Ltd"
_OWN = _OWN_WORDS.split()
_TRADE = _TRADE_WORDS.split("|")
_FORMS = _FORM_WORDS.split("|")
_ACCENTS = str.maketrans("aeiou", "áéíöü")
_GREEK = {"Vexholm": "Βεξχολμ", "Halcyra": "Χαλκυρα", "Pellanor": "Πελλανορ"}
_CYRILLIC = {"Tamberlow": "Тамберлов", "Brisdaal": "Брисдаал", "Ostrevane": "Остреване",
             "Merrivost": "Меривост", "Kestrane": "Кестране", "Sollanby": "Солланбы"}  # fmt: skip


def number_pairs(dice: random.Random) -> Iterator[tuple[str, str, str, str]]:
    for _ in range(30):
        number = _number(dice)
        yield _misread(number, 1, dice), number, "same", "one letter taken for another"
    for _ in range(30):
        number = _number(dice)
        yield _misread(number, 2, dice), number, "same", "two letters taken for others"
    for _ in range(20):
        number = _number(dice)
        at = dice.randrange(len(number) - 4, len(number))
        yield number[:at] + number[at + 1 :], number, "same", "a digit not read"
    for _ in range(20):
        number = _number(dice)
        at = dice.randrange(len(number) - 4, len(number))
        yield number[:at] + number[at] + number[at:], number, "same", "a digit read twice"
    for _ in range(15):
        number = _number(dice)
        at = dice.randrange(len(number) - 4, len(number) - 1)
        swapped = number[:at] + number[at + 1] + number[at] + number[at + 2 :]
        if swapped != number:
            yield swapped, number, "same", "neighbours swapped"
    for _ in range(20):
        number = _number(dice)
        yield _misread(number, 1, dice).replace("-", " "), number, "same", "one letter, no dashes"
    for _ in range(10):
        number = _number(dice)
        at = dice.randrange(len(number) - 4, len(number))
        digit = dice.choice([d for d in "0123456789" if d != number[at]])
        yield number[:at] + digit + number[at + 1 :], number, "same", "one digit wrong, any"
    for _ in range(10):
        number = _number(dice)
        yield _misread(number, 3, dice), number, "same", "three letters taken for others"
    for _ in range(100):
        yield _number(dice), _number(dice), "other", "issued apart"
    for _ in range(25):
        serial = dice.randrange(1000, 9998)
        yield f"TC-84A-{serial}", f"TC-84A-{serial + 1}", "other", "issued one after the other"
    for _ in range(20):
        number = _number(dice)
        yield number[:-2] + f"{dice.randrange(100):02d}", number, "other", "last two digits drawn"
    for _ in range(15):
        serial = dice.randrange(1000, 9999)
        yield f"TC-23C-{serial}", f"TC-84A-{serial}", "other", "another schedule, same serial"


def name_pairs(dice: random.Random) -> Iterator[tuple[str, str, str, str]]:
    for _ in range(25):
        name = _name(dice)
        yield f"{name} {dice.choice(_FORMS)}", f"{name} {dice.choice(_FORMS)}", "same", "legal form"
    for _ in range(20):
        name = _name(dice)
        yield name.translate(_ACCENTS), name, "same", "accents"
    for _ in range(15):
        name = _name(dice)
        yield " ".join(reversed(name.split())), name, "same", "word order"
    for _ in range(15):
        name = _name(dice)
        yield name.replace(" ", dice.choice(["", "-", "  ", "."])).upper(), name, "same", "spaces"
    for _ in range(20):
        own = dice.choice(_OWN)
        yield (
            own.upper(),
            f"{own} {dice.choice(_TRADE)} {dice.choice(_FORMS)}",
            "same",
            "short form",
        )
    for script in (_GREEK, _CYRILLIC):
        for own, other in script.items():
            yield other, own, "same", "another script"
            yield other.upper(), f"{own} {dice.choice(_FORMS)}", "same", "another script"
    for turn in range(50):
        name = _name(dice) if turn % 2 else dice.choice(_OWN)
        at = dice.randrange(1, len(name.split()[0]) - 1)
        letter = dice.choice([c for c in "aeioulnrst" if c != name[at]])
        yield name[:at] + letter + name[at + 1 :], name, "slip", "one letter read wrong"
    for _ in range(60):
        one, two = dice.sample(_OWN, 2)
        yield f"{one} {dice.choice(_TRADE)}", f"{two} {dice.choice(_TRADE)}", "other", "two firms"
    for _ in range(35):
        one, two = dice.sample(_OWN, 2)
        trade = dice.choice(_TRADE)
        yield f"{one} {trade}", f"{two} {trade}", "other", "two firms of one trade"
    for _ in range(20):
        one, two = dice.sample(_OWN, 2)
        form = dice.choice(_FORMS)
        yield f"{one} {form}", f"{two} {form}", "other", "two firms of one legal form"
    yield from _HAND


_HAND = (
    ("Vexholm & Sons", "Vexholm and Sons", "same", "hand: ampersand"),
    ("The Halcyra Company", "Halcyra", "same", "hand: article and legal form"),
    ("QUARRIMOND BREATHING", "Quarrimond Breathing Ltd", "same", "hand: capitals"),
    ("S.A. Averlune", "Averlune SA", "same", "hand: legal form in front"),
    ("Brisdaal Textiel b.v.", "BRISDAAL TEXTIEL BV", "same", "hand: dots"),
    ("Müllvane Schutz GmbH", "Mullvane Schutz", "same", "hand: umlaut dropped"),
    ("Łommerack", "Lommerack", "same", "hand: stroke"),
    ("Keldaris Ges.m.b.H.", "Keldaris GmbH", "same", "hand: dotted legal form"),
    ("Zephrane d.o.o.", "Zephrane", "same", "hand: legal form not in our words"),
    ("Muellvane Schutz", "Müllvane Schutz GmbH", "same", "hand: umlaut as two letters"),
    ("Vexholm", "Vexholme", "other", "hand: one letter apart, two firms"),
    ("Vexholm Medical", "Vexholm Filtration Works", "other", "hand: same own word, other trade"),
    ("Filtration Works", "Vexholm Filtration Works", "other", "hand: trade words only"),
    ("Safety", "Ostrevane Safety", "other", "hand: trade word only"),
    ("Pellanor East", "Pellanor West", "other", "hand: sister firms"),
    ("New Tamberlow", "Tamberlow", "other", "hand: new firm of an old name"),
    ("Halcyra Group", "Halcyon Group", "other", "hand: like beginning"),
    ("Ostrevane", "Ostrevale", "other", "hand: one letter apart, two firms"),
    ("Co Ltd", "Kestrane Co Ltd", "other", "hand: legal form only"),
    ("Larkmoor", "Lark Moor", "same", "hand: space within"),
    ("MERRIVOST.", "Merrivost", "same", "hand: full stop"),
    ("Merrivost®", "Merrivost", "same", "hand: registered sign"),
)


def _number(dice: random.Random) -> str:
    if dice.random() < 0.8:
        return f"TC-84A-{dice.randrange(1000, 9999)}"
    letters = "".join(dice.choice("ABCKRSTZ") for _ in range(2))
    return f"{letters}/{dice.randrange(20, 34)}/{dice.randrange(1, 9999):04d}"


def _misread(number: str, count: int, dice: random.Random) -> str:
    letters = list(number)
    places = [i for i, letter in enumerate(letters) if letter in _TAKEN]
    for i in dice.sample(places, count):
        letters[i] = dice.choice(_TAKEN[letters[i]])
    return "".join(letters)


def _name(dice: random.Random) -> str:
    return f"{dice.choice(_OWN)} {dice.choice(_TRADE)}"


def _write(path: Path, header: tuple[str, ...], rows: Iterator[tuple[str, str, str, str]]) -> None:
    with path.open("w", encoding="utf-8", newline="") as out:
        writer = csv.writer(out, lineterminator="\n")
        writer.writerow(header)
        writer.writerows(rows)


def main() -> None:
    header = ("printed", "listed", "label", "rule")
    _write(HERE / "number_pairs.csv", header, number_pairs(random.Random(SEED)))
    _write(HERE / "name_pairs.csv", header, name_pairs(random.Random(SEED)))


if __name__ == "__main__":
    main()
