"""Stands in for readers and judge where a test is about the server: no picture is read.

What "was read" depends on the file's name alone: `conflict.png`, `missing.png`, ... give that
outcome; `dies.png` ends the process; `slow.png` takes a while; `bug.png` raises.
"""

import datetime as dt
import os
import time
from collections.abc import Sequence
from dataclasses import replace
from typing import Any, cast

import numpy as np

from inkwitness.check.values import (
    Confirmation,
    ItemJudged,
    Judgement,
    PhotoRead,
    Reading,
    UnitJudgement,
    UnitPhoto,
)
from inkwitness.errors import ReaderMissing
from inkwitness.findings.outcome import WORST_FIRST, Outcome
from inkwitness.findings.values import Circumstances, Finding, Placed
from inkwitness.holders.values import HolderMatch
from inkwitness.marks.values import Mark
from tests.typed import item_of, reading_of

NUMBER = "TC-84A-9981"
READERS = ("pretend 1.0",)
CONFLICT = Finding(
    rule="us-class-unknown",
    scheme="us-niosh",
    severity="conflict",
    values=(("printed", "N96"),),
    marks=("filter_class",),
    says="The class N96 is none of the nine classes.",
    source="42 CFR Part 84, subpart K, 1995 (read)",
)
CAUTION = Finding(
    rule="us-tc-digit-count",
    scheme="us-niosh",
    severity="caution",
    says="The number has five digits where four are usual.",
)
MARK = Mark(
    "approval_number",
    NUMBER,
    NUMBER,
    "read",
    0.97,
    polygon=((1.0, 1.0), (9.0, 1.0), (9.0, 3.0), (1.0, 3.0)),
    readers=("pretend",),
    line=0,
    id="0:0:approval_number",
)


class FakeReader:
    names = READERS

    def load(self) -> None:
        """Nothing to load."""

    def read(self, data: bytes, name: str) -> PhotoRead:
        del data
        if name == "dies.png":
            os._exit(9)
        if name == "slow.png":
            time.sleep(30)
        if name == "bug.png":
            raise ZeroDivisionError("a bug")
        if name == "no_reader.png":
            raise ReaderMissing("rapidocr_missing")
        image = np.full((8, 40, 3), 255, np.uint8)
        reading = reading_of(item_of((NUMBER,), (MARK,)), name=name, readers=READERS)
        return PhotoRead(reading, {0: image})


class FakeJudge:
    rules_edition = "rules-test"

    def judge(
        self,
        reading: Reading,
        confirmations: Sequence[Confirmation],
        circumstances: Circumstances,
        holder_list: Any,
    ) -> Judgement:
        stem = reading.photo.rpartition(".")[0]
        known = stem if stem in ("conflict", "missing", "cannot_tell") else "no_conflict_found"
        outcome = cast(Outcome, known)
        marks = {mark.mark: mark for mark in reading.items[0].marks}
        for word in confirmations:
            printed = word.printed or ""
            marks[word.mark] = Mark(
                word.mark,
                printed,
                printed,
                "read" if printed else "absent",
                1.0,
                confirmed=True,
                id=f"0:0:{word.mark}",
            )
        item = ItemJudged(
            surface=circumstances.surface,
            whole=circumstances.whole,
            schemes=("us-niosh",),
            marks=tuple(marks.values()),
            findings=(CONFLICT, CAUTION) if outcome == "conflict" else (CAUTION,),
            holder_match=HolderMatch(
                "no_list_for_scheme",
                looked_up=marks["approval_number"].value,
                list_edition=holder_list.edition if holder_list is not None else None,
            ),
            aspects={"reading": "no_conflict_found", "documents": "not_looked_at"},
        )
        return Judgement(
            on=circumstances.on,
            outcome=outcome,
            basis="confirmed" if confirmations else "reading",
            aspects=item.aspects,
            items=(item,),
            rules_edition=self.rules_edition,
        )

    def judge_unit(
        self, photos: Sequence[UnitPhoto], on: dt.date, holder_list: Any
    ) -> UnitJudgement:
        """The worst photo's answer stands for all; the tests of merging use the real rules."""
        del holder_list
        made = [one.check.judgement for one in photos]
        worst = min(made, key=lambda one: WORST_FIRST.index(one.outcome))
        confirmed = all(one.basis == "confirmed" for one in made)
        (item,) = worst.items
        return UnitJudgement(
            on=on,
            outcome=worst.outcome,
            basis="confirmed" if confirmed else "reading",
            aspects=worst.aspects,
            photos=(),
            schemes=item.schemes,
            placed=tuple(Placed(mark, "facepiece", 0) for mark in item.marks),
            findings=item.findings,
            holder_match=item.holder_match,
            others=(),
            rules_edition=self.rules_edition,
        )


def build() -> FakeReader:
    return FakeReader()


def build_judge(max_age_days: int) -> FakeJudge:
    return FakeJudge()


class TellingReader(FakeReader):
    """Says in the notes which process it ran in."""

    def read(self, data: bytes, name: str) -> PhotoRead:
        read = super().read(data, name)
        return PhotoRead(replace(read.reading, notes=(f"process {os.getpid()}",)), read.images)


class WithReader(FakeReader):
    """Has the reader that another lacks."""

    def read(self, data: bytes, name: str) -> PhotoRead:
        del name
        return super().read(data, "plain.png")


def build_telling() -> FakeReader:
    return TellingReader()


def build_with_reader() -> FakeReader:
    return WithReader()


class LeavingReader(FakeReader):
    """Ends the thread that it runs in, as no error of ours does."""

    def read(self, data: bytes, name: str) -> PhotoRead:
        if name == "leaves.png":
            raise SystemExit
        return super().read(data, name)


def build_leaving() -> FakeReader:
    return LeavingReader()
