"""An edition of the list that is put in force while a photo is read and judged counts for it.

The edition's re-check does not see a photo whose check is not kept yet; so the photo itself must
be judged by what is in force when it is kept.
"""

import threading
from collections.abc import Sequence
from pathlib import Path

from starlette.testclient import TestClient

from inkwitness import rulebook
from inkwitness.api.app import create_app
from inkwitness.check.pipeline import RulesJudge
from inkwitness.check.values import Confirmation, Judgement, Reading
from inkwitness.findings.values import Circumstances
from inkwitness.holders.values import HolderList
from inkwitness.records.store import new_id
from tests.api.conftest import HEADERS, NOW, png, settings, wait_for

JUDGED, GO_ON = threading.Event(), threading.Event()
LIST = (
    "scheme,approval_number,holder,models,filter_class,status,checked_on,source,checked_by\n"
    "us-niosh,TC-84A-9981,Vexholm Filtration,VX-910,N95,{status},2031-03-12,registry,Bo\n"
)


class WaitingJudge(RulesJudge):
    """The judge of the rules, which waits once between judging and answering."""

    def judge(
        self,
        reading: Reading,
        confirmations: Sequence[Confirmation],
        circumstances: Circumstances,
        holder_list: HolderList | None,
    ) -> Judgement:
        judged = super().judge(reading, confirmations, circumstances, holder_list)
        if threading.current_thread().name.startswith("reader-") and not JUDGED.is_set():
            JUDGED.set()
            assert GO_ON.wait(60)
        return judged


def build_judge(max_age_days: int) -> RulesJudge:
    return WaitingJudge(rulebook.shipped(), max_age_days)


def put_in_force(client: TestClient, status: str) -> None:
    about = {"id": new_id(), "name": "Ours", "checked_on": "2031-03-12"}
    file = ("list.csv", LIST.format(status=status).encode(), "text/csv")
    made = client.post("/api/holders/proposals", data=about, files={"file": file}).json()
    accepted = client.post(
        f"/api/holders/proposals/{made['proposal_id']}/accept", json={"id": new_id()}
    )
    assert accepted.status_code == 201


def test_a_photo_is_judged_by_the_edition_in_force_when_it_is_kept(tmp_path: Path) -> None:
    here = f"{__name__}:build_judge"
    with TestClient(
        create_app(
            settings(tmp_path, reader="tests.api.typed_checker:build", judge=here),
            clock=lambda: NOW,
        ),
        headers=HEADERS,
    ) as client:
        put_in_force(client, "current")
        sent = client.post(
            "/api/photos",
            data={"id": new_id(), "unit_id": new_id(), "surface": "facepiece", "whole": "yes"},
            files={"file": ("us-face.png", png(), "image/png")},
        ).json()
        assert JUDGED.wait(60)
        put_in_force(client, "revoked")
        GO_ON.set()
        wait_for(client, sent["job_id"])
        job = client.get(f"/api/jobs/{sent['job_id']}").json()
        kept = client.get(f"/api/checks/{job['check_id']}").json()["check"]
    assert kept["holder_match"]["list_edition"] == 2
    assert kept["holder_match"]["state"] == "listed_ended"
