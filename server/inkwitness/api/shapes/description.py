"""The API's own description (OpenAPI), in which every closed set of words has its name.

A `Literal` that several shapes use stands in the description once, under the name given here, and
the page takes names and values from there. `api/describe.py` writes it all.
"""

from collections.abc import Callable
from typing import Any, Final, get_args

from fastapi import FastAPI

from inkwitness.check.values import NOT_A_MARK, OTHER_TEXT, Basis
from inkwitness.consignment.dispositions import (
    NEED_LIMITS,
    NEED_SECOND,
    RELEASES,
    Disposition,
    Role,
    role_for,
)
from inkwitness.consignment.intake import GoodsFrom, Identity, SupplyCondition
from inkwitness.consignment.papers.values import RowState
from inkwitness.consignment.stock import MovementKind, NoticeKind, Purpose, StockStatus
from inkwitness.consignment.values import Source
from inkwitness.findings.values import Aspect, AspectState, Outcome, Severity, Surface, Whole
from inkwitness.holders.editions import ChangeKind
from inkwitness.holders.files import columns
from inkwitness.holders.files.rows import Level
from inkwitness.holders.values import FieldState, ListState, SearchField, SearchState, Status
from inkwitness.jobs.queue import JobState
from inkwitness.marks.values import NamedBy, Standing
from inkwitness.photo.values import PhotoFact, QualityState
from inkwitness.phrases import Language
from inkwitness.reports.outgoing.messages import Addressee
from inkwitness.rulebook.paper import Lacking, PaperField, PaperIssuer, PaperKind
from inkwitness.rulebook.papers import PaperPlace
from inkwitness.use_cases import dispatches, look_ups
from inkwitness.use_cases.answers import AnswerKind
from inkwitness.use_cases.confirmations import From
from inkwitness.use_cases.plans import PlanKind
from inkwitness.use_cases.stores.bins import Bin
from inkwitness.use_cases.stores.offers import Channel, Why


def _decisions(those: Callable[[Disposition], bool]) -> tuple[str, ...]:
    return tuple(one for one in get_args(Disposition) if those(one))


SETS: Final[dict[str, tuple[str, ...]]] = {
    "AnswerKind": get_args(AnswerKind),
    "Addressee": get_args(Addressee),
    "Aspect": get_args(Aspect),
    "AspectState": get_args(AspectState),
    "Basis": get_args(Basis),
    "Bin": get_args(Bin),
    "ChangeKind": get_args(ChangeKind),
    "ContactFrom": get_args(dispatches.ContactFrom),
    "DispatchKind": get_args(dispatches.Kind),
    "Disposition": get_args(Disposition),
    "OfferChannel": get_args(Channel),
    "EntryStatus": get_args(Status),
    "FieldState": get_args(FieldState),
    "GoodsFrom": get_args(GoodsFrom),
    "HolderField": columns.FIELDS,
    "Identity": get_args(Identity),
    "JobState": get_args(JobState),
    "Lacking": get_args(Lacking),
    "Language": get_args(Language),
    "ListState": get_args(ListState),
    "LookUpAnswer": get_args(look_ups.Answer),
    "LookUpSource": get_args(Source),
    "MovementKind": get_args(MovementKind),
    "NamedBy": get_args(NamedBy),
    "NoMark": (OTHER_TEXT, NOT_A_MARK),
    "NoticeKind": get_args(NoticeKind),
    "Outcome": get_args(Outcome),
    "Party": get_args(dispatches.Party),
    "PaperField": get_args(PaperField),
    "PaperIssuer": get_args(PaperIssuer),
    "PaperKind": get_args(PaperKind),
    "PaperPlace": get_args(PaperPlace),
    "PhotoFact": get_args(PhotoFact),
    "PlanKind": get_args(PlanKind),
    "ProblemLevel": get_args(Level),
    "Purpose": get_args(Purpose),
    "QualityState": get_args(QualityState),
    "Release": _decisions(RELEASES.__contains__),
    "ReleaseWithLimits": _decisions(NEED_LIMITS.__contains__),
    "ReleasersDecision": _decisions(lambda one: role_for(one) == "releaser"),
    "Role": get_args(Role),
    "SearchField": get_args(SearchField),
    "SearchState": get_args(SearchState),
    "SecondsDecision": _decisions(NEED_SECOND.__contains__),
    "RowState": get_args(RowState),
    "Severity": get_args(Severity),
    "Standing": get_args(Standing),
    "StockStatus": get_args(StockStatus),
    "SupplyCondition": get_args(SupplyCondition),
    "Surface": get_args(Surface),
    "Whole": get_args(Whole),
    "WhyRefused": get_args(Why),
    "WordFrom": get_args(From),
}
_NAMES: Final = {values: name for name, values in SETS.items()}
if len(_NAMES) != len(SETS):
    raise AssertionError("two sets of words have the same values: declare them once")


def install(app: FastAPI) -> None:
    """Put the names into the description that the application makes of itself."""
    make = app.openapi

    def named() -> dict[str, Any]:
        if app.openapi_schema is None:
            app.openapi_schema = with_names(make())
        return app.openapi_schema

    app.openapi = named  # type: ignore[method-assign]


def with_names(told: dict[str, Any]) -> dict[str, Any]:
    """The description with each set of words declared once and referred to by its name."""
    named: dict[str, Any] = _refer(told)
    schemas = named["components"]["schemas"]
    clashes = sorted(SETS.keys() & schemas.keys())
    if clashes:
        raise AssertionError(f"shapes that have the name of a set of words: {', '.join(clashes)}")
    for name, values in SETS.items():
        schemas[name] = {"type": "string", "enum": list(values), "title": name}
    return named


def _refer(told: Any) -> Any:
    if isinstance(told, list):
        return [_refer(one) for one in told]
    if not isinstance(told, dict):
        return told
    name = _NAMES.get(tuple(told["enum"])) if isinstance(told.get("enum"), list) else None
    if name is None:
        return {key: _refer(value) for key, value in told.items()}
    beside = {key: told[key] for key in ("description", "default", "examples") if key in told}
    return {"$ref": f"#/components/schemas/{name}", **beside}
