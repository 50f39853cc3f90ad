"""How a unit is made and in what condition it is: what may be looked at, and what a person saw."""

from fastapi import APIRouter
from pydantic import Field

from inkwitness.api.deps import App, Id, Lang, Writer
from inkwitness.api.guard.roles import READERS, SCREENER, may
from inkwitness.api.shapes.wire import Answer, WrittenBy, by
from inkwitness.findings.looks import LOOKS, MEASURES, NOT_LOOKED_AT
from inkwitness.phrases import Phrases, capital
from inkwitness.records.chain import Entry
from inkwitness.use_cases import constructions
from inkwitness.use_cases.constructions import Seen

router = APIRouter(tags=["units"])


class AnswerChoice(Answer):
    answer: str
    says: str


class LookOut(Answer):
    """One thing to look at; the first answer is that it was not looked at."""

    name: str
    group: str
    says: str
    limits: str = Field("", description="what it cannot show")
    answers: list[AnswerChoice]


class MeasureOut(Answer):
    name: str
    says: str
    most: float


class LooksOut(Answer):
    """Everything that may be looked at, by group, in one language."""

    groups: dict[str, str]
    looks: list[LookOut]
    measures: list[MeasureOut]


class SeeConstruction(Answer):
    """What a person saw of one unit. It takes the place, whole, of what was seen before."""

    id: Id
    answers: dict[str, str] = Field({}, examples=[{"fastening": "head_straps", "valve": "none"}])
    measures: dict[str, float] = Field({}, examples=[{"layers": 4, "mass": 4.1}])
    note: str = Field("", max_length=2000)


class ConstructionOut(Answer):
    """What was seen last; what has no answer was not looked at."""

    construction_id: str
    answers: dict[str, str]
    measures: dict[str, float]
    note: str
    by: WrittenBy


@router.get("/looks", openapi_extra=may(*READERS))
def list_looks(app: App, lang: Lang = "en") -> LooksOut:
    """What may be looked at on a unit beside its print, each with its answers."""
    say = app.phrases(lang)
    groups = dict.fromkeys(look.group for look in LOOKS)
    return LooksOut(
        groups={name: say(f"look.group.{name}") for name in (*groups, "measures")},
        looks=[
            LookOut(
                name=look.name,
                group=look.group,
                says=say(f"look.{look.name}"),
                limits=say(f"look.{look.name}.limits") if look.group == "rough" else "",
                answers=[
                    AnswerChoice(answer=answer, says=_answer(look.name, answer, say))
                    for answer in (NOT_LOOKED_AT, *look.answers)
                ],
            )
            for look in LOOKS
        ],
        measures=[
            MeasureOut(name=name, says=say(f"look.{name}"), most=most)
            for name, (_, most) in MEASURES.items()
        ],
    )


@router.post("/units/{unit_id}/construction", status_code=201, openapi_extra=may(SCREENER))
def see_construction(
    app: App, context: Writer, unit_id: Id, body: SeeConstruction
) -> ConstructionOut:
    """Keep what a person saw of a unit, and judge its photos again with that."""
    entry = constructions.keep(
        app.store.database,
        body.id,
        unit_id,
        Seen(body.answers, body.measures, body.note),
        context,
        app.judge,
        app.holder_list,
        today=app.today(),
    )
    return construction_out(entry)


def construction_out(entry: Entry) -> ConstructionOut:
    """What was seen, as it is kept."""
    content = {name: entry.content[name] for name in ("answers", "measures", "note")}
    return ConstructionOut(construction_id=entry.id, **content, by=by(entry))


def _answer(look: str, answer: str, say: Phrases) -> str:
    key = f"look.{look}.{answer}"
    return capital(say(key) if key in say else say(f"look.{answer}"))
