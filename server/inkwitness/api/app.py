"""`create_app(settings)`: the API under /api, the page at /, everything opened and closed once."""

import datetime as dt
import importlib
from collections.abc import AsyncIterator, Callable, Mapping
from contextlib import asynccontextmanager
from functools import partial
from pathlib import Path
from typing import cast

from fastapi import APIRouter, Depends, FastAPI, HTTPException
from fastapi.middleware.gzip import GZipMiddleware
from fastapi.responses import PlainTextResponse

import inkwitness
from inkwitness.access.store import open_access
from inkwitness.api import errors
from inkwitness.api.deps import Clock, Services
from inkwitness.api.guard import gate, roles
from inkwitness.api.guard.headers import Headers
from inkwitness.api.guard.limits import InTurn, LimitBody
from inkwitness.api.routes import (
    answers,
    checks,
    confirmations,
    consignments,
    constructions,
    jobs,
    one_product,
    photos,
    reports,
    rules,
    sampling,
    units,
)
from inkwitness.api.routes.intake import declared, papers, use, walk
from inkwitness.api.routes.joining import access, people
from inkwitness.api.routes.kept import retention
from inkwitness.api.routes.leaving import given, issued, leaflet, packs, papers_out
from inkwitness.api.routes.lists import holders
from inkwitness.api.routes.server import about, docs, ready
from inkwitness.api.routes.stores import bins, find, offers, stock
from inkwitness.api.settings import Settings
from inkwitness.api.shapes import description
from inkwitness.api.take_up import TakeUp
from inkwitness.check.protocols import Judge
from inkwitness.check.values import Reading
from inkwitness.jobs.helpers import Helpers
from inkwitness.jobs.queue import Job
from inkwitness.jobs.runner import Runner
from inkwitness.jobs.watch import Watch
from inkwitness.jobs.worker import reader_named
from inkwitness.network.addresses import Reach
from inkwitness.records.chain import WriteContext
from inkwitness.records.finding.finder import Finder
from inkwitness.records.lists import CurrentList
from inkwitness.records.store import open_store
from inkwitness.use_cases.judged import judging

Names = Callable[[], set[str]]

_ROUTERS = (
    photos,
    retention,
    jobs,
    units,
    answers,
    constructions,
    checks,
    confirmations,
    consignments,
    one_product,
    reports,
    given,
    packs,
    papers_out,
    leaflet,
    issued,
    sampling,
    holders,
    declared,
    papers,
    use,
    walk,
    about,
    access,
    people,
    ready,
    stock,
    find,
    bins,
    offers,
    rules,
)


def create_app(
    settings: Settings,
    *,
    clock: Clock | None = None,
    names: Names | None = None,
    reach: Callable[[], Reach] | None = None,
    opened: Callable[[], None] = lambda: None,
) -> FastAPI:
    """The application. Nothing is opened before it starts, and everything is closed when it ends.

    `clock` answers the time in UTC; tests fix it. `names` answers the host names and addresses at
    which the server can be reached now, beside loopback and the settings' own; `reach` the same as
    addresses to scan. `opened` is called once the data folder is this server's alone, before it
    answers anybody.
    """
    now = clock or (lambda: dt.datetime.now(dt.UTC))

    @asynccontextmanager
    async def lifespan(app: FastAPI) -> AsyncIterator[None]:
        services = _open(settings, now)
        services.reach = reach
        app.state.services = services
        services.runner.start()
        services.watch.start()
        take_up = TakeUp(services)
        take_up.start()
        try:
            opened()
            yield
        finally:
            take_up.stop()
            services.watch.stop()
            services.runner.stop()
            services.pictures.stop()
            services.tables.stop()
            services.finder.close()
            services.papers.stop()
            services.store.close()
            if services.access is not None:
                services.access.close()

    app = FastAPI(
        title="Inkwitness",
        version=inkwitness.__version__,
        summary="Reads the print on a respirator and says what it says.",
        description=(
            "Photos go in, readings and checks come out. A check says what was read, what is "
            "missing, what contradicts what and what the user's own list says. "
            "It is not proof of authenticity."
        ),
        openapi_url="/api/openapi.json",
        docs_url=None,
        redoc_url=None,
        lifespan=lifespan,
    )
    errors.install(app)
    description.install(app)
    docs.install(app)
    app.add_middleware(LimitBody)
    app.add_middleware(InTurn)
    # nobody's body waits for no turn
    app.add_middleware(roles.NobodysBody)
    app.add_middleware(GZipMiddleware, minimum_size=1024)
    app.add_middleware(gate.Gate, ways=_ways(settings, names))
    # added last, so that what the others refuse has the headers too
    app.add_middleware(Headers)
    api = APIRouter(prefix="/api", dependencies=[Depends(roles.enforce)])
    for module in _ROUTERS:
        api.include_router(module.router, responses=errors.SENT)

    @api.get("/{path:path}", include_in_schema=False, openapi_extra=roles.may(*roles.READERS))
    def nothing_there(path: str) -> None:
        # or the page's own fallback would answer an unknown address of the API
        raise HTTPException(404, path)

    app.include_router(api)
    _page(app, settings.web or inkwitness.shipped_folder("page"))
    return app


def _ways(settings: Settings, names: Names | None) -> gate.Ways:
    outside = gate.outside_origin(settings.outside) if settings.outside else ""
    fixed = {gate.bare_name(name.strip()) for name in settings.names.split(",") if name.strip()}
    if outside:
        fixed.add(gate.bare_name(outside.removeprefix("https://")))
    return gate.Ways(
        names=lambda: frozenset(fixed | (names() if names is not None else set())),
        accounts=settings.accounts,
        outside=outside,
    )


def _open(settings: Settings, now: Clock) -> Services:
    store = open_store(settings.data, alone=True)
    current_list = CurrentList(store.database)
    module, _, name = settings.judge.partition(":")
    build = cast(Callable[[int], Judge], getattr(importlib.import_module(module), name))
    services: Services

    def keep(job: Job, reading_id: str, reading: Reading, images: Mapping[int, str]) -> None:
        judging.take_reading(
            store.database,
            job,
            reading_id,
            reading,
            images,
            services.judge(),
            services.holder_list,
            WriteContext(job.actor, now()),
            today=services.today(),
        )

    runner = Runner(
        store,
        settings.data,
        reader=settings.reader,
        keep=keep,
        clock=now,
        workers=settings.workers,
        seconds=settings.reader_seconds,
        look_around=settings.look_around_seconds,
    )
    services = Services(
        settings=settings,
        store=store,
        runner=runner,
        current_list=current_list,
        clock=now,
        build_judge=partial(build, settings.max_age_days),
        reader=reader_named(settings.reader),
        pictures=Helpers(settings.helpers, seconds=settings.helper_seconds),
        watch=Watch(store, settings.data, now),
        finder=Finder(settings.data),
        tables=Helpers(min(settings.helpers, 1), seconds=settings.helper_seconds),
        papers=Helpers(min(settings.helpers, 1), seconds=settings.report_seconds),
        access=open_access(settings.data) if settings.accounts else None,
    )
    return services


def _page(app: FastAPI, folder: Path) -> None:
    if (folder / "index.html").is_file():
        app.frontend("/", directory=folder, fallback="index.html", check_dir=True)
        return

    @app.get("/", include_in_schema=False)
    def no_page() -> PlainTextResponse:
        return PlainTextResponse(
            "The page is not built. Run `make setup`, then start again. "
            "The API is at /api; its description is at /api/openapi.json.\n",
            status_code=503,
        )
