"""One entry beside the marks of one item, field by field: what agrees, differs, or is not there.

What a difference means follows the project's decisions: another class contradicts; another model
contradicts where the printed name is the holder's or absent; another name is a question to the
holder, unless the entry lists it as a private label; another body number is a question, since two
bodies act for one certificate (Regulation (EU) 2016/425, annexes V, VII and VIII). Only a mark
that is read agrees with an entry: one that is like it and doubtful is `doubtful`, not agreement.
A mark that only its place names is no mark here, so that its name counts as absent. A short form of
the holder's name agrees on the surface that is judged; on another one of the same unit (a box
beside a facepiece) only the whole name does.
"""

import re
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import Literal

from inkwitness.holders.lookup import all_models
from inkwitness.holders.names import likeness
from inkwitness.holders.numbers import normal_form
from inkwitness.holders.values import FieldComparison, HolderEntry, PrivateLabel
from inkwitness.marks.values import Mark

Weight = Literal["none", "question", "conflict"]
NameIs = Literal["holder", "private_label", "other", "absent"]


@dataclass(frozen=True, slots=True)
class Compared:
    """A field and what its difference weighs."""

    field: FieldComparison
    weight: Weight = "none"


@dataclass(frozen=True, slots=True)
class EntryCompared:
    """All fields of one entry compared; `label` is the private label that is printed, or None."""

    entry: HolderEntry
    fields: tuple[Compared, ...]
    name_is: NameIs
    label: PrivateLabel | None = None

    @property
    def conflict(self) -> bool:
        """Whether a field differs and nothing makes that a question only."""
        return any(compared.weight == "conflict" for compared in self.fields)

    @property
    def differs(self) -> bool:
        """Whether any field differs, or leaves a question."""
        return any(compared.weight != "none" for compared in self.fields)


def compare(
    entry: HolderEntry,
    marks: Sequence[Mark],
    elsewhere: Collection[Mark] = (),
    behind_class: Collection[str] = (),
) -> EntryCompared:
    """Compare an entry with the marks of an item (of one scheme, or of every scheme).

    `elsewhere` are those of them that stand on another surface of the same unit. `behind_class` are
    words behind a class that are marks of their own.
    """
    names = _seen(marks, "manufacturer")
    name_is, label, name = _name(entry, names, elsewhere)
    fields = (
        name,
        _model(entry, _seen(marks, "model"), name_is, label),
        _class(entry, _seen(marks, "filter_class"), behind_class),
        *_body(entry, _seen(marks, "body_number")),
    )
    return EntryCompared(entry, fields, name_is, label)


def class_core(text: str, behind: Collection[str]) -> str:
    """The class itself, without signs and without words `behind` it that are marks of their own.

    >>> class_core("FFP2 NR D", {"NR", "D"}), class_core("n-95", ())
    ('FFP2', 'N95')
    """
    words = re.split(r"[\s/]+", text.upper().strip())
    while len(words) > 1 and words[-1] in behind:
        words.pop()
    return normal_form(" ".join(words))


def _seen(marks: Sequence[Mark], name: str) -> list[Mark]:
    """The marks of a name with letters, those that are read before the doubtful ones.

    What a person called illegible has no letters.
    """
    seen = [
        mark
        for mark in marks
        if mark.mark == name
        and mark.standing != "absent"
        and mark.named_by != "place"
        and (mark.value or mark.printed)
    ]
    return sorted(seen, key=lambda mark: mark.standing == "doubtful")


def _like(name: str, like: Mark, marks: Sequence[Mark], listed: str, note: str = "") -> Compared:
    """The field of which the mark `like` is as listed: it agrees only where that mark is read.

    Beside agreement only marks that are read are shown. A mark that is read and not as listed,
    beside a doubtful one that is, stays a question.
    """
    read = [mark for mark in marks if mark.standing == "read"]
    if like in read:
        return Compared(FieldComparison(name, "agrees", _text(read), listed, note))
    field = FieldComparison(name, "doubtful", _text(marks), listed, note)
    return Compared(field, "question" if read else "none")


def _weight(marks: Sequence[Mark], weight: Weight) -> Weight:
    """A conflict rests only on letters that are certain."""
    doubtful = any(mark.standing == "doubtful" for mark in marks)
    return "question" if doubtful and weight == "conflict" else weight


def _note(marks: Sequence[Mark], note: str = "") -> str:
    return "doubtful" if any(mark.standing == "doubtful" for mark in marks) and not note else note


def _text(marks: Sequence[Mark]) -> str:
    return "; ".join(dict.fromkeys(mark.value or mark.printed for mark in marks))


def _name(
    entry: HolderEntry, marks: Sequence[Mark], elsewhere: Collection[Mark]
) -> tuple[NameIs, PrivateLabel | None, Compared]:
    if not marks:
        field = FieldComparison("manufacturer", "not_read", listed=entry.holder)
        return "absent", None, Compared(field)
    printed = _text(marks)
    resembles = False
    part: Compared | None = None
    for mark in marks:
        for listed in (entry.holder, *entry.other_names):
            found = likeness(mark.value or mark.printed, listed)
            if found == "same" or (found == "short" and mark not in elsewhere):
                note = "short_name" if found == "short" else ""
                return "holder", None, _like("manufacturer", mark, marks, listed, note)
            if found == "short":
                text = mark.value or mark.printed
                field = FieldComparison("manufacturer", "doubtful", text, listed, "short_name")
                part = part or Compared(field)
            resembles = resembles or found == "resembles"
        for label in entry.private_labels:
            found = likeness(mark.value or mark.printed, label.name)
            if found == "same" or (found == "short" and mark not in elsewhere):
                found_label = _like("manufacturer", mark, marks, label.name, "private_label")
                return "private_label", label, found_label
    if part is not None and all(mark in elsewhere for mark in marks):
        return "holder", None, part
    note = "resembles" if resembles else "ask_the_holder"
    field = FieldComparison("manufacturer", "differs", printed, entry.holder, note)
    return "other", None, Compared(field, "question")


def _model(
    entry: HolderEntry, marks: Sequence[Mark], name_is: NameIs, label: PrivateLabel | None
) -> Compared:
    models = label.models if label is not None and label.models else entry.models
    if name_is == "absent":
        # a private label's model may stand without that firm's name
        models = tuple(dict.fromkeys(all_models(entry)))
    listed = "; ".join(models)
    if not models:
        return Compared(FieldComparison("model", "not_on_entry", _text(marks)))
    if not marks:
        return Compared(FieldComparison("model", "not_read", listed=listed))
    printed = _text(marks)
    by_form = {normal_form(model): model for model in models}
    for mark in marks:
        model = by_form.get(normal_form(mark.value or mark.printed))
        if model is not None:
            spelled = (mark.value or mark.printed).casefold() == model.casefold()
            note = "" if spelled else "written_differently"
            return _like("model", mark, marks, model, note)
    if name_is in ("holder", "absent"):
        field = FieldComparison("model", "differs", printed, listed, _note(marks))
        return Compared(field, _weight(marks, "conflict"))
    field = FieldComparison("model", "differs", printed, listed, "ask_the_holder")
    return Compared(field, "question")


def _class(entry: HolderEntry, marks: Sequence[Mark], behind: Collection[str]) -> Compared:
    listed = "; ".join(entry.filter_classes)
    if not entry.filter_classes:
        return Compared(FieldComparison("filter_class", "not_on_entry", _text(marks)))
    if not marks:
        return Compared(FieldComparison("filter_class", "not_read", listed=listed))
    cores = {class_core(one, behind) for one in entry.filter_classes}
    printed = _text(marks)
    others = [mark for mark in marks if class_core(mark.value or mark.printed, behind) not in cores]
    if not others:
        return _like("filter_class", marks[0], marks, listed)
    field = FieldComparison("filter_class", "differs", printed, listed, _note(others))
    return Compared(field, _weight(others, "conflict"))


def _body(entry: HolderEntry, marks: Sequence[Mark]) -> tuple[Compared, ...]:
    listed = entry.production_body or entry.examination_body
    if not listed and not marks:
        return ()
    if not listed:
        return (Compared(FieldComparison("body_number", "not_on_entry", _text(marks))),)
    if not marks:
        return (Compared(FieldComparison("body_number", "not_read", listed=listed)),)
    printed = _text(marks)
    for mark in marks:
        if normal_form(mark.value or mark.printed) == normal_form(listed):
            return (_like("body_number", mark, marks, listed),)
    field = FieldComparison("body_number", "differs", printed, listed, "ask_the_body")
    return (Compared(field, "question"),)
