"""The one place that turns errors into HTTP answers: `{"error": {"code", "message"}}`."""

import logging
from typing import Any

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from fastapi.responses import JSONResponse
from pydantic import BaseModel
from sqlalchemy.exc import DatabaseError
from starlette.exceptions import HTTPException

from inkwitness.access.errors import NotAllowed, NotSignedIn, OtherPerson, Wait
from inkwitness.errors import (
    BadInput,
    BadList,
    BadRules,
    Differs,
    InkwitnessError,
    NotAPhoto,
    NotFound,
    ReaderMissing,
    Removed,
    StorageTrouble,
    TooLarge,
)
from inkwitness.records.consignments import Refused
from inkwitness.records.trouble import says, trouble

_log = logging.getLogger(__name__)


class BadRequest(InkwitnessError):
    """A header that every write needs is missing or cannot be read."""

    code = "bad_request"


class TooMany(InkwitnessError):
    """More is waiting than is worked off soon; HTTP 429."""

    code = "too_many"


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
    (TooMany, 429),
    (ReaderMissing, 503),
    (StorageTrouble, 503),
    (BadRules, 500),
)


class ErrorBody(BaseModel):
    """What went wrong: a code for programs and a sentence that says what to do."""

    code: str
    message: str


class ErrorOut(BaseModel):
    """Every answer that is not 2xx."""

    error: ErrorBody


#: After how many seconds to try again, by why it did not go.
_RETRY_AFTER = {"busy": 2, "no_space": 60, "read_only": 60, "storage": 30, "too_many": 5}


#: What any route may answer beside its own, for the description of the API.
SENT: dict[int | str, dict[str, Any]] = {
    status: {"model": ErrorOut, "description": why}
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


def answer(status: int, code: str, message: str) -> JSONResponse:
    """An error as JSON; where it passes, with the seconds after which to try again."""
    headers = {}
    if status in (429, 503):
        headers["Retry-After"] = str(_RETRY_AFTER.get(code, 30))
    content = {"error": {"code": code, "message": message}}
    return JSONResponse(content, status_code=status, headers=headers)


def status_of(error: InkwitnessError) -> int:
    """The HTTP status of one of our errors."""
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
        told = error.message if isinstance(error, StorageTrouble) else says(kind)
        return answer(503, kind, told)

    @app.exception_handler(InkwitnessError)
    def _ours(_request: Request, error: InkwitnessError) -> JSONResponse:
        told = answer(status_of(error), error.code, error.message)
        if isinstance(error, Wait):
            told.headers["Retry-After"] = str(error.seconds)
        return told

    @app.exception_handler(RequestValidationError)
    def _invalid(_request: Request, error: RequestValidationError) -> JSONResponse:
        told = "; ".join(
            f"{'.'.join(str(part) for part in one['loc'][1:]) or one['loc'][0]}: {one['msg']}"
            for one in error.errors()
        )
        return answer(422, "bad_input", f"The request cannot be used as it is. {told}.")

    @app.exception_handler(HTTPException)
    def _http(request: Request, error: HTTPException) -> JSONResponse:
        if error.status_code == 404:
            return answer(404, "not_found", f"There is nothing at {request.url.path}.")
        return answer(error.status_code, "http_error", f"{error.detail}.")

    @app.exception_handler(Exception)
    def _fault(request: Request, error: Exception) -> JSONResponse:
        _log.error("%s %s failed", request.method, request.url.path, exc_info=error)
        return answer(
            500,
            "internal",
            "A fault in this program stopped the request. Nothing was half stored. Try again; if "
            "it happens again, report what you did.",
        )
