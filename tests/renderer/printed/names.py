"""Names, models, lots and numbers made anew from a seed, in the shapes that print has.

Nothing here is taken from goods: names are syllables joined by chance, codes are drawn sign by
sign. A name or number may by chance equal a real one.
"""

from __future__ import annotations

import re
from collections.abc import Callable

from tests.renderer.printed.content import Rng, digits, letters, pick

#: The forms of one name: as printed first, then what else is a right answer.
Forms = tuple[str, ...]
Maker = str

_HEADS = ("Bra", "Che", "Dro", "Ela", "Fre", "Gho", "Hur", "Ilm", "Jor", "Kve", "Lom", "Mer",
          "Nau", "Ost", "Pru", "Rov", "Sku", "Tha", "Ulv", "Vre", "Wel", "Yst", "Zam")  # fmt: skip
_BODIES = ("bel", "dan", "dre", "fin", "gal", "gor", "han", "kel", "lin", "mar", "nor", "pel",
           "quin", "ran", "sel", "tor", "vas", "wyn")  # fmt: skip
_ENDS = ("", "a", "al", "en", "ex", "ic", "is", "on", "or", "um", "yx")
_TOWNS = ("Zwelm", "Borvik", "Alder Bay", "Kastrowo", "Nordhude", "Vellmar Hill")
_STREETS = ("Mill Road", "Quay Street", "Harbour Lane", "Foundry Street")
_COMPANY = ("SAFETY", "MEDICAL", "SUPPLY", "PPE", "RESPIRATORY", "WORKS")
_HAN = "岚澄屿砺沐翎峤禾霁泊"
_HANGUL = ("해솔", "다온", "누리", "가람", "윤슬", "새봄")
_KANJI = ("白樫", "青鷺", "朝霧", "南風", "葛城")
#: Years of manufacture, and of the end of life, that print carries (both may come).
MADE_IN, ENDS_IN = (2023, 2025), (2027, 2031)
_SIGN = re.compile(r"YYYY|YY|MM|DD|WWW|.")
_CALENDAR = {"MM": ("", 12), "DD": ("", 28), "WWW": ("W", 52)}
#: Signs of two-sign names; none of them makes a name that is known in the trade (from memory).
_SIGNS, _FIGURES = "BGLNPRVXZ", "456789"


def word(rng: Rng) -> str:
    """A pronounceable name of five to ten letters, first letter large."""
    middle = pick(rng, *_BODIES) if rng.random() < 0.75 else ""
    end = pick(rng, *_ENDS) if middle else pick(rng, *_ENDS[1:])
    return pick(rng, *_HEADS) + middle + end


def _two_signs(rng: Rng, maker: Maker) -> Forms:
    del maker
    letter, figure = pick(rng, *_SIGNS), pick(rng, *_FIGURES)
    return (figure + letter if rng.random() < 0.75 else letter + figure,)


def _company(rng: Rng, maker: Maker) -> Forms:
    del maker
    name = word(rng).upper()
    return f"{name} {pick(rng, *_COMPANY)}", name


def _company_inc(rng: Rng, maker: Maker) -> Forms:
    whole, name = _company(rng, maker)
    return f"{whole} {pick(rng, 'INC.', 'LLC', 'CORP.')}", whole, name


def _company_start(rng: Rng, maker: Maker) -> Forms:
    """The first of two lines of a company whose second is `Product Manufacturing`."""
    del maker
    name = f"{pick(rng, *_TOWNS[:2])} {word(rng)}"
    start = f"{name} Protective"
    return start, f"{start} Product Manufacturing", name


def _gmbh(rng: Rng, maker: Maker) -> Forms:
    del maker
    name = word(rng)
    return f"{name} Schutztechnik GmbH", f"{name} Schutztechnik", name


def _bv(rng: Rng, maker: Maker) -> Forms:
    del maker
    name = word(rng)
    return f"{name} B.V.", name


def _exclaimed(rng: Rng, maker: Maker) -> Forms:
    del maker
    return (f"{word(rng)} {word(rng)}!".upper(),)


def _odd_case(rng: Rng, maker: Maker) -> Forms:
    del maker
    return ("".join(c.lower() if at % 3 == 0 else c.upper() for at, c in enumerate(word(rng))),)


def _initials(maker: Maker) -> str:
    own = "".join(c for c in maker.upper() if c.isascii() and c.isalpha())
    return (own + "MX")[:2]


def _family(code: str) -> Callable[[Rng, Maker], Forms]:
    def made(rng: Rng, maker: Maker) -> Forms:
        del maker
        model = filled(rng, code)
        return f"{word(rng)} {model}", model

    return made


def _two_word_product(rng: Rng, maker: Maker) -> Forms:
    del maker
    first = word(rng)
    return f"{first} Ventil", first


def _size_behind(rng: Rng, maker: Maker) -> Forms:
    del maker
    model = filled(rng, "###")
    return f"{model} ML", model


def _graded(rng: Rng, maker: Maker) -> Forms:
    del maker
    model = filled(rng, "####")
    return f"{model} max", model


def filled(rng: Rng, pattern: str, maker: Maker = "", years: tuple[int, int] = MADE_IN) -> str:
    """The pattern with each sign that stands for others drawn; the rest as it stands.

    `#` is a digit (a number does not begin with zero), `?` a letter, `@` the initials of the maker,
    `YYYY` a year within `years` (both may come) and `YY` its end, `MM` a month, `DD` a day, `WWW`
    a week as ISO 8601 writes it.
    """
    year = str(int(rng.integers(years[0], years[1] + 1)))
    out: list[str] = []
    for sign in _SIGN.findall(pattern):
        if sign == "#":
            first = not out or not out[-1][-1].isdigit()
            out.append(pick(rng, *"123456789") if first else digits(rng, 1))
        elif sign == "?":
            out.append(letters(rng, 1))
        elif sign == "@":
            out.append(_initials(maker))
        elif sign in ("YYYY", "YY"):
            out.append(year[-len(sign) :])
        elif sign in _CALENDAR:
            before, last = _CALENDAR[sign]
            out.append(f"{before}{int(rng.integers(1, last + 1)):02d}")
        else:
            out.append(sign)
    return "".join(out)


#: Shapes that are a pattern of signs (see `filled`); of several patterns one is drawn.
PATTERNS: dict[str, tuple[str, ...]] = {
    # models
    "three_digits": ("###",), "four_digits": ("####",), "five_digits": ("#####",),
    "six_digits": ("######",), "eight_digits": ("########",), "digits_plus": ("####+", "###+"),
    "four_digits_letter": ("####V", "####?"), "five_digits_letter": ("#####?",),
    "initials_dash_digits": ("@-####", "@-##", "@-###"), "initials_dash_digits_letter": ("@-##?",),
    "letters_digits": ("??####", "??###"), "letters_four_digits": ("??####",),
    "letters_three_digits": ("??###",), "letters_dash_one": ("??-#",),
    "letters_dash_two": ("??-##",), "letters_dash_digits": ("??-####",),
    "letters_dash_digits_letter": ("??-###?",), "letters_space_digits": ("?? ###", "?? ####"),
    "letters_decimal": ("??#.#",), "letters_digit_letters": ("???#???",),
    "letter_two_digits": ("?##",), "letter_three_digits": ("?###",),
    "letter_five_digits": ("?#####",), "letter_digits_letter": ("?##?",),
    "letter_four_digits_letters": ("?####??",), "class_inside": ("?-####N95", "####N95"),
    "dashed_with_class": ("??-N95-??",), "dashed_two": ("??-##?-?",),
    "dash_class_p100": ("??-##P100",), "dash_digits_letter": ("??-####?",),
    "dash_five_digits_letter": ("??-#####?",), "digits_dash_class_letter": ("####-N95?",),
    "two_dash_four": ("##-####", "###-##"),
    # lots
    "letter_digits": ("?####", "?#####", "?######"), "digits_letter": ("####?",),
    "digits_letter_digits": ("##?###",), "digits_dash": ("####-##", "#-###"),
    "digits_slash_year": ("###/YY",), "letter_dash_digits_letter": ("?#-#####?",),
    "date_like": ("??-YY-MM-##",),
    # dates
    "year_month": ("YYYY-MM",), "year_slash_month": ("YYYY/MM",), "year_dot_month": ("YYYY.MM",),
    "month_year": ("MM/YYYY",), "month_dot_year": ("MM.YYYY",), "week": ("YYYY-WWW",),
    "year_month_day": ("YYYY-MM-DD", "YYYY.MM.DD"), "japanese_month": ("YYYY年6月",),
    # numbers
    "tc": ("TC-84A-####",), "tc_spaced": ("TC -84A-####",), "tc_five": ("TC-84A-#####",),
    "tc_schedule": ("TC-21C-####",), "body": ("2###", "1###", "28##"), "tm": ("TM###",),
    "ca": ("CA #####",), "ca_dotted": ("CA ##.###",), "cml": ("CM/L-##########", "CM/L-#######"),
    "cml_five": ("CM/L-#####",), "k_number": ("K######",), "kosha": ("YY-AV#CA-####",),
    # print that is no mark
    "phone": ("1-800-555-01##",), "la_number": ("LA-YY-##-######",),
}  # fmt: skip

_MADE: dict[str, Callable[[Rng, Maker], Forms]] = {
    "two_signs": _two_signs,
    "two_letters": lambda rng, _: (pick(rng, *"BDGKLNRTVZ") + pick(rng, *"DKLNRSTVXZ"),),
    "three_letters": lambda rng, _: ("".join(pick(rng, *"BDGKLRVXZQ") for _ in range(3)),),
    "word": lambda rng, _: (word(rng).upper(),),
    "mixed_word": lambda rng, _: (word(rng),),
    "lower": lambda rng, _: (word(rng).lower(),),
    "camel": lambda rng, _: (word(rng) + word(rng)[:4],),
    "odd_case": _odd_case,
    "two_words": lambda rng, _: (f"{word(rng)} {word(rng)}".upper(),),
    "ampersand": lambda rng, _: (f"{word(rng)} & {word(rng)}",),
    "exclaimed": _exclaimed,
    "company": _company,
    "company_inc": _company_inc,
    "company_start": _company_start,
    "gmbh": _gmbh,
    "bv": _bv,
    "han": lambda rng, _: ("".join(pick(rng, *_HAN) for _ in range(2)),),
    "han_company": lambda rng, _: (
        "".join(pick(rng, *_HAN) for _ in range(2)) + "防护用品有限公司",
    ),
    "hangul": lambda rng, _: (pick(rng, *_HANGUL) + pick(rng, *_HANGUL) + "안전",),
    "kanji_company": lambda rng, _: (pick(rng, *_KANJI) + "工業株式会社",),
    "family_plus": _family("####+"),
    "two_word_product": _two_word_product,
    "digits_size": _size_behind,
    "digits_grade": _graded,
    "year_like": lambda rng, _: (str(int(rng.integers(2011, 2031))),),
    # print that is no mark
    "department": lambda rng, _: (pick(rng, "Customer Works", "Field Office"),),
    "street_town": lambda rng, _: (
        f"{filled(rng, '##')} {pick(rng, *_STREETS)}, {pick(rng, *_TOWNS)}",
    ),
    "street_number": lambda rng, _: (f"{word(rng)}str. {filled(rng, '##')}",),
    "post_town": lambda rng, _: (f"{filled(rng, '#####')} {pick(rng, *_TOWNS)}",),
    "town": lambda rng, _: (pick(rng, *_TOWNS),),
    "firm": lambda rng, _: (f"{word(rng)} Trading Ltd",),
    "web": lambda rng, _: (f"www.{word(rng).lower()}.example",),
}

SHAPES = frozenset({*PATTERNS, *_MADE})


def make(rng: Rng, shape: str, maker: Maker = "", years: tuple[int, int] = MADE_IN) -> Forms:
    """A value of a shape, as printed, and its other right forms.

    `maker` is the name that stands on the same print, for models that begin with its letters;
    `years` those that a date may have.
    Raises ValueError for a shape that is not in SHAPES.
    """
    if shape in _MADE:
        return _MADE[shape](rng, maker)
    if shape not in PATTERNS:
        raise ValueError(f"no shape {shape!r}; there are {', '.join(sorted(SHAPES))}")
    return (filled(rng, pick(rng, *PATTERNS[shape]), maker, years),)
