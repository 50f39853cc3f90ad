"""A photograph as the viewer shows it, and what can be measured on it before any reading."""

from inkwitness.photo.values import Photo, QualityFact

__all__ = ["Photo", "QualityFact"]
