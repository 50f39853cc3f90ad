/** The photos of a unit on their way through the readers. */
import { useEffect, useState } from "preact/hooks";
import { ask, get, NotHere, Refused } from "../../api";
import type { Parcel } from "../../outbox/db";
import { changed, ofUnit } from "../../outbox/outbox";
import type { Job, PhotoTaken } from "../../types";

export interface Failed {
  job_id: string;
  why: string;
}

interface Jobs {
  stage: string;
  failed: Failed[];
  parcels: Parcel[];
  running: boolean;
  /** Has a photo that could not be read be read again. */
  again: (job: string) => Promise<void>;
}

const ended = (job: Job | undefined) => job?.state === "done" || job?.state === "failed";

function jobsOf(parcels: Parcel[]): PhotoTaken[] {
  return parcels
    .filter((parcel) => parcel.kind === "photo" && parcel.state === "sent")
    .map((parcel) => parcel.answer as PhotoTaken);
}

/** Watches the jobs of a unit's photos until each is read; then the unit is asked for again. */
export function useJobs(unit: string, done: () => void): Jobs {
  const [parcels, setParcels] = useState<Parcel[]>([]);
  const [jobs, setJobs] = useState<Record<string, Job>>({});
  const turn = changed.value;
  useEffect(() => {
    void ofUnit(unit).then(setParcels);
  }, [unit, turn]);
  const open = jobsOf(parcels).filter(({ job_id }) => !ended(jobs[job_id]));
  const watched = open.map(({ job_id }) => job_id).join();
  const know = (id: string, job: Job) => setJobs((before) => ({ ...before, [id]: job }));
  useEffect(() => {
    if (watched === "") return;
    let here = true;
    const look = async () => {
      for (const id of watched.split(",")) {
        try {
          const { answer } = await get<Job>(`/jobs/${id}`, false);
          if (!here) return;
          know(id, answer);
          if (ended(answer)) done();
        } catch (problem) {
          if (problem instanceof Refused && problem.status === 404) {
            know(id, { job_id: id, photo_id: "", state: "done", stage: "", check_id: null, error: null });
          } else if (!(problem instanceof NotHere || problem instanceof Refused)) throw problem;
        }
      }
    };
    void look();
    const timer = setInterval(() => void look(), 700);
    return () => {
      here = false;
      clearInterval(timer);
    };
  }, [watched]);
  const failed = Object.entries(jobs).flatMap(([job_id, job]) =>
    job.state === "failed" ? [{ job_id, why: job.error?.message ?? "" }] : [],
  );
  const stage = open.map(({ job_id }) => jobs[job_id]?.stage ?? "").find((name) => name !== "") ?? "";
  const again = async (id: string) => know(id, await ask<Job>(`/jobs/${id}/again`, {}));
  return { stage, failed, parcels, running: open.length > 0, again };
}
