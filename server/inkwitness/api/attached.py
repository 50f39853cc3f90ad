"""Files that people attach to what they write: kept as sent, and served to be saved alone."""

import hashlib

from fastapi import Response, UploadFile

from inkwitness.api.deps import Services
from inkwitness.api.room import check_space
from inkwitness.errors import BadInput
from inkwitness.holders.files.cells import clean
from inkwitness.photo.served import MAX_BYTES, too_many_bytes
from inkwitness.records import removals
from inkwitness.use_cases.look_ups import Attachment


def attached(app: Services, file: UploadFile) -> Attachment:
    """Keep the bytes of an attached file.

    Raises BadInput (empty), TooLarge, StorageTrouble (little space), and Removed where they are
    those of a photo taken back: the transaction that names the file asks so once more.
    """
    check_space(app)
    data = file.file.read(MAX_BYTES + 1)
    if len(data) > MAX_BYTES:
        raise too_many_bytes("attachment")
    if not data:
        raise BadInput("attachment_empty", file=file.filename)
    with app.store.database.reading() as conn:
        removals.refuse_attached(conn, app.store.files, [hashlib.sha256(data).hexdigest()])
    name = clean((file.filename or "file").replace("\\", "/").rsplit("/", 1)[-1])[-120:]
    kind = clean(file.content_type or "application/octet-stream")[:100]
    return Attachment(app.store.files.keep_sent(data), name, kind, len(data))


def download(app: Services, sha256: str) -> Response:
    """The bytes of an attached file, to be saved, never shown as a page of ours."""
    headers = {
        "Content-Disposition": "attachment",
        "X-Content-Type-Options": "nosniff",
        "Content-Security-Policy": "sandbox; default-src 'none'",
    }
    data = app.store.files.sent(sha256)
    return Response(data, media_type="application/octet-stream", headers=headers)
