"""What the dated registers say of a mark, and which of them have grown old."""

import re
from collections.abc import Iterator

from inkwitness.findings.evidence import Evidence
from inkwitness.findings.values import Placed
from inkwitness.marks.text import ready
from inkwitness.rulebook.kinds import InRegister, RegisterAge
from inkwitness.rulebook.values import Entry, Register, Rulebook


def of_register(register: Register, evidence: Evidence) -> Iterator[tuple[Placed, Entry | None]]:
    """The marks that a register speaks of, each with its entry, or None where it has none."""
    for placed in evidence.named(register.mark):
        mark = placed.mark
        text = mark.value if register.of == "value" else ready(mark.printed).text
        if re.search(register.about, text) is not None:
            entries = (entry for entry in register.entries if re.search(entry.matches, text))
            yield placed, next(entries, None)


def in_register(
    check: InRegister, evidence: Evidence, rulebook: Rulebook
) -> Iterator[tuple[Placed, dict[str, str]]]:
    """The marks that are in the register (or not in it), and what the sentence says of it."""
    register = rulebook.register(check.register)
    if register is None:
        return
    for placed, entry in of_register(register, evidence):
        if (entry is not None) is (check.raised_when == "in"):
            says = entry.says if entry else ""
            yield placed, {"entry": says, "as_of": register.as_of.isoformat()}


def old_registers(
    check: RegisterAge, evidence: Evidence, rulebook: Rulebook
) -> Iterator[tuple[Placed, dict[str, str]]]:
    """The registers older than so many days that speak of a mark here, each once."""
    for register in rulebook.registers:
        first = next(of_register(register, evidence), None)
        if first is not None and (evidence.on - register.as_of).days > check.days:
            yield first[0], {"register": register.says, "as_of": register.as_of.isoformat()}
