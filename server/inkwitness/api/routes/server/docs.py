"""`/api/docs`: the API as a plain page, made from its own description; no script, no other host."""

from collections.abc import Iterator
from html import escape
from typing import Any

from fastapi import Depends, FastAPI
from fastapi.responses import HTMLResponse, Response

from inkwitness.api.guard import roles

_STYLE = (
    "body{font:1rem/1.5 system-ui,sans-serif;max-width:60rem;margin:auto;padding:1rem}"
    "section{border-top:1px solid;padding:.5rem 0}code{overflow-wrap:anywhere}"
    "table{border-collapse:collapse}td{padding:0 1rem 0 0;vertical-align:top}"
)


def install(app: FastAPI) -> None:
    """Add the page and its style."""
    told: dict[str, Any] = {
        "include_in_schema": False,
        "dependencies": [Depends(roles.enforce)],
        "openapi_extra": roles.may(*roles.READERS),
    }

    @app.get("/api/docs", **told)
    def see_docs() -> HTMLResponse:
        return HTMLResponse(page(app.openapi()))

    @app.get("/api/docs.css", **told)
    def see_style() -> Response:
        return Response(_STYLE, media_type="text/css")


def page(told: dict[str, Any]) -> str:
    """The description of an API (OpenAPI 3.1) as HTML."""
    about = told["info"]
    body = "".join(_routes(told))
    return (
        '<!doctype html><html lang="en"><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width">'
        f"<title>{escape(about['title'])}: the API</title>"
        '<link rel="icon" href="/mark.svg"><link rel="stylesheet" href="/api/docs.css">'
        f"<h1>{escape(about['title'])}: the API</h1><p>{escape(about.get('description', ''))}</p>"
        '<p>For programs: <a href="/api/openapi.json">openapi.json</a></p>'
        f"{body}</html>"
    )


def _routes(told: dict[str, Any]) -> Iterator[str]:
    for path, methods in sorted(told["paths"].items()):
        for method, one in methods.items():
            text = escape(one.get("description") or one.get("summary") or "")
            yield f"<section><h2><code>{method.upper()} {escape(path)}</code></h2><p>{text}</p>"
            yield "<table>"
            for field in one.get("parameters", []):
                yield _row(f"{field['in']}: {field['name']}", field.get("description", ""))
            for kind, body in one.get("requestBody", {}).get("content", {}).items():
                yield _row(f"body: {kind}", _name(body.get("schema", {})))
            for status, answer in sorted(one.get("responses", {}).items()):
                content: dict[str, Any] = next(iter(answer.get("content", {}).values()), {})
                said = f"{answer.get('description', '')} {_name(content.get('schema', {}))}"
                yield _row(f"answers {status}", said)
            yield "</table></section>"
    yield "<h2>Shapes</h2>"
    for name, shape in sorted(told.get("components", {}).get("schemas", {}).items()):
        yield f'<section id="{escape(name)}"><h3>{escape(name)}</h3>'
        yield f"<p>{escape(shape.get('description', ''))}</p><table>"
        for field, schema in shape.get("properties", {}).items():
            yield _row(field, f"{_name(schema)} {schema.get('description', '')}")
        yield "</table></section>"


def _row(name: str, says: str) -> str:
    return f"<tr><td><code>{escape(name)}</code></td><td>{escape(says)}</td></tr>"


def _name(schema: dict[str, Any]) -> str:
    if "$ref" in schema:
        return str(schema["$ref"]).rpartition("/")[2]
    if schema.get("type") == "array":
        return f"list of {_name(schema.get('items', {}))}"
    either = [_name(one) for one in schema.get("anyOf", [])]
    return " or ".join(either) if either else str(schema.get("type", ""))
