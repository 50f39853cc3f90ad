"""How sure it is what stands at a candidate: the distribution over its values, from all that was
seen.

`score` scores what may stand there in every view (`evidence`), takes the values that the grammar
allows, and sums the ways to print one value.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from inkwitness.marks.candidates import CandidateSpan
from inkwitness.marks.dates import normal_date
from inkwitness.marks.grammar import Traits
from inkwitness.marks.match import Match, find, ink_span
from inkwitness.marks.scores import calibration
from inkwitness.marks.scores.evidence import Piece, Transcription, transcriptions
from inkwitness.marks.text import LOOK_ALIKE, ready
from inkwitness.marks.typed import is_typed
from inkwitness.reading.values import View

#: A letter's middle may stand this far outside its place in another view (shares of the line's
#: length): steps of two views do not fall together.
_ASIDE = 0.01


@dataclass(frozen=True, slots=True, eq=False)
class Scored:
    """A candidate with its distribution: the forms that the ink may have, each with its ink, the
    value of that and its share, the likeliest first.

    `likeliest` is the likeliest string of all, whether the grammar holds for it or not.
    """

    candidate: CandidateSpan
    hypotheses: tuple[Match, ...]
    likeliest: Transcription
    pieces: tuple[Piece, ...]
    seen_by: tuple[str, ...]
    signs: calibration.Signs

    @property
    def share(self) -> float:
        return self.hypotheses[0].share


def score(candidate: CandidateSpan, same: Sequence[CandidateSpan]) -> Scored | None:
    """The distribution at a candidate; None where no way to read it has a value.

    `same` are the candidates of the same mark over the same ink in any view, this one among them.
    """
    own = {id(other.view): other for other in reversed(same)}
    pieces = [_piece(view, own.get(id(view)), candidate) for view in candidate.line.views]
    guess = [_corrected(other) for other in same]
    if is_typed(candidate.line):
        found = _certain(candidate, guess)
    elif _is_spelled(candidate):
        found = transcriptions(pieces, guess, candidate.line.second)
    else:
        found = _by_line(candidate)
    hypotheses: dict[str, list[tuple[Match, Transcription]]] = {}
    for transcription in found:
        form = _form(candidate, transcription.text)
        if form is not None:
            hypothesis = replace(form, share=transcription.probability)
            hypotheses.setdefault(hypothesis.value, []).append((hypothesis, transcription))
    summed = []
    for alike in hypotheses.values():
        views = np.array([transcription.by_view for _, transcription in alike]).sum(axis=0)
        share = min(1.0, sum(hypothesis.share for hypothesis, _ in alike))
        summed.append((replace(alike[0][0], share=share), views))
    summed.sort(key=lambda pair: -pair[0].share)
    if not summed:
        return None
    best, views = summed[0]
    said = [bare(ready(second.text).text) for second in candidate.line.second]
    agreed = any(bare(best.printed) in text for text in said)
    signs = calibration.Signs(
        share=best.share,
        agreeing=float((views > 0.5).mean()),
        worst_view=float(views.min()),
        second_agrees=agreed,
        second_differs=bool(said) and not agreed,
        line_confidence=candidate.line.confidence,
        x_height_px=candidate.line.x_height_px,
    )
    readers = ("ppocr", candidate.line.second[0].reader) if agreed else ("ppocr",)
    return Scored(
        candidate,
        tuple(hypothesis for hypothesis, _ in summed),
        found[0],
        tuple(pieces),
        readers,
        signs,
    )


def _certain(candidate: CandidateSpan, guess: Sequence[str]) -> tuple[Transcription, ...]:
    """The letters as they are typed; what the grammar would have is only a question."""
    ink = ready(candidate.ink).text
    others = [text for text in dict.fromkeys(guess) if text != ink]
    return (Transcription(ink, 1.0, (1.0,)), *(Transcription(text, 0.0, (0.0,)) for text in others))


def _is_spelled(candidate: CandidateSpan) -> bool:
    """Whether the view's steps tell every letter of the ink apart (they know few Han letters)."""
    return all(letter in candidate.view.steps.alphabet for letter in candidate.ink)


def _by_line(candidate: CandidateSpan) -> tuple[Transcription, ...]:
    """The ink as it was read, as sure as its line: nothing of a finer grain is known."""
    wanted = bare(ready(candidate.ink).text)
    views = tuple(
        view.confidence if wanted in bare(ready(view.text).text) else 0.0
        for view in candidate.line.views
    )
    return (Transcription(candidate.ink, min(views), views),)


def bare(text: str) -> str:
    """Letters and digits alone, signs that hardly differ in ink made one."""
    return folded("".join(letter for letter in text if letter.isalnum()))


def folded(text: str) -> str:
    """The text with signs that hardly differ in ink made one."""
    for group in LOOK_ALIKE:
        for letter in group:
            text = text.replace(letter, group[0])
    return text


def _piece(view: View, own: CandidateSpan | None, candidate: CandidateSpan) -> Piece:
    """The steps of the ink in this view: its own candidate, or the same share of the line."""
    steps = view.steps.log_probs.shape[0]
    if own is not None:
        spans = own.told.spans
        first, last = spans[own.start][0], spans[own.end - 1][1]
        before = spans[own.start - 1][1] if own.start > own.above else 0
        after = spans[own.end][0] if own.end < len(spans) else steps
        return Piece(view, (before + first + 1) // 2, max((after + last) // 2, first + 1))
    low, high = candidate.extent
    starts = [(span[0] + span[1]) / 2 / steps for span in view.spans]
    inside = [i for i, at in enumerate(starts) if low - _ASIDE <= at <= high + _ASIDE]
    if not inside:
        first = int(low * steps)
        return Piece(view, first, max(first + 1, int(high * steps)))
    a, b = inside[0], inside[-1]
    before = view.spans[a - 1][1] if a > 0 else 0
    after = view.spans[b + 1][0] if b + 1 < len(view.spans) else steps
    return Piece(view, (before + view.spans[a][0] + 1) // 2, (after + view.spans[b][1]) // 2 or 1)


def _corrected(candidate: CandidateSpan) -> str:
    """The ink as the grammar would have it: a question to ask of the probabilities."""
    letters = list(ready(candidate.told.text[candidate.start : candidate.end]).text)
    for at, _, wanted in candidate.match.changes:
        if (
            candidate.start <= at < candidate.end
            and len(letters) == candidate.end - candidate.start
        ):
            letters[at - candidate.start] = wanted
    return "".join(letters)


def _form(candidate: CandidateSpan, ink: str) -> Match | None:
    """The form and the value of this ink, if the grammar holds with it in its place, look-alikes
    allowed.
    """
    text = candidate.told.text[: candidate.start] + ink + candidate.told.text[candidate.end :]
    end = candidate.start + len(ink)
    for loosely in (False, True):
        for match in find(text, candidate.grammar, loosely=loosely):
            if match.nearness == "confusable":
                # The label in front may be misread; the ink itself may not.
                if any(candidate.start <= at < end for at, _, _ in match.changes):
                    continue
            start, stop = ink_span(match)
            if start <= candidate.start + 1 and stop >= end - 1 and stop > candidate.start:
                value = normal(candidate.grammar.traits, match, text[start:stop])
                return replace(match, printed=ink, value=value)
    return None


def normal(traits: Traits, match: Match, ink: str) -> str:
    """The normal form of a match: of a date in ISO 8601, of a maker's own code the ink."""
    if traits.shape == "date":
        return normal_date(match.value)
    return ink if traits.keeps_ink else match.value
