"""The fictional demo: an invented list and a few drawn photos, put into an empty store.

Nothing in it is a real holder, and a number may by chance equal a real one.
"""

import datetime as dt
import json
from pathlib import Path

import inkwitness
from inkwitness.api.settings import Settings
from inkwitness.errors import BadInput
from inkwitness.findings.values import Circumstances
from inkwitness.holders.files.importing import read_csv
from inkwitness.holders.values import HolderList
from inkwitness.jobs import queue as jobs
from inkwitness.records import lists
from inkwitness.records.chain import WriteContext, local_actor
from inkwitness.records.store import DATABASE, new_id, open_store
from inkwitness.use_cases import photos
from inkwitness.use_cases.photos import Sent

#: The day on which the scenario plays: checks of the demo are made for it.
DAY = dt.date(2026, 11, 25)
SAMPLES = inkwitness.shipped_folder("sample_images")
FIRST_SAMPLE = "us-complete.jpg"
#: A file in the data folder that says that the demo is in it.
DONE = "demo-filled"
#: A file that says that the folder is the demo's, filled or not yet.
OURS = "demo-folder"
_SHOWN = ("us-complete.jpg", "us-near-number.jpg", "en-reuse-missing.jpg")


def demo_list() -> HolderList:
    """The FICTIONAL list of the demo."""
    return read_csv(SAMPLES / "holders.csv", name="FICTIONAL demo list")


def circumstances_of(sample: Path) -> Circumstances:
    """What the truth file beside a sample says about its surface."""
    truth = json.loads(sample.with_suffix(".json").read_text(encoding="utf-8"))
    return Circumstances(DAY, truth["surface"], truth["whole"])


def check_folder(folder: Path, *, demo: bool) -> None:
    """Raises BadInput where the demo is asked for on live data, or live work on the demo's."""
    ours = (folder / OURS).exists() or (folder / DONE).exists()
    if demo and not ours and (folder / DATABASE).exists():
        raise BadInput("folder_not_demo", folder=str(folder))
    if not demo and ours:
        raise BadInput("folder_is_demo", folder=str(folder))


def fill(settings: Settings) -> None:
    """Accept the demo list as first edition and hand in a few samples, read at the next start."""
    store = open_store(settings.data, alone=True)
    (settings.data / OURS).write_text("This folder is the fictional demo's.\n", encoding="utf-8")
    context = WriteContext(local_actor("Demo"), dt.datetime.now().astimezone())
    try:
        with store.database.writing() as conn:
            if lists.current(conn) is None:
                proposal, _ = lists.propose(conn, new_id(), demo_list(), context)
                lists.accept(conn, new_id(), proposal.id, context)
        for name in _SHOWN:
            sample = SAMPLES / name
            about = circumstances_of(sample)
            sent = Sent(
                photo_id=new_id(),
                unit_id=new_id(),
                name=name,
                surface=about.surface,
                whole=about.whole,
                label=f"FICTIONAL {sample.stem}",
            )
            entry, _ = photos.keep(store, sent, sample.read_bytes(), context)
            with store.database.writing() as conn:
                jobs.make(conn, entry.id, context)
    finally:
        store.close()
    (settings.data / DONE).write_text("The fictional demo is in this folder.\n", encoding="utf-8")
