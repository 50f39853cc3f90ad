"""What routes ask for, each as a named type: a route's signature reads as a sentence."""

import datetime as dt
import logging
import threading
import uuid
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Annotated, cast
from urllib.parse import unquote

from fastapi import Depends, Header, Query, Request
from pydantic import AfterValidator

from inkwitness import phrases, rulebook
from inkwitness.access.errors import OtherPerson
from inkwitness.access.people import name_key
from inkwitness.api.errors import BadRequest
from inkwitness.api.guard.roles import SignedIn
from inkwitness.api.settings import Settings
from inkwitness.check.protocols import Judge, Reader
from inkwitness.consignment.gate import Terms
from inkwitness.errors import BadInput, BadList
from inkwitness.holders.ended import Ended, ended_on
from inkwitness.holders.values import HolderList
from inkwitness.jobs.helpers import Helpers
from inkwitness.jobs.runner import Runner
from inkwitness.jobs.watch import Watch
from inkwitness.network.addresses import Reach
from inkwitness.phrases import Language, Phrases
from inkwitness.records import checks
from inkwitness.records.chain import Actor, WriteContext, local_actor
from inkwitness.records.database import Database
from inkwitness.records.finding.finder import Finder
from inkwitness.records.lists import CurrentList
from inkwitness.records.store import Store
from inkwitness.rulebook import Rulebook
from inkwitness.rulebook import policy as policies
from inkwitness.rulebook.policy import Policy

_log = logging.getLogger(__name__)
Clock = Callable[[], dt.datetime]


@dataclass(slots=True)
class Services:
    """What one running application has. Opened and closed by the application's lifespan."""

    settings: Settings
    store: Store
    runner: Runner
    current_list: CurrentList
    clock: Clock
    build_judge: Callable[[], Judge]
    reader: Reader
    pictures: Helpers
    tables: Helpers
    papers: Helpers
    watch: Watch
    finder: Finder
    access: Database | None = None
    reach: Callable[[], Reach] | None = None
    _judge: Judge | None = None
    _ended: tuple[HolderList | None, dt.date, tuple[Ended, ...]] | None = None
    _lock: threading.Lock = field(default_factory=threading.Lock)

    def judge(self) -> Judge:
        """What judges readings; the rules are loaded on first use."""
        with self._lock:
            if self._judge is None:
                self._judge = self.build_judge()
            return self._judge

    def phrases(self, language: str) -> Phrases:
        """What is said, in one language."""
        return phrases.shipped().of(language)

    def rulebook(self) -> Rulebook:
        """The rules, for sentences in other languages and for what a scheme asks for."""
        return rulebook.shipped()

    def holder_list(self) -> HolderList | None:
        """The edition of the list in force."""
        return self.current_list.now()

    def policy(self) -> Policy:
        """What this site wants where, by its file as it is now. Raises BadRules."""
        return policies.load(policies.find(self.settings.data, self.settings.policy))

    def terms(self) -> Terms:
        """What this site asks for before a release."""
        on = self.clock().date()
        return self.settings.terms(self.rulebook().schemes, on, self._ended_on(on))

    def _ended_on(self, on: dt.date) -> tuple[Ended, ...]:
        """The entries of the list that are over, worked out once for each edition and day."""
        try:
            holder_list = self.holder_list()
        except BadList as error:
            # a hold is kept all the same; whoever opens the list is told
            _log.error("The list cannot be used: %s", error)
            return ()
        known = self._ended
        if known is None or known[0] is not holder_list or known[1] != on:
            known = self._ended = (holder_list, on, ended_on(holder_list, on))
        return known[2]

    @property
    def two_people(self) -> bool:
        """Whether some things take a second person: where accounts tell people apart."""
        return self.access is not None

    def today(self) -> dt.date:
        """The date that checks are made for: the setting's, or the server's own."""
        return self.settings.on or checks.today(self.clock())


def _services(request: Request) -> Services:
    return cast(Services, request.app.state.services)


def _actor(signed: SignedIn, name: str) -> Actor:
    """Who writes: the person signed in where accounts are on, else whoever typed a name."""
    if signed is not None and signed.person_id is not None:
        if name and name_key(name) != name_key(signed.name):
            raise OtherPerson("other_person", name=name, now=signed.name)
        return Actor(f"person:{signed.person_id}", signed.name, signed.roles)
    if not name:
        raise BadRequest("actor_missing")
    return local_actor(name)


def _context(
    request: Request,
    signed: SignedIn,
    x_actor: Annotated[
        str | None,
        Header(description="name typed by the person, percent-encoded", examples=["Ines%20Okparo"]),
    ] = None,
    x_clock: Annotated[
        str | None,
        Header(
            description="the phone's time, ISO 8601 with offset; how far it is off is stored",
            examples=["2031-03-18T09:41:00+01:00"],
        ),
    ] = None,
) -> WriteContext:
    name = " ".join(unquote(x_actor or "").split())
    if len(name) > 100:
        raise BadRequest("actor_long")
    now = _services(request).clock()
    offset = None
    if x_clock:
        try:
            told = dt.datetime.fromisoformat(unquote(x_clock))
        except ValueError as error:
            raise BadRequest("clock_no_time") from error
        if told.tzinfo is None:
            raise BadRequest("clock_no_offset")
        offset = round((told - now).total_seconds() * 1000)
    return WriteContext(_actor(signed, name), now, offset)


def canonical_id(value: str) -> str:
    """An id in its one spelling; raises ValueError for what is no UUID."""
    try:
        return str(uuid.UUID(value))
    except ValueError as error:
        raise ValueError("an id is a UUID (make a UUIDv7)") from error


def id_in_form(text: str) -> str | None:
    """The id in a field of a form, None where it is empty. Raises BadInput."""
    try:
        return canonical_id(text) if text else None
    except ValueError as error:
        raise BadInput("id_no_uuid") from error


Id = Annotated[str, AfterValidator(canonical_id)]
App = Annotated[Services, Depends(_services)]
Writer = Annotated[WriteContext, Depends(_context)]
Lang = Annotated[Language, Query(description="language of sentences")]
