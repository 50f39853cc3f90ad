"""What a person says of all marks of a photo at once, as the API takes it."""

from typing import Any

from inkwitness.records.store import new_id


def as_read(photo_id: str, check: dict[str, Any]) -> list[dict[str, Any]]:
    """Of every mark that stands in a check: the ink says what was read."""
    return [
        {
            "id": new_id(),
            "photo_id": photo_id,
            "item": place,
            "mark_id": mark["id"],
            "mark": mark["mark"],
            "scheme": mark["scheme"],
            "printed": mark["printed"],
            "from": "as_read",
            "read_as": mark["printed"],
        }
        for place, item in enumerate(check["items"])
        for mark in item["marks"]
        if mark["standing"] != "absent"
    ]
