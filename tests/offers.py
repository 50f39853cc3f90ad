"""Print whose name is only a guess from its place, as a reading offers it. Invented names."""

from inkwitness.marks.values import Mark


def offer(name: str, text: str, line: int) -> Mark:
    """A piece of print, a whole line, of which only its place says that it may be this mark."""
    left, top = 40.0, 40.0 + 60 * line
    box = ((left, top), (left + 300, top), (left + 300, top + 40), (left, top + 40))
    return Mark(
        name,
        text,
        text,
        "doubtful",
        0.9,
        polygon=box,
        line=line,
        id=f"0:{line}:{name}",
        span=(0, len(text)),
        named_by="place",
        reasons=("named_by_place",),
    )


PLAIN = ("TAMBERLOW", "9417", "KEEP DRY", "N95", "NIOSH", "TC-84A-9981")
#: The same ink is offered under two names.
OFFERS = (
    *(offer(name, "TAMBERLOW", 0) for name in ("manufacturer", "model")),
    *(offer(name, "9417", 1) for name in ("model", "lot")),
    *(offer(name, "KEEP DRY", 2) for name in ("manufacturer", "model")),
)
