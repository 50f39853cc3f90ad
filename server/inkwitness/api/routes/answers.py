"""Answers to findings: a named person sets one aside with a reason, or takes it up again."""

from fastapi import APIRouter

from inkwitness.api.deps import App, Id, Writer
from inkwitness.api.guard.roles import RELEASER, SCREENER, may
from inkwitness.api.shapes.answer_shapes import FindingAnswerOut, SetAside, TakeUp, answer_out
from inkwitness.records import units
from inkwitness.use_cases import answers
from inkwitness.use_cases.prints import side_by_side

router = APIRouter(tags=["answers"])

_NONE: frozenset[str] = frozenset()


@router.post("/units/{unit_id}/answers", status_code=201, openapi_extra=may(RELEASER))
def set_aside_on_unit(app: App, context: Writer, unit_id: Id, body: SetAside) -> FindingAnswerOut:
    """Set a finding of a unit aside. The outcome as found stays, and a release goes by that."""
    with app.store.database.writing() as conn:
        entry, _ = answers.set_aside_on_unit(conn, body.id, unit_id, body.said(), context)
        standing = answers.standing(answers.of_unit(conn, unit_id)).values()
    return answer_out(entry, frozenset(one.id for one in standing))


@router.post("/consignments/{consignment_id}/answers", status_code=201, openapi_extra=may(RELEASER))
def set_aside_on_consignment(
    app: App, context: Writer, consignment_id: Id, body: SetAside
) -> FindingAnswerOut:
    """Set a finding of a consignment aside: something that its units say beside each other."""
    with app.store.database.writing() as conn:
        members = units.of_consignment(conn, consignment_id)
        found = side_by_side(conn, consignment_id, members).across
        raised = [one.id for one in found]
        entry, _ = answers.set_aside_on_consignment(
            conn, body.id, consignment_id, body.said(), raised, context
        )
        standing = answers.standing(answers.of_consignment(conn, consignment_id)).values()
    return answer_out(entry, frozenset(one.id for one in standing))


@router.post("/answers/{answer_id}/take-up", status_code=201, openapi_extra=may(SCREENER, RELEASER))
def take_up(app: App, context: Writer, answer_id: Id, body: TakeUp) -> FindingAnswerOut:
    """Take a finding up again that was set aside: whoever doubts an answer may do so."""
    with app.store.database.writing() as conn:
        entry, _ = answers.take_up(conn, body.id, answer_id, body.reason, context)
    return answer_out(entry, _NONE)
