"""A leaflet for whoever is given respirators: how one is worn, and who asks a doctor first.

A shaven face, the seal looked at each time, a doctor for whoever breathes hard:
29 CFR 1910.134, (g)(1)(i), Appendix B-1 and (e). The rest is common practice, no source.
The maker's own leaflet and local rules go first, and the leaflet says so.
"""

from inkwitness.phrases import Phrases

#: What it says, in the order in which one needs it.
POINTS = ("first", "face", "seal", "single", "care", "doctor", "not_for", "valve", "lot", "nothing")


def leaflet(say: Phrases) -> tuple[str, ...]:
    """The sentences of the leaflet in one language."""
    return tuple(say(f"leaflet.{point}") for point in POINTS)
