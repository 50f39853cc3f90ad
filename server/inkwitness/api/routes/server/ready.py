"""`/ready`: whether photos are being read and kept, for whoever watches the machine."""

import datetime as dt
import os
import shutil

from fastapi import APIRouter, Response
from pydantic import Field

from inkwitness.api.deps import App
from inkwitness.api.guard.roles import ANYONE, SignedIn, may
from inkwitness.api.shapes.wire import Answer
from inkwitness.jobs import queue as jobs

router = APIRouter(tags=["about"])


class Ready(Answer):
    """All is well where `ready`; else one of the others says what is not."""

    ready: bool
    readers_alive: int
    readers: int
    readers_begun_anew: int
    waiting: int = Field(description="photos that were taken and are not read yet")
    oldest_waits_seconds: float
    trouble: str = Field(description="busy, no_space, read_only or storage; empty: none")
    writable: bool
    free_mb: int
    records: str = Field(description="whole, found (see /api/records), or not_looked_at")


class Well(Answer):
    """What whoever is not signed in is told, where people sign in."""

    ready: bool


@router.get(
    "/ready",
    responses={503: {"model": Ready | Well, "description": "something is not well"}},
    openapi_extra=may(ANYONE),
)
def ready(app: App, signed: SignedIn, response: Response) -> Ready | Well:
    """Readers, queue, folder, space and records; 503 where photos cannot be taken or read.

    Needs no account, for a program that watches; where accounts are on it is told yes or no alone.
    """
    health = app.runner.health()
    with app.store.database.reading() as conn:
        waiting, since = jobs.waiting(conn)
    age = 0.0
    if since is not None:
        age = max(0.0, (app.clock() - dt.datetime.fromisoformat(since)).total_seconds())
    free = shutil.disk_usage(app.settings.data).free
    writable = os.access(app.settings.data, os.W_OK)
    looked = app.watch.last()
    records = "not_looked_at" if looked is None else "found" if looked.done.found else "whole"
    well = (
        health.alive == health.wanted
        and not health.trouble
        and writable
        and free >= app.settings.least_free_mb * 1_000_000
    )
    if not well:
        response.status_code = 503
        response.headers["Retry-After"] = "30"
    if app.settings.accounts and (signed is None or signed.person_id is None):
        return Well(ready=well)
    return Ready(
        ready=well,
        readers_alive=health.alive,
        readers=health.wanted,
        readers_begun_anew=health.restarts,
        waiting=waiting,
        oldest_waits_seconds=round(age, 1),
        trouble=health.trouble,
        writable=writable,
        free_mb=free // 1_000_000,
        records=records,
    )
