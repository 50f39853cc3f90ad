"""Judging before the write lock is taken: whoever writes meanwhile waits for no computing.

What is to be judged is known only from what is kept, and that may change until the lock is taken.
So the work is tried under the lock with what was judged so far; where it asks for more, nothing is
stored, the lock is let go, that one question is answered, and the work is tried again. What is
stored is what the same work would have stored under the lock: judging is a function of its
arguments alone (`check.protocols.Judge`).
"""

import datetime as dt
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import TypeVar, cast

from sqlalchemy import Connection

from inkwitness.check.protocols import Judge
from inkwitness.check.values import Confirmation, Judgement, Reading, UnitJudgement, UnitPhoto
from inkwitness.errors import StorageTrouble
from inkwitness.findings.values import Circumstances
from inkwitness.holders.values import HolderList
from inkwitness.records.database import Database
from inkwitness.records.lists import newest_edition_id

T = TypeVar("T")
# Each try answers one question more; a slice of a re-check asks for some tens of them.
_MOST_TRIES = 200


class _NotYet(Exception):
    """Something was asked that was not judged before."""

    def __init__(self, asked: "_Asked") -> None:
        self.asked = asked


class _OtherList(Exception):
    """Another edition of the list was put in force since the list was taken."""


@dataclass(frozen=True, slots=True)
class _Asked:
    """One question to the judge. A list is the same only where it is the same object."""

    about: tuple[object, ...]
    holder_list: HolderList | None
    answer: Callable[[], Judgement | UnitJudgement]

    def is_as(self, other: "_Asked") -> bool:
        return self.holder_list is other.holder_list and self.about == other.about


@dataclass(slots=True)
class _Ahead:
    """A judge that knows what was asked before and answers nothing else."""

    judge_of: Judge
    known: list[tuple[_Asked, Judgement | UnitJudgement]] = field(default_factory=list)

    @property
    def rules_edition(self) -> str:
        return self.judge_of.rules_edition

    def judge(
        self,
        reading: Reading,
        confirmations: Sequence[Confirmation],
        circumstances: Circumstances,
        holder_list: HolderList | None,
    ) -> Judgement:
        words = tuple(confirmations)
        asked = _Asked(
            (reading, words, circumstances),
            holder_list,
            lambda: self.judge_of.judge(reading, words, circumstances, holder_list),
        )
        return cast(Judgement, self._known(asked))

    def judge_unit(
        self, photos: Sequence[UnitPhoto], on: dt.date, holder_list: HolderList | None
    ) -> UnitJudgement:
        parts = tuple(photos)
        asked = _Asked(
            (parts, on), holder_list, lambda: self.judge_of.judge_unit(parts, on, holder_list)
        )
        return cast(UnitJudgement, self._known(asked))

    def learn(self, asked: _Asked) -> None:
        self.known.append((asked, asked.answer()))

    def _known(self, asked: _Asked) -> Judgement | UnitJudgement:
        for before, answer in self.known:
            if before.is_as(asked):
                return answer
        raise _NotYet(asked)


def judged(
    database: Database, judge: Callable[[], Judge], work: Callable[[Connection, Judge], T]
) -> T:
    """Do `work` in one write transaction, with what it has judged worked out without the lock.

    `work` may be begun several times and must do nothing but read, judge and append. Raises
    StorageTrouble where what it is about does not stay the same for long enough.
    """
    return _tried(database, _Ahead(judge()), lambda: None, work)


def judged_by_list(
    database: Database,
    judge: Callable[[], Judge],
    list_now: Callable[[], HolderList | None],
    work: Callable[[Connection, Judge, HolderList | None], T],
) -> T:
    """The same with the edition of the list that is in force when the work is stored.

    `list_now` answers it; a new one is loaded without the lock too.
    """
    edition: str | None = None
    holder_list: HolderList | None = None

    def look() -> None:
        nonlocal edition, holder_list
        with database.reading() as conn:
            edition = newest_edition_id(conn)
        # perhaps one newer than `edition`: it is then tried once more
        holder_list = list_now()

    def with_list(conn: Connection, ahead: Judge) -> T:
        if newest_edition_id(conn) != edition:
            raise _OtherList
        return work(conn, ahead, holder_list)

    return _tried(database, _Ahead(judge()), look, with_list)


def _tried(
    database: Database,
    ahead: _Ahead,
    look: Callable[[], None],
    work: Callable[[Connection, Judge], T],
) -> T:
    for _ in range(_MOST_TRIES):
        look()
        try:
            with database.writing() as conn:
                return work(conn, ahead)
        except _NotYet as missing:
            asked = missing.asked
        except _OtherList:
            continue
        ahead.learn(asked)
    raise StorageTrouble("goods_busy", "busy")
