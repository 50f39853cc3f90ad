"""An invented list, and marks as a confirmed reading gives them, for the tests of this stage."""

import datetime as dt

from inkwitness.holders.values import HolderEntry, HolderList, PrivateLabel
from inkwitness.marks.values import Alternative, Mark, Standing
from inkwitness.rulebook import shipped

ON = dt.date(2031, 3, 18)
KEYS = {"us-niosh": ("approval_number",), "eu-en149": ("manufacturer", "model", "body_number")}
BEHIND = shipped().vocabulary.printing.behind_class
_DAY = dt.date(2031, 3, 12)


def _us(holder: str, number: str, model: str, kind: str, **more: object) -> HolderEntry:
    given: dict[str, object] = {"status": "current", "checked_on": _DAY, **more}
    return HolderEntry(
        "us-niosh",
        holder,
        number,
        models=(model,),
        filter_classes=(kind,),
        **given,  # type: ignore[arg-type]
    )


E1 = _us("Vexholm Filtration Works", "TC-84A-9981", "VX-910", "N95")
E2 = _us("Vexholm Filtration Works", "TC-84A-9982", "VX-940", "P100")
E3 = _us(
    "Quarrimond Breathing Ltd",
    "TC-84A-9918",
    "QM 22",
    "N95",
    private_labels=(PrivateLabel("Lumbrel Care", ("LC-22",)),),
)
E4 = _us(
    "Ostrevane Safety",
    "TC-84A-9890",
    "OV-5",
    "N95",
    status="rescinded",
    valid_until=dt.date(2030, 11, 4),
)
E5 = _us("Tamberlow Mask Co", "TC-84A-9898n", "TM-95", "N95")
E6 = HolderEntry(
    "eu-en149",
    "Halcyra Respire",
    certificate_number="ZK/31/0457",
    models=("HR-F2",),
    filter_classes=("FFP2 NR D",),
    examination_body="9871",
    production_body="9862",
    status="current",
    valid_until=dt.date(2034, 5, 31),
    checked_on=_DAY,
)
E7 = HolderEntry(
    "eu-en149",
    "Brisdaal Textiel",
    certificate_number="ZK/28/0012",
    models=("BD-3",),
    filter_classes=("FFP3 NR",),
    examination_body="9871",
    production_body="9871",
    status="current",
    valid_until=dt.date(2031, 4, 2),
    checked_on=_DAY,
)
E8 = _us("Pellanor Industrial", "TC-84A-9700", "P-8", "N95")
HOUSE_LIST = HolderList("HOUSE-LIST", (E1, E2, E3, E4, E5, E6, E7, E8), 412, _DAY)


def mark(name: str, value: str, standing: Standing = "read", *others: str) -> Mark:
    alternatives = tuple(Alternative(other, other, 0.2) for other in others)
    return Mark(name, value, value, standing, 0.9, alternatives)


def us(
    number: str, name: str = "", model: str = "", kind: str = "", **standings: Standing
) -> list[Mark]:
    """Marks of a print that claims a US number; `filter_class="doubtful"` and so on by name."""
    values = {
        "approval_number": number,
        "manufacturer": name,
        "model": model,
        "filter_class": kind,
    }
    return [mark(key, value, standings.get(key, "read")) for key, value in values.items() if value]


def eu(name: str, model: str, kind: str = "", body: str = "") -> list[Mark]:
    """Marks of a print that claims EN 149."""
    values = {"manufacturer": name, "model": model, "filter_class": kind, "body_number": body}
    return [mark(key, value) for key, value in values.items() if value]
