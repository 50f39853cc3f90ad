"""From the share of evidence to a probability that holds, and from that to `read` or `doubtful`."""

from typing import Literal


def probability(mark: str, share: float) -> float:
    """How often a mark with this share of evidence is right."""
    return share


def standing(mark: str, likely: float) -> Literal["read", "doubtful"]:
    """Whether a mark of this probability is shown as read."""
    return "read" if likely >= 0.95 else "doubtful"
