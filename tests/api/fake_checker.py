"""Stands in for the readers where a test is about the server: no picture is read.

What "was read" depends on the file's name alone: `conflict.png`, `missing.png`, ... give that
outcome; `dies.png` ends the process; `slow.png` takes a while; `bug.png` raises.
"""

import datetime as dt
import os
import time
from collections.abc import Sequence
from typing import Any

import numpy as np

from inkwitness.check.contract import (
    CheckOut,
    FindingOut,
    HolderMatchOut,
    ItemOut,
    LineOut,
    MarkOut,
    PlaceOut,
    UnitCheckOut,
    UnitFindingOut,
)
from inkwitness.check.values import Checked, Confirmation, UnitPhoto
from inkwitness.errors import ReaderMissing
from inkwitness.findings.outcome import WORST_FIRST
from inkwitness.findings.values import Circumstances

NUMBER = "TC-84A-9981"
READERS = ("pretend 1.0",)
CONFLICT = FindingOut(
    rule="us-class-unknown",
    scheme="us-niosh",
    severity="conflict",
    values={"printed": "N96"},
    marks=["filter_class"],
    says="The class N96 is none of the nine classes.",
    source="42 CFR Part 84, subpart K, 1995 (read)",
)
CAUTION = FindingOut(
    rule="us-tc-digit-count",
    scheme="us-niosh",
    severity="caution",
    says="The number has five digits where four are usual.",
)


class FakeChecker:
    def check(
        self, data: bytes, name: str, circumstances: Circumstances, holder_list: Any
    ) -> Checked:
        del data, holder_list
        if name == "dies.png":
            os._exit(9)
        if name == "slow.png":
            time.sleep(30)
        if name == "bug.png":
            raise ZeroDivisionError("a bug")
        if name == "no_reader.png":
            raise ReaderMissing("The reader is not installed. Run `make setup`.")
        stem = name.rpartition(".")[0]
        outcome = stem if stem in ("conflict", "missing", "cannot_tell") else "no_conflict_found"
        strip = np.full((8, 40, 3), 255, np.uint8)
        return Checked(made(name, circumstances, outcome), {0: strip})


class FakeRechecker:
    rules_edition = "rules-test"
    readers = READERS

    def recheck(
        self,
        previous: CheckOut,
        confirmations: tuple[Confirmation, ...],
        circumstances: Circumstances,
        holder_list: Any,
    ) -> CheckOut:
        del holder_list
        marks = dict(previous.marks)
        for word in confirmations:
            printed = word.printed or ""
            marks[word.mark] = MarkOut(
                mark=word.mark,
                printed=printed,
                value=printed,
                standing="read" if printed else "absent",
                probability=1.0,
                confirmed=True,
            )
        return previous.model_copy(
            update={
                "basis": "confirmed" if confirmations else "reading",
                "marks": marks,
                "on": circumstances.on,
                "holder_match": previous.holder_match.model_copy(
                    update={"looked_up": marks["approval_number"].value}
                ),
            }
        )

    def check_unit(
        self, photos: Sequence[UnitPhoto], on: dt.date, holder_list: Any
    ) -> UnitCheckOut:
        """The worst photo's answer stands for all; the tests of merging use the real rules."""
        del holder_list
        worst = min((one.check for one in photos), key=lambda out: WORST_FIRST.index(out.outcome))
        confirmed = all(one.check.basis == "confirmed" for one in photos)
        return UnitCheckOut(
            on=on,
            outcome=worst.outcome,
            basis="confirmed" if confirmed else "reading",
            aspects=worst.aspects,
            photos=[],
            schemes=[worst.scheme],
            scheme=worst.scheme,
            marks={
                name: PlaceOut(photo=0, surface="facepiece", mark=mark)
                for name, mark in worst.marks.items()
            },
            placed=[],
            findings=[UnitFindingOut(**dict(finding)) for finding in worst.findings],
            holder_match=worst.holder_match,
        )


def build(max_age_days: int) -> FakeChecker:
    return FakeChecker()


def build_rechecker(max_age_days: int) -> FakeRechecker:
    return FakeRechecker()


def made(name: str, circumstances: Circumstances, outcome: str) -> CheckOut:
    number = MarkOut(
        mark="approval_number",
        printed=NUMBER,
        value=NUMBER,
        standing="read",
        probability=0.97,
        polygon=[(1, 1), (9, 1), (9, 3), (1, 3)],
        readers=["pretend"],
        line=0,
    )
    match = HolderMatchOut(state="no_list_for_scheme", looked_up=NUMBER)
    found = [CONFLICT, CAUTION] if outcome == "conflict" else [CAUTION]
    item = ItemOut(
        polygon=[(0, 0), (20, 0), (20, 20), (0, 20)],
        surface=circumstances.surface,
        whole=circumstances.whole,
        schemes=["us-niosh"],
        marks=[number],
        findings=found,
        holder_match=match,
    )
    line = LineOut(
        index=0, text=NUMBER, confidence=0.97, polygon=number.polygon, item=0, x_height_px=14
    )
    return CheckOut.model_validate(
        {
            "photo": name,
            "sha256": "0" * 64,
            "on": circumstances.on or dt.date(2031, 3, 18),
            "outcome": outcome,
            "basis": "reading",
            "aspects": {"reading": "no_conflict_found", "documents": "not_looked_at"},
            "items": [item],
            "scheme": "us-niosh",
            "marks": {"approval_number": number},
            "lines": [line],
            "findings": found,
            "holder_match": match,
            "photo_quality": [],
            "milliseconds": 7,
            "readers": list(READERS),
            "width": 20,
            "height": 20,
            "rules_edition": "rules-test",
        }
    )


class TellingChecker(FakeChecker):
    """Says in the notes which process it ran in."""

    def check(
        self, data: bytes, name: str, circumstances: Circumstances, holder_list: Any
    ) -> Checked:
        checked = super().check(data, name, circumstances, holder_list)
        out = checked.out.model_copy(update={"notes": [f"process {os.getpid()}"]})
        return Checked(out, checked.strips)


class WithReader(FakeChecker):
    """Has the reader that another lacks."""

    def check(
        self, data: bytes, name: str, circumstances: Circumstances, holder_list: Any
    ) -> Checked:
        del name
        return super().check(data, "plain.png", circumstances, holder_list)


def build_telling(max_age_days: int) -> FakeChecker:
    return TellingChecker()


def build_with_reader(max_age_days: int) -> FakeChecker:
    return WithReader()


class LeavingChecker(FakeChecker):
    """Ends the thread that it runs in, as no error of ours does."""

    def check(
        self, data: bytes, name: str, circumstances: Circumstances, holder_list: Any
    ) -> Checked:
        if name == "leaves.png":
            raise SystemExit
        return super().check(data, name, circumstances, holder_list)


def build_leaving(max_age_days: int) -> FakeChecker:
    return LeavingChecker()
