"""Per mark: wanted, found, shown as read, wrong as read, invented as read.

`found`: the exact value is shown, as read or doubtful; of a maker, a model or a lot it counts
among the first `CANDIDATES` of its kind (the marks in order, each followed by its alternatives).
`wrong`: a value is shown as read that is another than what is printed. `invented`: one is shown
as read of a mark that is not printed at all. Forms of one name (a brand and its company) are one
mark.
"""

from __future__ import annotations

import bisect
import statistics
from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field

from tests.bench.scored.contestants import Answer, Result
from tests.bench.scored.truth import NAMES, Case, Wanted, bare

CANDIDATES = 3
NAMINGS = ("label", "form", "place", "person")
_LIMIT = 1.96
#: A standard may be shown without the prefix of its national edition, by this many letters.
_LEAST_OF_STANDARD = 5


@dataclass
class Tally:
    """Counts of marks; `shown` are all that are shown as read."""

    wanted: int = 0
    found: int = 0
    read: int = 0
    wrong: int = 0
    invented: int = 0
    shown: int = 0


Key = tuple[str, str, str]  # group, mark, how it was named


@dataclass
class Score:
    """The tallies of one contestant on one set. What is only wanted was named by nothing ("")."""

    tallies: dict[Key, Tally] = field(default_factory=lambda: defaultdict(Tally))
    seconds: list[float] = field(default_factory=list)
    megapixels: list[float] = field(default_factory=list)
    whole: Counter[tuple[str, bool]] = field(default_factory=Counter)
    notes: list[str] = field(default_factory=list)
    judged: list[tuple[float, bool]] = field(default_factory=list)

    def add(self, case: Case, result: Result) -> None:
        """Count one photo."""
        self.seconds.append(result.seconds)
        self.megapixels.append(result.width * result.height / 1e6)
        found = [self._want(case, one, result.answers) for one in case.wanted]
        self.whole[case.group, all(found)] += 1
        seen: set[tuple[str, str]] = set()
        for answer in result.answers:
            if answer.mark not in case.stated and answer.mark not in case.printed:
                continue
            right = is_printed(case, answer)
            self.judged.append((answer.probability, right))
            if answer.standing != "read" or (answer.mark, answer.value) in seen:
                continue
            seen.add((answer.mark, answer.value))
            tally = self.tallies[case.group, answer.mark, answer.named_by]
            tally.shown += 1
            if not right and case.printed.get(answer.mark):
                tally.wrong += 1
                truth = ", ".join(sorted(case.printed[answer.mark]))
                self._note(case, "WRONG", answer.mark, truth, [answer])
            elif not right:
                tally.invented += 1
                self._note(case, "INVENTED", answer.mark, "none", [answer])

    def _want(self, case: Case, one: Wanted, answers: Sequence[Answer]) -> bool:
        own = [answer for answer in answers if answer.mark == one.mark]
        finding, read = found_by(one, own), read_by(one, own)
        self.tallies[case.group, one.mark, ""].wanted += 1
        if finding is not None:
            self.tallies[case.group, one.mark, finding.named_by].found += 1
        if read is not None:
            self.tallies[case.group, one.mark, read.named_by].read += 1
        else:
            self._note(case, "doubtful" if finding else "missed", one.mark, one.value, own)
        return finding is not None

    def _note(
        self, case: Case, what: str, mark: str, truth: str, answers: Iterable[Answer]
    ) -> None:
        told = "; ".join(
            f"{a.printed!r} {a.standing} by {a.named_by} {a.probability:.3f}" for a in answers
        )
        self.notes.append(f"{case.file.name} {case.group} {what} {mark}: {truth} | {told}")

    def sum(self, keep: Callable[[Key], bool] = lambda _: True) -> Tally:
        """The tally over all keys that are kept."""
        total = Tally()
        for key, tally in self.tallies.items():
            if keep(key):
                for name in vars(total):
                    setattr(total, name, getattr(total, name) + getattr(tally, name))
        return total


def is_form(mark: str, shown: Iterable[str], forms: Iterable[str]) -> bool:
    """Whether one of the texts shown is one of the forms."""
    texts, wanted = {bare(text) for text in shown} - {""}, {bare(form) for form in forms}
    if texts & wanted:
        return True
    return mark == "standard" and any(
        len(text) >= _LEAST_OF_STANDARD and form.endswith(text) for text in texts for form in wanted
    )


def is_printed(case: Case, answer: Answer) -> bool:
    """Whether what is shown stands somewhere in the photo as that mark."""
    return is_form(answer.mark, (answer.value, answer.printed), case.printed.get(answer.mark, ()))


def found_by(one: Wanted, own: Sequence[Answer]) -> Answer | None:
    """The answer (of those of its kind, in order) that finds a mark, read before doubtful."""
    if one.mark not in NAMES:
        right = [a for a in own if is_form(one.mark, (a.value, a.printed), one.forms)]
        return min(right, key=lambda answer: answer.standing != "read", default=None)
    offered = [
        (answer, pair)
        for answer in own
        for pair in ((answer.value, answer.printed), *zip(answer.others[::2], answer.others[1::2],
                                                          strict=True))
    ]  # fmt: skip
    first = offered[:CANDIDATES]
    return next((answer for answer, pair in first if is_form(one.mark, pair, one.forms)), None)


def read_by(one: Wanted, own: Sequence[Answer]) -> Answer | None:
    """The answer that shows the mark as read."""
    return next(
        (
            answer
            for answer in own
            if answer.standing == "read"
            and is_form(one.mark, (answer.value, answer.printed), one.forms)
        ),
        None,
    )


#: Edges of the bins of probability, closer where marks are shown as read.
BINS = (0.0, 0.1, 0.3, 0.5, 0.7, 0.8, 0.9, 0.95, 0.98, 0.99, 0.995, 0.998, 0.999, 1.0)


def reliability(judged: Iterable[tuple[float, bool]]) -> list[tuple[float, float, int]]:
    """Per bin of probability that has marks: mean predicted, share right, marks."""
    bins: dict[int, list[tuple[float, bool]]] = defaultdict(list)
    for likely, right in judged:
        bins[min(bisect.bisect_right(BINS, likely) - 1, len(BINS) - 2)].append((likely, right))
    return [
        (statistics.fmean(p for p, _ in own), statistics.fmean(r for _, r in own), len(own))
        for _, own in sorted(bins.items())
    ]


def reliability_table(judged: Iterable[tuple[float, bool]]) -> str:
    """The same in Markdown."""
    rows = ["| predicted | observed | marks |", "|---|---|---|"]
    rows += [f"| {p:.4f} | {o:.4f} | {n} |" for p, o, n in reliability(judged)]
    return "\n".join(rows)


def wilson(hits: int, total: int) -> tuple[float, float]:
    """95 % interval of a share. Source: Wilson, JASA 22 (1927) 209-212."""
    if not total:
        return 0.0, 1.0
    z2 = _LIMIT**2
    share = hits / total
    centre = share + z2 / (2 * total)
    spread = _LIMIT * ((share * (1 - share) + z2 / (4 * total)) / total) ** 0.5
    return (centre - spread) / (1 + z2 / total), (centre + spread) / (1 + z2 / total)


def table(name: str, scores: dict[str, Score], groups: list[str], marks: list[str]) -> str:
    """The table of one set, in Markdown: all, by group, by mark, and by how a mark was named."""
    rows = [f"### {name}", "", "| | | wanted | found | 95 % | read | wrong as read | invented |",
            "|---|---|---|---|---|---|---|---|"]  # fmt: skip
    cuts: list[tuple[str, Callable[[Key], bool]]] = [
        ("all marks", lambda _: True),
        ("without maker, model and lot", lambda key: key[1] not in NAMES),
    ]
    cuts += [(group, lambda key, group=group: key[0] == group) for group in groups]  # type: ignore[misc]
    cuts += [(mark, lambda key, mark=mark: key[1] == mark) for mark in marks]  # type: ignore[misc]
    for label, keep in cuts:
        for who, score in scores.items():
            t = score.sum(keep)
            if not t.wanted and not t.shown:
                continue
            low, high = wilson(t.found, t.wanted)
            rows.append(
                f"| {label} | {who} | {t.wanted} | {t.found} ({_share(t.found, t.wanted)}) "
                f"| {low:.0%}-{high:.0%} | {t.read} ({_share(t.read, t.wanted)}) "
                f"| {t.wrong} of {t.shown} | {t.invented} |"
            )
    for naming in NAMINGS:
        for who, score in scores.items():
            t = score.sum(lambda key, naming=naming: key[2] == naming)  # type: ignore[misc]
            if t.found or t.shown:
                rows.append(f"| named by {naming} | {who} | | {t.found} | | {t.read} "
                            f"| {t.wrong} of {t.shown} | {t.invented} |")  # fmt: skip
    for who, score in scores.items():
        whole = {g: _share(score.whole[g, True], score.whole[g, True] + score.whole[g, False])
                 for g in groups}  # fmt: skip
        rows.append("")
        rows.append(
            f"{who}: median {statistics.median(score.seconds):.2f} s, mean "
            f"{statistics.fmean(score.seconds):.2f} s a photo of "
            f"{statistics.median(score.megapixels):.1f} MP; photos with every mark found: "
            + ", ".join(f"{group} {share}" for group, share in whole.items())
        )
    return "\n".join(rows)


def _share(hits: int, total: int) -> str:
    return f"{hits / total:.1%}" if total else "-"
