"""Answers that are files: a PDF to look at, a table or an attachment to save."""

import json
import re

from fastapi import Response

_NOT_PLAIN = re.compile(r"[^\w .()+-]", re.ASCII)


def json_answer(content: object) -> Response:
    """Any JSON, letters of every script as they are."""
    return Response(json.dumps(content, ensure_ascii=False), media_type="application/json")


def pdf_answer(data: bytes, name: str) -> Response:
    """A PDF that the browser shows; `name` without its ending is what it is saved under."""
    return _file(data, "application/pdf", f"{name}.pdf", shown="inline")


def csv_answer(data: bytes | str, name: str) -> Response:
    """A table to save; `name` without its ending."""
    return _file(data, "text/csv; charset=utf-8", f"{name}.csv", shown="attachment")


def _file(data: bytes | str, media_type: str, name: str, *, shown: str) -> Response:
    headers = {
        # RFC 6266, 4.3: what is not plain ASCII could end the quoted name
        "Content-Disposition": f'{shown}; filename="{_NOT_PLAIN.sub("_", name)}"',
        "Cache-Control": "no-store",
    }
    return Response(data, media_type=media_type, headers=headers)
