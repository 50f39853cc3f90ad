"""Shapes of a person's answers to findings: set aside, taken up again, what is left without."""

from pydantic import Field

from inkwitness.api.deps import Id
from inkwitness.api.shapes.wire import Answer, WrittenBy, by
from inkwitness.findings.values import Aspect, AspectState, Outcome
from inkwitness.records.chain import Entry
from inkwitness.use_cases.answers import AfterAnswers, AnswerKind, Aside


class SetAside(Answer):
    """Set a finding aside. It stays where it is, with this beside it, in every report."""

    id: Id
    finding: str = Field(min_length=1, max_length=40, description="`id` of the finding")
    where: str = Field(
        "",
        max_length=60,
        description="empty: on the unit, or on the consignment itself; `PHOTO/ITEM`: on a further "
        "item of a photo",
    )
    kind: AnswerKind
    reason: str = Field(max_length=2000, examples=["It is the number of the carton's maker."])

    def said(self) -> Aside:
        """The answer as the records keep it."""
        return Aside(self.finding, self.kind, self.reason, self.where)


class TakeUp(Answer):
    """Take a finding up again that was set aside."""

    id: Id
    reason: str = Field(max_length=2000)


class FindingAnswerOut(Answer):
    """What a person said to a finding; `kind` is empty where it was taken up again."""

    answer_id: str
    finding: str
    where: str
    kind: str
    reason: str
    takes_up: str | None = Field(description="the answer that ended with this")
    in_force: bool = Field(description="set aside now: there is such a finding, nobody took it up")
    by: WrittenBy


class AfterAnswersOut(Answer):
    """What is left without the findings that were set aside. No release goes by it."""

    outcome: Outcome
    aspects: dict[Aspect, AspectState]
    people: list[str] = Field(description="who set something aside")


def answer_out(entry: Entry, in_force: frozenset[str]) -> FindingAnswerOut:
    """A stored answer; `in_force` are the ids of those that cover a finding there is now."""
    content = entry.content
    return FindingAnswerOut(
        answer_id=entry.id,
        **{name: content[name] for name in ("finding", "where", "kind", "reason", "takes_up")},
        in_force=entry.id in in_force,
        by=by(entry),
    )


def after_out(after: AfterAnswers | None) -> AfterAnswersOut | None:
    """What is left, or None where nothing that there is now was set aside."""
    if after is None:
        return None
    return AfterAnswersOut(
        outcome=after.after.outcome, aspects=dict(after.after.aspects), people=list(after.people)
    )
