"""What people decided on units and consignments: kept in order, refused where it is not open."""

from collections.abc import Sequence
from dataclasses import dataclass

from sqlalchemy import Connection

from inkwitness.consignment import dispositions
from inkwitness.consignment.dispositions import Disposition
from inkwitness.consignment.gate import Goods, Terms, agreed, blocks, evidence
from inkwitness.consignment.seen import AS_SEEN, Seen, changes, seen_now
from inkwitness.consignment.stock import OnlyAs
from inkwitness.consignment.values import UnitState
from inkwitness.errors import BadInput
from inkwitness.phrases import Sentence
from inkwitness.records import chain
from inkwitness.records import units as records_units
from inkwitness.records.chain import Entry, WriteContext
from inkwitness.records.consignments import Refused
from inkwitness.records.tables import consignments, decisions, units
from inkwitness.use_cases import goods, retention

_ANSWERS = ("agrees", "differs")
#: What is noted with a decision of what was known then.
_NOTED = ("outcome", "evidence", "taken_up", "found", "papers", "answers")
# After these there is nothing left to look at.
_ENDS_GOODS = frozenset({"destroy", "discard"})


@dataclass(frozen=True, slots=True)
class Said:
    """What a person decides. `until` is the last day of a limit, ISO 8601, or empty.

    `about` is the disposition that a second person agrees to or dissents from, or what the
    holder's answer says (`agrees`, `differs`). `lot` is the one lot of a consignment that it is
    about; empty: all of it. `assignee` is who sees to what comes next, where it is somebody else.
    `answers` is the question that an answer is to; it may be left out where there is but one.
    `seen` is how the goods stood on the screen, None where that was not sent. `only_as` is what
    alone goods that are released with limits may be handed out as; empty: that is not said.
    """

    disposition: Disposition
    reason: str = ""
    limits: str = ""
    until: str = ""
    about: str = ""
    lot: str = ""
    assignee: str = ""
    answers: str = ""
    seen: Seen | None = None
    only_as: OnlyAs = ""


def decide(
    conn: Connection,
    id_: str,
    said: Said,
    context: WriteContext,
    terms: Terms,
    *,
    unit_id: str | None = None,
    consignment_id: str | None = None,
) -> tuple[Entry, bool]:
    """Keep a person's decision on a unit or a consignment.

    Raises Refused where the gate is shut, the person's role does not allow it, a second person is
    missing, there is no hold to lift, or the goods do not stand as they were seen; BadInput where a
    reason, a limit or the question that was answered is missing. A hold is never refused and needs
    no reason: it can be given later.
    """
    table, subject = (units, unit_id) if unit_id is not None else (consignments, consignment_id)
    assert subject is not None
    chain.get(conn, table, subject)
    if said.lot and unit_id is not None:
        raise BadInput("unit_no_lots")
    kept = chain.find(conn, decisions, id_)
    if kept is not None:
        noted = {name: kept.content[name] for name in _NOTED if name in kept.content}
    else:
        if unit_id is not None:
            found = goods.of_unit(conn, unit_id, on=terms.on)
        elif said.lot:
            found = goods.of_lot(conn, subject, said.lot, on=terms.on)
        else:
            found = goods.of_consignment(conn, subject, on=terms.on)
        if said.disposition in _ENDS_GOODS and (why := _evidence(conn, unit_id, consignment_id)):
            raise Refused("kept_as_evidence", why=why)
        changed = changes(said.seen, seen_now(found)) if said.seen is not None else ()
        if changed and said.disposition in AS_SEEN:
            raise Refused(
                "changed_since", why=tuple(Sentence(f"changed.{one}", {}) for one in changed)
            )
        _refuse(said, context, found, terms)
        if unit_id is not None and said.disposition in dispositions.RELEASES:
            _refuse_inside(conn, unit_id)
        # what was not seen is settled by nobody
        as_seen = not {"outcome", "evidence"} & set(changed)
        outcome = found.units[0].outcome if unit_id is not None and as_seen else None
        noted = {"outcome": outcome, "evidence": evidence(found)}
        if said.disposition == "holder_answered" and not said.answers:
            noted["answers"] = _the_question(id_, found)
        if unit_id is not None and found.units[0].taken_up:
            noted["taken_up"] = found.units[0].taken_up
        if unit_id is not None and found.units[0].found:
            noted["found"] = found.units[0].found
        if found.papers:
            noted["papers"] = found.papers
    content = {
        "unit_id": unit_id,
        "consignment_id": consignment_id,
        "disposition": said.disposition,
        "reason": said.reason.strip(),
        "limits": said.limits.strip(),
        "until": said.until,
        "about": said.about,
        **noted,
    }
    # what was sent before lots were decided on stays the same content when it is sent again
    if said.lot:
        content["lot"] = said.lot
    if said.assignee:
        content["assignee"] = said.assignee
    if said.answers:
        content["answers"] = said.answers
    if said.only_as:
        content["only_as"] = said.only_as
    return chain.append(conn, decisions, id_, content, context)


def decided(
    conn: Connection, *, unit_id: str | None = None, consignment_id: str | None = None
) -> list[Entry]:
    """The decisions on a unit or on a consignment, in order."""
    if unit_id is not None:
        return chain.entries(conn, decisions, unit_id=unit_id)
    assert consignment_id is not None
    return chain.entries(conn, decisions, consignment_id=consignment_id)


def set_apart(conn: Connection, states: Sequence[UnitState]) -> set[str]:
    """Those of these units that a person set apart, by the decisions on each."""
    taken = goods.of_units(conn, states)
    return {unit_id for unit_id, found in taken.items() if dispositions.set_apart(kinds(found))}


def kinds(taken: Sequence[Entry]) -> list[str]:
    """What was decided, in order, each by its name."""
    return [entry.content["disposition"] for entry in taken]


def is_held(
    conn: Connection, *, unit_id: str | None = None, consignment_id: str | None = None
) -> bool:
    """Whether a hold on the unit, or on the whole consignment, is in force."""
    return held_by(decided(conn, unit_id=unit_id, consignment_id=consignment_id))


def held_by(taken: Sequence[Entry]) -> bool:
    """Whether a hold on the whole of what these decisions are about is in force."""
    return dispositions.held(kinds([one for one in taken if not one.content.get("lot")]))


def _refuse(said: Said, context: WriteContext, found: Goods, terms: Terms) -> None:
    """Raise what does not allow this decision."""
    kind = said.disposition
    role = dispositions.role_for(kind)
    if not set(dispositions.roles_for(kind)) & set(context.actor.roles):
        raise Refused("role_does_not_decide", role=Sentence(f"roles.{role}", {}))
    _check_words(said)
    if kind == "lift_hold" and not dispositions.held([act.kind for act in found.acts]):
        raise Refused("no_hold")
    if said.answers and said.answers not in dispositions.questions(found.acts):
        raise BadInput("no_such_question")
    if kind in dispositions.RELEASES:
        bounds = (said.limits, said.until)
        if shut := blocks(found, terms, kind=kind, by=context.actor.id, bounds=bounds):
            why = tuple(sentence for one in shut for sentence in one.sentences)
            raise Refused("not_released_yet", refusals=shut, why=why)
    elif (
        terms.two_persons
        and kind in dispositions.NEED_SECOND
        and not agreed(found, kind, context.actor.id)
    ):
        raise Refused("second_person_missing")


def _check_words(said: Said) -> None:
    kind = said.disposition
    if kind == "dispose":
        raise BadInput("destroy_or_discard")
    if kind not in dispositions.NO_REASON and len(said.reason.strip()) < 3:
        raise BadInput("reason_missing")
    # who agrees to limits agrees to these, and not to whichever are written later
    limited = said.about if kind == "agree" else kind
    if limited in dispositions.NEED_LIMITS and not said.limits.strip():
        raise BadInput("limits_missing")
    if kind == "agree" and said.about not in dispositions.NEED_SECOND:
        raise BadInput("about_missing")
    if kind == "dissent" and said.about not in dispositions.CODES:
        raise BadInput("dissent_from_what")
    if kind == "holder_answered" and said.about not in _ANSWERS:
        raise BadInput("answer_missing")
    if said.only_as and kind not in ("release_limited", "crisis_reserve"):
        raise BadInput("only_as_what")
    if said.answers and kind != "holder_answered":
        raise BadInput("answers_what")


def _the_question(id_: str, found: Goods) -> str:
    """The one question that an answer without a name is to; its own id where nobody asked."""
    left = dispositions.unsettled(found.acts)
    if len(left) > 1:
        raise BadInput("which_question", n=len(left))
    return left[0] if left else id_


def _evidence(conn: Connection, unit_id: str | None, consignment_id: str | None) -> Sentence | None:
    """Who had these goods kept as evidence, and why; None where nobody did."""
    if unit_id is not None:
        return retention.kept_for(conn, [unit_id], goods.consignment_of(conn, unit_id))
    within = [unit.unit_id for unit in records_units.of_consignment(conn, str(consignment_id))]
    return retention.kept_for(conn, within, consignment_id)


def _refuse_inside(conn: Connection, unit_id: str) -> None:
    """A unit of a consignment is released with it: one by one would go around the gate."""
    if goods.consignment_of(conn, unit_id) is not None:
        raise Refused("unit_of_consignment")
