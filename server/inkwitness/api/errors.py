"""The one place that turns errors into HTTP answers: `{"error": {"code", "key", "message"}}`.

The message is in the language of whoever asked; logs are English.
"""

import logging
from typing import Any

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from fastapi.responses import JSONResponse
from pydantic import BaseModel, Field
from sqlalchemy.exc import DatabaseError
from starlette.exceptions import HTTPException
from starlette.types import Scope

from inkwitness import phrases
from inkwitness.access.errors import NotAllowed, NotSignedIn, OtherPerson, Wait
from inkwitness.api.language import language_of
from inkwitness.errors import (
    BadInput,
    BadList,
    Differs,
    InkwitnessError,
    NotAPhoto,
    NotFound,
    ReaderMissing,
    Removed,
    StorageTrouble,
    TooLarge,
)
from inkwitness.phrases import Said
from inkwitness.records.consignments import Refused
from inkwitness.records.trouble import stored_nothing, trouble
from inkwitness.yaml_text import BadRules

_log = logging.getLogger(__name__)


class BadRequest(InkwitnessError):
    """A header that every write needs is missing or cannot be read."""

    code = "bad_request"


class TooMany(InkwitnessError):
    """More is waiting than is worked off soon; HTTP 429."""

    code = "too_many"


class NoTurn(TooMany):
    """Many send at once, and this one's turn did not come; HTTP 503."""


class Unusable(InkwitnessError):
    """An address or a method that there is not; `status` as HTTP has it."""

    code = "http_error"

    def __init__(self, key: str, /, status: int, **values: Said) -> None:
        super().__init__(key, **values)
        self.status = status


class NotLetIn(Unusable):
    """A request that did not come by a way that is open here; its key is its code."""

    def __init__(self, key: str, /, status: int = 403, **values: Said) -> None:
        super().__init__(key, status, **values)
        self.code = key


class Fault(InkwitnessError):
    """A mistake in this program, or in the rules that it was given; HTTP 500."""

    code = "internal"


# The first that fits counts: subclasses stand before their bases.
_STATUS: tuple[tuple[type[InkwitnessError], int], ...] = (
    (NotAPhoto, 415),
    (TooLarge, 413),
    (BadInput, 422),
    (BadList, 422),
    (NotFound, 404),
    (Removed, 410),
    (Differs, 409),
    (Refused, 409),
    (NotSignedIn, 401),
    (NotAllowed, 403),
    (OtherPerson, 403),
    (Wait, 429),
    (BadRequest, 400),
    (NoTurn, 503),
    (TooMany, 429),
    (ReaderMissing, 503),
    (StorageTrouble, 503),
    (Fault, 500),
)


class ErrorBody(BaseModel):
    """What went wrong: a code for programs and a sentence that says what to do."""

    code: str
    key: str = Field(description="name of the sentence in `rules/messages/<lang>/errors.yaml`")
    message: str = Field(description="in the language asked for: `lang`, else `Accept-Language`")


class ErrorOut(BaseModel):
    """Every answer that is not 2xx."""

    error: ErrorBody


#: After how many seconds to try again, by why it did not go.
_RETRY_AFTER = {"busy": 2, "no_space": 60, "read_only": 60, "storage": 30, "too_many": 5}


_REFERS = {"$ref": "#/components/schemas/ErrorOut"}
#: What any route may answer beside its own, for the description of the API. By reference: given as
#: a model, it would be compiled for each on each route, most of the time that a start takes.
SENT: dict[int | str, dict[str, Any]] = {
    status: {"description": why, "content": {"application/json": {"schema": _REFERS}}}
    for status, why in (
        (400, "a header or an address that cannot be used"),
        (404, "nothing has this id or address"),
        (410, "the bytes were removed for good; by whom and why stands there"),
        (409, "the id was used before with other content, or the step is not open yet"),
        (413, "over a limit on bytes, pixels, memory or time"),
        (422, "a field that cannot be used"),
        (429, "too much at once from this address; see Retry-After"),
        (500, "a fault in this program"),
        (503, "busy, no space, or storage in trouble; see Retry-After"),
    )
}


def answer(error: InkwitnessError, scope: Scope) -> JSONResponse:
    """An error as JSON; where it passes, with the seconds after which to try again."""
    language = language_of(scope)
    status = status_of(error)
    code = error.kind if isinstance(error, StorageTrouble) else error.code
    headers = {"Content-Language": language, "Vary": "Accept-Language"}
    if status in (429, 503):
        seconds = error.seconds if isinstance(error, Wait) else _RETRY_AFTER.get(code, 30)
        headers["Retry-After"] = str(seconds)
    told = error.said(phrases.shipped().of(language))
    content = {"error": {"code": code, "key": error.key, "message": told}}
    return JSONResponse(content, status_code=status, headers=headers)


def status_of(error: InkwitnessError) -> int:
    """The HTTP status of one of our errors."""
    if isinstance(error, Unusable):
        return error.status
    return next((status for kind, status in _STATUS if isinstance(error, kind)), 500)


def install(app: FastAPI) -> None:
    """Have every error answered in the one shape."""

    @app.exception_handler(StorageTrouble)
    @app.exception_handler(DatabaseError)
    @app.exception_handler(OSError)
    def _storage(request: Request, error: Exception) -> JSONResponse:
        kind = trouble(error)
        if kind is None:
            return _fault(request, error)
        _log.warning("%s %s: %s: %s", request.method, request.url.path, kind, error)
        told = error if isinstance(error, StorageTrouble) else stored_nothing(kind)
        return answer(told, request.scope)

    @app.exception_handler(InkwitnessError)
    def _ours(request: Request, error: InkwitnessError) -> JSONResponse:
        return answer(error, request.scope)

    @app.exception_handler(RequestValidationError)
    def _invalid(request: Request, error: RequestValidationError) -> JSONResponse:
        # what pydantic says of a field is for whoever writes the program that asks
        told = "; ".join(
            f"{'.'.join(str(part) for part in one['loc'][1:]) or one['loc'][0]}: {one['msg']}"
            for one in error.errors()
        )
        return answer(BadInput("request_fields", problems=told), request.scope)

    @app.exception_handler(HTTPException)
    def _http(request: Request, error: HTTPException) -> JSONResponse:
        if error.status_code == 404:
            return answer(NotFound("no_address", path=request.url.path), request.scope)
        if isinstance(error.__cause__, OSError):
            # FastAPI calls any fault while a body comes in a bad request: over 1 MB it is written
            # to a file, and a disk that is full is not the sender's fault, who would give up
            kind = trouble(error.__cause__) or "storage"
            _log.warning("%s %s: %s: %r", request.method, request.url.path, kind, error.__cause__)
            return answer(stored_nothing(kind), request.scope)
        unusable = Unusable("http_error", error.status_code, detail=str(error.detail))
        return answer(unusable, request.scope)

    @app.exception_handler(BadRules)
    def _rules(request: Request, error: BadRules) -> JSONResponse:
        _log.error("%s %s: %s", request.method, request.url.path, error)
        return answer(Fault("bad_rules"), request.scope)

    @app.exception_handler(Exception)
    def _fault(request: Request, error: Exception) -> JSONResponse:
        _log.error("%s %s failed", request.method, request.url.path, exc_info=error)
        return answer(Fault("fault"), request.scope)
