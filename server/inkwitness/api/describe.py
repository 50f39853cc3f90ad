"""Write the API's description: `python -m inkwitness.api.describe [shapes]`."""

import json
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from inkwitness.api.app import create_app
from inkwitness.api.routes.joining.plain import PlainOut
from inkwitness.api.settings import Settings


def shapes(told: dict[str, Any]) -> dict[str, Any]:
    """The description without its routes: what the page needs, with the door's one shape."""
    schemas = {
        **told["components"]["schemas"],
        "PlainOut": PlainOut.model_json_schema(mode="serialization"),
    }
    return {
        "openapi": told["openapi"],
        "info": {"title": told["info"]["title"], "version": ""},
        "paths": {},
        "components": {"schemas": _untitled(dict(sorted(schemas.items())))},
    }


def _untitled(told: Any) -> Any:
    # a title that only says the name again in capitals
    if isinstance(told, list):
        return [_untitled(one) for one in told]
    if not isinstance(told, dict):
        return told
    return {
        key: _untitled(value)
        for key, value in told.items()
        if not (key == "title" and isinstance(value, str))
    }


def main(asked: Sequence[str]) -> None:
    """Write the description as JSON to standard output; with `shapes`, without the routes.

    Nothing is opened and nothing started.
    """
    told = create_app(Settings(data=Path("data"))).openapi()
    written = shapes(told) if list(asked) == ["shapes"] else told
    json.dump(written, sys.stdout, ensure_ascii=False, indent=1)


if __name__ == "__main__":
    main(sys.argv[1:])
