"""How ten national schemes lay out their print, and the faults that can be planted in it."""

from __future__ import annotations

from collections.abc import Callable

from tests.renderer.printed.content import Line, Print, Rng, date, digits, holder, lot, model, pick

SCHEMES = ("US-NIOSH", "EU-EN149", "CN-GB2626", "BR-PFF2", "IN-IS9473", "AU-ASNZS1716",
           "KR-KF94", "CA-CSA", "MX-NOM116", "JP-DS2")  # fmt: skip
SCHEME_WEIGHTS = (0.34, 0.27, 0.14, 0.05, 0.05, 0.05, 0.03, 0.03, 0.02, 0.02)


def _lot_line(rng: Rng) -> Line:
    value = lot(rng)
    label = pick(rng, "LOT ", "LOT: ", "LOT No. ", "Lot No.", "BATCH ", "Batch No. ", "LOT# ",
                 "LOT", "L ", "L/N ", "BATCH: ")  # fmt: skip
    return Line(label + value, {"lot": value}, "code", 0.85)


def _made_line(rng: Rng, low: int = 2019, high: int = 2026) -> Line:
    value = date(rng, low, high)
    label = pick(
        rng, "MFG ", "MFD ", "MFG. DATE ", "DATE ", "PROD: ", "Mfg: ", "MFG DATE: ", "DOM "
    )
    return Line(label + value, {"manufacture_date": value}, "code", 0.85)


def _expiry_line(rng: Rng) -> Line:
    value = date(rng, 2024, 2031)
    label = pick(rng, "EXP ", "EXP. ", "EXP: ", "USE BY ", "EXPIRY ", "BEST BEFORE ", "Exp. Date ")
    return Line(label + value, {"expiry_date": value}, "code", 0.85)


def _model_line(rng: Rng, value: str) -> Line:
    label = pick(rng, "", "", "", "MODEL ", "MODEL: ", "Model ", "MODEL No. ", "REF ", "REF: ",
                 "P/N ", "P/N: ", "TYPE ", "ITEM ", "ART. ", "Mod. ")  # fmt: skip
    return Line(label + value, {"model": value}, "body", float(rng.uniform(0.9, 1.25)))


def _holder_line(rng: Rng, value: str) -> Line:
    logo = rng.random() < 0.75
    size = float(rng.uniform(1.1, 2.0)) if logo else float(rng.uniform(0.85, 1.15))
    return Line(value, {"manufacturer": value}, "logo" if logo else "body", size)


def _extra(rng: Rng) -> list[Line]:
    lines: list[Line] = []
    if rng.random() < 0.18:
        text = pick(
            rng,
            "M/L",
            "SIZE M",
            "REGULAR",
            "MADE IN HALCYRA",
            "UP",
            "SINGLE USE",
            "NON STERILE",
            "MEDIUM/LARGE",
            "THIS SIDE OUT",
            "S/M",
        )
        lines.append(Line(text, {}, "small", 0.75))
    return lines


def _tail(rng: Rng, p_lot: float, p_made: float, p_expiry: float) -> list[Line]:
    lines = []
    if rng.random() < p_lot:
        lines.append(_lot_line(rng))
    if rng.random() < p_made:
        lines.append(_made_line(rng))
    if rng.random() < p_expiry:
        lines.append(_expiry_line(rng))
    return lines


def _us(rng: Rng, fault: str | None, maker: str) -> tuple[list[Line], str | None]:
    grade = str(
        rng.choice(["N95", "N95", "N95", "N95", "N99", "N100", "P95", "P99", "P100", "R95"])
    )
    kind = grade
    if rng.random() < 0.06:
        kind = grade.replace("9", "-9", 1).replace("1", "-1", 1) if "-" not in grade else grade
    if fault == "foreign_class_with_tc":
        kind = pick(rng, "KN95", "FFP2", "KF94", "KN95", "DS2", "KP95")
    agency = "NIOSH"
    if fault == "agency_misspelt":
        agency = pick(rng, "NOISH", "NIOHS", "NIOSN", "NI0SH", "NIOS", "NIOSHH")
    number = digits(rng, 4)
    if fault == "tc_too_few_digits":
        number = digits(rng, 3)
    if fault == "tc_too_many_digits":
        number = digits(rng, 5)
    prefix = pick(rng, "TC-84A-", "TC-84A-", "TC-84A-", "TC-84A-", "TC 84A-", "TC-84A ", "TC84A-",
                  "TC 84A ")  # fmt: skip
    if fault == "tc_wrong_schedule":
        prefix = pick(rng, "TC-21C-", "TC-23C-", "TC-48A-", "TC-13F-", "TC-84B-")
    approval = prefix + number
    item = model(rng, grade, maker)
    lines: list[Line] = []
    if fault != "holder_missing":
        lines.append(_holder_line(rng, maker))
    if rng.random() < 0.15:
        lines.append(Line(pick(rng, "PARTICULATE RESPIRATOR", "Particulate Respirator",
                               "HEALTH CARE RESPIRATOR"), {}, "small", 0.75))  # fmt: skip
    middle: list[Line] = []
    big = float(rng.uniform(1.0, 1.6))
    class_values = {} if fault == "class_missing" else {"filter_class": kind}
    word = "" if fault == "class_missing" else kind
    style = int(rng.integers(7))
    if style in (0, 1):
        joined = f"{agency} {word}".strip() if style == 0 else f"{word} {agency}".strip()
        middle.append(Line(joined, {"agency": agency, **class_values}, "head", big))
    elif style == 2:
        middle.append(Line(agency, {"agency": agency}, "head", big))
        if word:
            middle.append(Line(word, class_values, "head", big * 1.1))
    elif style == 3 and word:
        middle.append(Line(word, class_values, "head", big * 1.2))
        middle.append(Line(f"{agency} APPROVED", {"agency": agency}, "body", 1.0))
    elif style == 4 and word:
        middle.append(Line(f"{word} PARTICULATE RESPIRATOR", class_values, "body", 1.0))
        middle.append(Line(agency, {"agency": agency}, "head", big))
    elif style == 5 and word:
        middle.append(Line(f"{agency}-APPROVED {word}", {"agency": agency, **class_values}))
    else:
        middle.append(Line(f"{agency} {word}".strip(), {"agency": agency, **class_values}, "head"))
    if fault == "no_agency_word":
        middle = [Line(word, class_values, "head", big)] if word else []
    if fault != "approval_number_missing":
        values = {"approval_number": approval}
        text = approval
        roll = rng.random()
        if roll < 0.10:
            text = f"APPROVAL {approval}"
        elif roll < 0.16 and fault not in ("agency_misspelt", "no_agency_word"):
            text = f"NIOSH {approval}"
            values["agency"] = "NIOSH"
        middle.insert(int(rng.integers(0, len(middle) + 1)), Line(text, values, "body", 1.0))
    item_line = _model_line(rng, item)
    middle.insert(int(rng.integers(0, len(middle) + 1)), item_line)
    lines += middle
    if fault == "class_contradicts_efficiency":
        claim = "99%" if "95" in grade else "100%"
        lines.append(Line(f"{pick(rng, 'FILTRATION', 'PFE', 'EFFICIENCY')} ≥ {claim}",
                          {"efficiency": claim}, "body", 0.9))  # fmt: skip
    elif rng.random() < 0.08:
        claim = {"95": "95%", "99": "99%"}.get(grade[1:], "99.97%")
        lines.append(Line(f"{pick(rng, 'FILTRATION', 'PFE')} ≥{claim}", {"efficiency": claim},
                          "body", 0.9))  # fmt: skip
    lines += _tail(rng, 0.55, 0.15, 0.2)
    return lines, None


def _en(rng: Rng, fault: str | None, maker: str) -> tuple[list[Line], str | None]:
    grade = str(rng.choice(["FFP2", "FFP2", "FFP2", "FFP3", "FFP3", "FFP1"]))
    if fault == "class_unknown":
        grade = pick(rng, "FFP4", "FFP95", "FPP2")
    reuse = pick(rng, "NR", "NR", "NR", "R")
    clog = rng.random() < 0.45
    suffix = reuse + (" D" if clog else "")
    if fault == "reuse_mark_missing":
        suffix = ""
    if fault == "old_suffix":
        suffix = pick(rng, "S", "SL")
    if rng.random() < 0.08 and fault is None:
        grade_text = f"{grade}-{suffix}"
    else:
        grade_text = f"{grade} {suffix}".strip()
    if rng.random() < 0.1 and suffix and "-" not in grade_text:
        grade_text = grade + suffix
    values_class = {"filter_class": grade}
    if suffix and fault != "old_suffix":
        values_class["reuse"] = suffix
    standard = pick(rng, "EN 149:2001+A1:2009", "EN 149:2001+A1:2009", "EN149:2001+A1:2009",
                    "EN149:2001+A1:2009", "EN 149:2001 + A1:2009", "EN149:2001 +A1:2009",
                    "EN 149:2001", "EN149: 2001+A1: 2009")  # fmt: skip
    if fault == "standard_wrong_year":
        standard = pick(rng, "EN 149:2011+A1:2009", "EN149:2009", "EN 149:2001+A1:2014",
                        "EN 149:2010+A1:2009", "EN149:2020")  # fmt: skip
    if fault == "standard_wrong":
        standard = pick(rng, "EN 14683:2019", "EN 143:2000", "EN 140:1998")
    body = digits(rng, 4)
    while body == "0000":
        body = digits(rng, 4)
    if rng.random() < 0.5:
        body = pick(rng, "0", "1", "2") + body[1:]
    if fault == "body_number_too_short":
        body = digits(rng, 3)
    if fault == "body_number_too_long":
        body = digits(rng, 5)
    item = model(rng, grade, maker)
    mark: dict[str, str] = {"conformity_mark": "CE", "body_number": body}
    mark_text = f"CE {body}"
    if fault == "body_number_missing":
        mark, mark_text = {"conformity_mark": "CE"}, "CE"
    lines = [] if fault == "holder_missing" else [_holder_line(rng, maker)]
    class_first = {} if fault == "class_missing" else values_class
    class_text = "" if fault == "class_missing" else grade_text
    big = float(rng.uniform(1.0, 1.5))
    style = int(rng.integers(6))
    rest: list[Line] = []
    if style == 0 and class_text:
        rest.append(Line(f"{item} {class_text}", {"model": item, **class_first}))
        rest.append(Line(standard, {"standard": standard}, "body", 0.9))
    elif style == 1 and class_text:
        rest.append(_model_line(rng, item))
        rest.append(Line(f"{standard} {class_text}", {"standard": standard, **class_first}))
    else:
        rest.append(_model_line(rng, item))
        rest.append(Line(standard, {"standard": standard}, "body", 0.95))
        if class_text:
            rest.insert(int(rng.integers(0, 3)), Line(class_text, class_first, "head", big))
    if fault == "standard_missing":
        rest = [r for r in rest if "standard" not in r.values]
    if fault == "foreign_class_beside":
        extra = pick(rng, "N95", "KN95", "KF94")
        rest.append(Line(extra, {"other_class": extra}, "head", big))
    mark_line = Line(mark_text, mark, "head", float(rng.uniform(1.0, 1.5)))
    rest.insert(int(rng.integers(0, len(rest) + 1)), mark_line)
    lines += rest
    if fault == "class_contradicts_efficiency":
        claim = {"FFP1": "94%", "FFP2": "99%"}.get(grade, "90%")
        lines.append(Line(f"FILTRATION ≥ {claim}", {"efficiency": claim}, "body", 0.9))
    elif rng.random() < 0.06:
        claim = {"FFP1": "80%", "FFP2": "94%"}.get(grade, "99%")
        lines.append(Line(f"FILTRATION ≥ {claim}", {"efficiency": claim}, "body", 0.9))
    lines += _tail(rng, 0.4, 0.12, 0.3)
    return lines, suffix or None


def _gb(rng: Rng, fault: str | None, maker: str) -> tuple[list[Line], str | None]:
    grade = str(rng.choice(["KN95", "KN95", "KN95", "KN95", "KN90", "KN100", "KP95"]))
    if fault == "class_unknown":
        grade = pick(rng, "KN99", "KN96", "KP94", "KN98")
    year = "2019" if rng.random() < 0.7 else "2006"
    if fault == "gb_year_against_date":
        year = "2006"
    standard = pick(rng, "GB 2626-", "GB2626-", "GB2626-", "GB 2626-") + year
    if fault == "standard_prefix":
        standard = f"GB/T 2626-{year}"
    if fault == "standard_without_year":
        standard = pick(rng, "GB2626", "GB 2626")
    item = model(rng, grade, maker)
    lines = [] if fault == "holder_missing" else [_holder_line(rng, maker)]
    if rng.random() < 0.6:
        lines.append(_model_line(rng, item))
    style = int(rng.integers(4))
    big = float(rng.uniform(1.1, 2.0))
    gap = "-" if rng.random() < 0.2 else " "
    if fault == "standard_missing":
        lines.append(Line(grade, {"filter_class": grade}, "head", big))
    elif style == 0:
        lines.append(Line(f"{standard}{gap}{grade}", {"standard": standard, "filter_class": grade}))
    elif style == 1:
        lines.append(Line(standard, {"standard": standard}))
        lines.append(Line(grade, {"filter_class": grade}, "head", big))
    else:
        lines.append(Line(grade, {"filter_class": grade}, "head", big))
        lines.append(Line(standard, {"standard": standard}))
    if fault == "agency_beside":
        lines.append(Line("NIOSH", {"agency": "NIOSH"}, "body", 1.0))
    if fault == "gb_year_against_date":
        lines.append(_made_line(rng, 2022, 2026))
        lines += _tail(rng, 0.3, 0, 0)
    else:
        lines += _tail(rng, 0.35, 0, 0.1)
        if rng.random() < 0.2 and fault is None:
            lines.append(_made_line(rng, *((2021, 2026) if year == "2019" else (2017, 2020))))
    return lines, None


def _br(rng: Rng, fault: str | None, maker: str) -> tuple[list[Line], str | None]:
    grade = pick(rng, "PFF2", "PFF2", "PFF1", "PFF3")
    kind = pick(rng, "S", "S", "SL")
    if fault == "suffix_missing":
        kind = ""
    text = f"{grade} ({kind})" if kind and rng.random() < 0.5 else f"{grade} {kind}".strip()
    serial = digits(rng, 6 if fault == "ca_too_many_digits" else 5)
    if serial[0] == "0":
        serial = "3" + serial[1:]
    if rng.random() < 0.4 and len(serial) == 5:
        serial = f"{serial[:2]}.{serial[2:]}"
    label = pick(rng, "CA ", "C.A. ", "CA: ", "CA N. ")
    lines = [] if fault == "holder_missing" else [_holder_line(rng, maker)]
    rest = [_model_line(rng, model(rng, grade, maker)),
            Line(text, {"filter_class": grade}, "head", float(rng.uniform(1, 1.5)))]  # fmt: skip
    if fault != "approval_number_missing":
        rest.insert(int(rng.integers(0, 3)), Line(label + serial, {"approval_number": serial}))
    if rng.random() < 0.5:
        standard = pick(rng, "ABNT NBR 13698", "NBR 13698", "ABNT NBR 13698:2022", "NBR 13698:2011")
        rest.append(Line(standard, {"standard": standard}, "body", 0.9))
    value = lot(rng)
    rest.append(Line(pick(rng, "LOTE ", "LOTE: ", "Lote ") + value, {"lot": value}, "code", 0.85))
    return lines + rest, kind or None


def _in(rng: Rng, fault: str | None, maker: str) -> tuple[list[Line], str | None]:
    grade = pick(rng, "FFP2", "FFP2", "FFP1", "FFP3")
    kind = pick(rng, "S", "SL")
    text = f"{grade} {kind}"
    if fault == "foreign_class":
        grade = text = "N95"
        kind = ""
    standard = pick(rng, "IS 9473:2002", "IS 9473", "IS:9473", "IS 9473 : 2002")
    if fault == "standard_wrong":
        standard = pick(rng, "ISO 9473:2002", "IS 9437:2002")
    number = "CM/L-" + digits(rng, int(rng.choice([7, 7, 10, 8])))
    if fault == "licence_digit_count":
        number = "CM/L-" + digits(rng, int(rng.choice([5, 6, 9])))
    rest = [Line(standard, {"standard": standard}),
            Line(text, {"filter_class": grade}, "head", float(rng.uniform(1, 1.5))),
            _model_line(rng, model(rng, grade, maker))]  # fmt: skip
    if fault != "approval_number_missing":
        rest.insert(int(rng.integers(1, 4)), Line(number, {"approval_number": number}))
    lines = [] if fault == "holder_missing" else [_holder_line(rng, maker)]
    return lines + rest + _tail(rng, 0.6, 0.3, 0.2), kind or None


def _au(rng: Rng, fault: str | None, maker: str) -> tuple[list[Line], str | None]:
    grade = pick(rng, "P2", "P2", "P2", "P1")
    if fault == "class_unknown":
        grade = pick(rng, "P4", "P95")
    standard = pick(rng, "AS/NZS 1716:2012", "AS/NZS 1716", "AS/NZS1716:2012", "AS/NZS 1716:2003")
    if fault == "standard_wrong":
        standard = "AS/NZS 1715:2009"
    lines = [] if fault == "holder_missing" else [_holder_line(rng, maker)]
    lines.append(_model_line(rng, model(rng, grade, maker)))
    if fault == "standard_missing":
        lines.append(Line(grade, {"filter_class": grade}, "head", 1.5))
    elif rng.random() < 0.5:
        text = f"{grade} {standard}" if rng.random() < 0.5 else f"{standard} {grade}"
        lines.append(Line(text, {"filter_class": grade, "standard": standard}))
    else:
        lines.append(Line(standard, {"standard": standard}))
        lines.append(Line(grade, {"filter_class": grade}, "head", float(rng.uniform(1.2, 2))))
    return lines + _tail(rng, 0.6, 0.2, 0.3), None


def _kr(rng: Rng, fault: str | None, maker: str) -> tuple[list[Line], str | None]:
    grade = pick(rng, "KF94", "KF94", "KF94", "KF80", "KF99")
    if fault == "class_unknown":
        grade = pick(rng, "KF95", "KF90", "KF97")
    lines = [] if fault == "holder_missing" else [_holder_line(rng, maker)]
    lines.append(Line(grade, {"filter_class": grade}, "head", float(rng.uniform(1.2, 2.2))))
    if rng.random() < 0.5:
        lines.append(_model_line(rng, model(rng, grade, maker)))
    return lines + _tail(rng, 0.4, 0.1, 0.4), None


def _ca(rng: Rng, fault: str | None, maker: str) -> tuple[list[Line], str | None]:
    grade = pick(rng, "CA-N95", "CA-N95", "95PFE", "CA-N99", "CA-N95F")
    standard = pick(rng, "CSA Z94.4.1-21", "CSA Z94.4.1:21", "CSA Z94.4.1")
    if fault == "class_unknown":
        grade = "CA-N94"
    lines = [] if fault == "holder_missing" else [_holder_line(rng, maker)]
    rest = [Line(grade, {"filter_class": grade}, "head", float(rng.uniform(1.1, 1.6))),
            Line(standard, {"standard": standard}),
            _model_line(rng, model(rng, grade.replace("-", ""), maker))]  # fmt: skip
    if fault == "standard_missing":
        rest.pop(1)
    return lines + rest + _tail(rng, 0.6, 0.1, 0.3), None


def _mx(rng: Rng, fault: str | None, maker: str) -> tuple[list[Line], str | None]:
    grade = pick(rng, "N95", "N95", "N99", "R95", "P95")
    standard = pick(rng, "NOM-116-STPS-2009", "NOM-116-STPS-2009", "NOM 116-STPS-2009")
    lines = [] if fault == "holder_missing" else [_holder_line(rng, maker)]
    rest = [_model_line(rng, model(rng, grade, maker)),
            Line(grade, {"filter_class": grade}, "head", float(rng.uniform(1.1, 1.6))),
            Line(standard, {"standard": standard})]  # fmt: skip
    if fault == "standard_wrong_year":
        rest[-1] = Line("NOM-116-STPS-2019", {"standard": "NOM-116-STPS-2019"})
    return lines + rest + _tail(rng, 0.6, 0.1, 0.2), None


def _jp(rng: Rng, fault: str | None, maker: str) -> tuple[list[Line], str | None]:
    grade = pick(rng, "DS2", "DS2", "DS1", "DS3", "DL2")
    if fault == "class_unknown":
        grade = pick(rng, "DS4", "DS95")
    number = "TM" + digits(rng, int(rng.integers(2, 5)))
    lines = [] if fault == "holder_missing" else [_holder_line(rng, maker)]
    rest = [_model_line(rng, model(rng, grade, maker)),
            Line(grade, {"filter_class": grade}, "head", float(rng.uniform(1.1, 1.7)))]  # fmt: skip
    if fault != "approval_number_missing":
        rest.append(Line(number, {"approval_number": number}, "body", 0.9))
    return lines + rest + _tail(rng, 0.5, 0.2, 0.1), None


_Layout = Callable[[Rng, "str | None", str], tuple[list[Line], "str | None"]]
_LAYOUTS: dict[str, _Layout] = {
    "US-NIOSH": _us, "EU-EN149": _en, "CN-GB2626": _gb, "BR-PFF2": _br, "IN-IS9473": _in,
    "AU-ASNZS1716": _au, "KR-KF94": _kr, "CA-CSA": _ca, "MX-NOM116": _mx, "JP-DS2": _jp,
}  # fmt: skip

_EVERYWHERE = ("fda_approved", "for_children", "holder_missing")
FAULTS: dict[str, tuple[str, ...]] = {
    "US-NIOSH": (*_EVERYWHERE, "foreign_class_with_tc", "agency_misspelt",
                 "approval_number_missing", "class_contradicts_efficiency", "class_missing",
                 "no_agency_word", "tc_too_few_digits", "tc_too_many_digits",
                 "tc_wrong_schedule"),
    "EU-EN149": (*_EVERYWHERE, "body_number_too_short", "body_number_too_long",
                 "body_number_missing", "reuse_mark_missing", "old_suffix", "standard_wrong_year",
                 "standard_wrong", "standard_missing", "class_contradicts_efficiency",
                 "class_missing", "class_unknown", "foreign_class_beside"),
    "CN-GB2626": (*_EVERYWHERE, "gb_year_against_date", "class_unknown", "standard_prefix",
                  "standard_without_year", "standard_missing", "agency_beside"),
    "BR-PFF2": (*_EVERYWHERE, "suffix_missing", "ca_too_many_digits", "approval_number_missing"),
    "IN-IS9473": (*_EVERYWHERE, "licence_digit_count", "foreign_class", "standard_wrong",
                  "approval_number_missing"),
    "AU-ASNZS1716": (*_EVERYWHERE, "class_unknown", "standard_wrong", "standard_missing"),
    "KR-KF94": (*_EVERYWHERE, "class_unknown"),
    "CA-CSA": (*_EVERYWHERE, "class_unknown", "standard_missing"),
    "MX-NOM116": (*_EVERYWHERE, "standard_wrong_year"),
    "JP-DS2": (*_EVERYWHERE, "class_unknown", "approval_number_missing"),
}  # fmt: skip


def compose(rng: Rng, scheme: str, fault: str | None, maker: str | None = None) -> Print:
    """Text of one unit's print for a scheme, with one planted fault or none.

    Raises ValueError for a scheme or a fault that is not listed in SCHEMES or FAULTS.
    """
    if scheme not in _LAYOUTS:
        raise ValueError(f"no layout for scheme {scheme!r}; there are {', '.join(SCHEMES)}")
    if fault is not None and fault not in FAULTS[scheme]:
        raise ValueError(f"{scheme} has no fault {fault!r}; it has {', '.join(FAULTS[scheme])}")
    name = maker or holder(rng)
    lines, suffix = _LAYOUTS[scheme](rng, fault, name)
    if fault == "fda_approved":
        text = pick(rng, "FDA APPROVED", "FDA Approved", "FDA REGISTERED", "APPROVED BY FDA")
        lines.append(Line(text, {"claims": text}, "body", 0.9))
    elif fault == "for_children":
        text = pick(rng, "KIDS", "FOR CHILDREN", "CHILD SIZE", "FOR KIDS")
        lines.append(Line(text, {"claims": text}, "body", 0.95))
    lines += _extra(rng)
    if rng.random() < 0.06 and len(lines) > 4:
        lines = [*lines[1:], lines[0]]
    return Print(scheme, fault, tuple(lines), suffix)
