"""`/jobs`: how far a photo is."""

from fastapi import APIRouter

from inkwitness.api.deps import App, Id, Lang, Writer
from inkwitness.api.guard.roles import READERS, SCREENER, may
from inkwitness.api.shapes.wire import JobOut, job_out
from inkwitness.jobs import queue as jobs

router = APIRouter(prefix="/jobs", tags=["jobs"])


@router.get("/{job_id}", openapi_extra=may(*READERS))
def see_job(app: App, job_id: Id, lang: Lang = "en") -> JobOut:
    """Where one photo stands: waiting, reading, done (with its check) or failed (with why)."""
    with app.store.database.reading() as conn:
        return job_out(jobs.get(conn, job_id), app.phrases(lang))


@router.post("/{job_id}/again", status_code=202, openapi_extra=may(SCREENER))
def read_again(app: App, context: Writer, job_id: Id, lang: Lang = "en") -> JobOut:
    """Have a photo read again that could not be read; changes nothing about any other job."""
    with app.store.database.writing() as conn:
        job, failed = jobs.once_more(conn, job_id, context.at)
    if failed:
        app.runner.submit(job)
    return job_out(job, app.phrases(lang))
