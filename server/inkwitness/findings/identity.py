"""What makes two findings the same one: a person's answer to a finding covers no other."""

import hashlib
import json

from inkwitness.findings.values import Finding

#: Values that say where on a line it was, or on which day, and nothing of what was found.
_BESIDE = frozenset({"line", "on", "months_past", "frames"})


def key_of(finding: Finding) -> str:
    """A name for the finding: the same for the same rule, gravity, marks and values alone.

    Other ink, another surface or letters that became certain make another finding of it, so that
    an answer from before does not stand for it.
    """
    values = sorted((name, value) for name, value in finding.values if name not in _BESIDE)
    said = [finding.rule, finding.scheme, finding.severity, finding.question, values, finding.marks]
    return digest_of(said)


def digest_of(said: object) -> str:
    """A short name for what is said (any JSON): the same for the same alone."""
    return sha256_of(said)[:16]


def sha256_of(said: object) -> str:
    """The SHA-256 of what is said (any JSON), for what is kept with a person's decision."""
    return hashlib.sha256(json.dumps(said, ensure_ascii=False).encode()).hexdigest()


def left_open(finding: Finding) -> bool:
    """Whether it leaves something open that a person decides on: all but notes and cautions."""
    return finding.severity in ("conflict", "missing") or finding.cannot_tell


def answerable(finding: Finding) -> bool:
    """Whether a person may set it aside: what contradicts or is missing, asked about or not.

    That something could not be looked at is no finding to be answered: it is looked at, or not.
    """
    return finding.severity in ("conflict", "missing") and not finding.cannot_tell
