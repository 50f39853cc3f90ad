"""`/jobs`: how far a photo is."""

from fastapi import APIRouter

from inkwitness.api.deps import App, Id
from inkwitness.api.wire import JobOut, job_out
from inkwitness.records import jobs

router = APIRouter(prefix="/jobs", tags=["jobs"])


@router.get("/{job_id}")
def see_job(app: App, job_id: Id) -> JobOut:
    """Where one photo stands: waiting, reading, done (with its check) or failed (with why)."""
    with app.store.database.reading() as conn:
        return job_out(jobs.get(conn, job_id))
