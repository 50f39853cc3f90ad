"""`/papers`: papers by their fields, what they say beside the print, files that came with them."""

from typing import Annotated

from fastapi import APIRouter, File, Form, Response, UploadFile
from pydantic import BaseModel, ConfigDict, Field, ValidationError
from sqlalchemy import Connection

from inkwitness.api.attached import attached, download
from inkwitness.api.deps import App, Id, Lang, Services, Writer, id_in_form
from inkwitness.api.guard.roles import READERS, RELEASER, SCREENER, may
from inkwitness.api.shapes.paper_shapes import (
    PaperFields,
    PaperFindingOut,
    PaperOut,
    PapersOut,
)
from inkwitness.api.shapes.wire import Answer, WrittenBy, by
from inkwitness.consignment.papers.judge import next_step, says, source_of
from inkwitness.consignment.papers.values import PapersJudged
from inkwitness.errors import BadInput, NotFound
from inkwitness.findings.values import Finding
from inkwitness.phrases import Phrases
from inkwitness.records import chain, removals
from inkwitness.records.chain import Entry
from inkwitness.records.tables import documents
from inkwitness.rulebook import Rulebook
from inkwitness.rulebook.papers import Paper
from inkwitness.use_cases.intake import papers, standing
from inkwitness.use_cases.intake.papers import About
from inkwitness.use_cases.look_ups import Attachment

router = APIRouter(tags=["papers"])


class DecideOnPapers(BaseModel):
    """A person's word on what papers and supplier leave open, as it stands now."""

    model_config = ConfigDict(extra="forbid")

    id: Id
    reason: str = Field(min_length=3, max_length=2000)


class PapersDecided(Answer):
    decision_id: str
    reason: str
    by: WrittenBy


@router.post("/papers", status_code=201, openapi_extra=may(SCREENER, RELEASER))
def keep_paper(
    app: App,
    context: Writer,
    paper_id: Annotated[Id, Form(alias="id", description="UUIDv7 of the paper")],
    paper: Annotated[str, Form(max_length=60_000, description="its fields, JSON: PaperFields")],
    consignment_id: Annotated[str, Form()] = "",
    unit_id: Annotated[str, Form()] = "",
    replaces: Annotated[str, Form(description="id of the paper that this one corrects")] = "",
    withdrawn: Annotated[
        bool, Form(description="the paper that is replaced no longer counts, and none does instead")
    ] = False,
    reason: Annotated[str, Form(max_length=2000, description="why it is corrected")] = "",
    files: Annotated[list[UploadFile], File(description="photo or PDF of it")] = [],  # noqa: B006
    lang: Lang = "en",
) -> PapersOut:
    """Keep a paper by its fields, with its photo or PDF. Nothing is read from the file."""
    about = About(
        id_in_form(consignment_id), id_in_form(unit_id), id_in_form(replaces), withdrawn, reason
    )
    kept = [attached(app, file) for file in files[:10]]
    with app.store.database.writing() as conn:
        removals.refuse_attached(conn, app.store.files, [one.sha256 for one in kept])
        papers.keep(conn, paper_id, _typed(paper), about, context, kept)
    with app.store.database.reading() as conn:  # others need not wait until all is judged
        return _seen(conn, app, about.consignment_id, about.unit_id, lang)


@router.get("/papers", openapi_extra=may(*READERS))
def see_papers(
    app: App, consignment_id: str = "", unit_id: str = "", lang: Lang = "en"
) -> PapersOut:
    """The papers of a consignment or a unit, and what they say beside the goods."""
    with app.store.database.reading() as conn:
        return _seen(conn, app, id_in_form(consignment_id), id_in_form(unit_id), lang)


@router.get(
    "/papers/{paper_id}/files/{index}", response_class=Response, openapi_extra=may(*READERS)
)
def see_paper_file(app: App, paper_id: Id, index: int) -> Response:
    """A file that came with a paper, to be saved, never shown as a page of ours."""
    with app.store.database.reading() as conn:
        kept = chain.get(conn, documents, paper_id).content["attachments"]
    if not 0 <= index < len(kept):
        raise NotFound("no_paper_file", files=len(kept), number=index)
    return download(app, kept[index]["sha256"])


@router.post(
    "/consignments/{consignment_id}/papers/decide", status_code=201, openapi_extra=may(RELEASER)
)
def decide_on_papers(
    app: App, context: Writer, consignment_id: Id, body: DecideOnPapers
) -> PapersDecided:
    """Say why goods may go on in spite of what their papers leave open, as it stands now."""
    with app.store.database.writing() as conn:
        entry = standing.decide(conn, body.id, consignment_id, body.reason, context, app.terms().on)
    return PapersDecided(decision_id=entry.id, reason=entry.content["reason"], by=by(entry))


def paper_finding_out(finding: Finding, rulebook: Rulebook, say: Phrases) -> PaperFindingOut:
    """A finding on papers with its sentence, its next step and its source."""
    values = dict(finding.values)
    return PaperFindingOut(
        rule=finding.rule,
        severity=finding.severity,
        question=finding.question,
        says=says(finding, say),
        next_step=next_step(finding, rulebook, say),
        source=source_of(finding, rulebook),
        paper_id=values.get("paper_id", ""),
        values=values,
    )


def _seen(
    conn: Connection,
    app: Services,
    consignment_id: str | None,
    unit_id: str | None,
    lang: str,
) -> PapersOut:
    if (consignment_id is None) == (unit_id is None):
        raise BadInput("goods_one_of_two")
    kept = papers.of_goods(conn, consignment_id=consignment_id, unit_id=unit_id)
    on = app.today()
    judged = (
        standing.papers_of(conn, consignment_id, on)
        if consignment_id is not None
        else papers.of_unit(conn, unit_id or "", on)
    )
    return _out(kept, judged, app.rulebook(), app.phrases(lang))


def _out(kept: list[Entry], judged: PapersJudged, rulebook: Rulebook, say: Phrases) -> PapersOut:
    counts = {entry.id for entry in papers.in_force(kept)}
    return PapersOut(
        state=judged.state,
        papers=[_paper(entry, entry.id in counts) for entry in kept],
        findings=[paper_finding_out(finding, rulebook, say) for finding in judged.findings],
        table=list(judged.table),
    )


def _paper(entry: Entry, counts: bool) -> PaperOut:
    content = entry.content
    return PaperOut(
        paper_id=entry.id,
        consignment_id=content["consignment_id"],
        unit_id=content["unit_id"],
        replaces=content["replaces"],
        withdrawn=content["withdrawn"],
        reason=content["reason"],
        in_force=counts,
        fields=PaperFields.model_validate(content["fields"]),
        files=[Attachment(**one) for one in content["attachments"]],
        by=by(entry),
    )


def _typed(text: str) -> Paper:
    try:
        fields = PaperFields.model_validate_json(text)
    except ValidationError as error:
        first = error.errors()[0]
        where = ".".join(str(part) for part in first["loc"]) or "paper"
        raise BadInput("paper_field", field=where, why=first["msg"]) from error
    lots = [lot.strip() for lot in fields.lots if lot.strip()]
    return papers.typed({**fields.model_dump(), "lots": lots})
