"""Per mark: exact, doubtful, wrong shown as read, missed."""

from __future__ import annotations

import bisect
import statistics
from collections import Counter, defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field

from .contestants import Answer, Result
from .truth import Case, bare

_LIMIT = 1.96


@dataclass
class Tally:
    """Counts over the marks of one kind. `exact` are right values, read or doubtful."""

    total: int = 0
    read: int = 0
    doubtful_right: int = 0
    doubtful_wrong: int = 0
    missed: int = 0
    wrong_read: int = 0
    shown_read: int = 0

    @property
    def exact(self) -> int:
        return self.read + self.doubtful_right


@dataclass
class Score:
    """The tallies of one contestant on one set."""

    by_mark: dict[tuple[str, str], Tally] = field(default_factory=lambda: defaultdict(Tally))
    seconds: list[float] = field(default_factory=list)
    megapixels: list[float] = field(default_factory=list)
    whole: Counter[str] = field(default_factory=Counter)
    notes: list[str] = field(default_factory=list)
    judged: list[tuple[float, bool]] = field(default_factory=list)

    def add(self, case: Case, result: Result) -> None:
        """Count one photo."""
        self.seconds.append(result.seconds)
        self.megapixels.append(result.width * result.height / 1e6)
        exact = 0
        for wanted in case.wanted:
            tally = self.by_mark[case.group, wanted.mark]
            tally.total += 1
            value = bare(wanted.value)
            own = [answer for answer in result.answers if answer.mark == wanted.mark]
            exactly = [answer for answer in own if value in _forms(answer)]
            if any(answer.standing == "read" for answer in exactly):
                tally.read += 1
                exact += 1
            elif exactly:
                tally.doubtful_right += 1
                exact += 1
                self._note(case, "doubtful", wanted.mark, wanted.value, exactly)
            elif any(answer.standing == "doubtful" for answer in own):
                tally.doubtful_wrong += 1
                self._note(case, "doubtful-wrong", wanted.mark, wanted.value, own)
            else:
                tally.missed += 1
                self._note(case, "missed", wanted.mark, wanted.value, own)
        self.whole[case.group, exact == len(case.wanted)] += 1
        for answer in result.answers:
            if answer.mark not in case.known:
                continue
            right = bool(_forms(answer) & case.known[answer.mark])
            self.judged.append((answer.probability, right))
            if answer.standing != "read":
                continue
            tally = self.by_mark[case.group, answer.mark]
            tally.shown_read += 1
            if not right:
                tally.wrong_read += 1
                truth = ",".join(sorted(case.known[answer.mark]))
                self._note(case, "WRONG-READ", answer.mark, truth, [answer])

    def _note(
        self, case: Case, what: str, mark: str, truth: str, answers: Iterable[Answer]
    ) -> None:
        told = "; ".join(f"{a.printed!r} {a.standing} {a.probability:.3f}" for a in answers)
        self.notes.append(f"{case.file.name} {case.group} {what} {mark}: {truth} | {told}")

    def sum(self, group: str | None = None, mark: str | None = None) -> Tally:
        """The tally over a group (all where None) and a mark (all where None)."""
        total = Tally()
        for (one_group, one_mark), tally in self.by_mark.items():
            if group in (None, one_group) and mark in (None, one_mark):
                for name in vars(total):
                    setattr(total, name, getattr(total, name) + getattr(tally, name))
        return total


def _forms(answer: Answer) -> set[str]:
    return {bare(answer.value), bare(answer.printed)}


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
    """The table of one set, in Markdown."""
    rows = [f"### {name}", "", "| | | exact | 95 % | read | doubtful | missed | wrong as read |",
            "|---|---|---|---|---|---|---|---|"]  # fmt: skip
    cuts: list[tuple[str, str | None, str | None]] = [("all marks", None, None)]
    cuts += [(group, group, None) for group in groups]
    cuts += [(mark, None, mark) for mark in marks]
    for label, group, mark in cuts:
        for who, score in scores.items():
            t = score.sum(group, mark)
            if not t.total and not t.wrong_read:
                continue
            low, high = wilson(t.exact, t.total)
            doubt = t.doubtful_right + t.doubtful_wrong
            rows.append(
                f"| {label} ({t.total}) | {who} | {_share(t.exact, t.total)} "
                f"| {low:.0%}-{high:.0%} | {_share(t.read, t.total)} | {doubt} "
                f"| {t.missed} | {t.wrong_read} of {t.shown_read} |"
            )
    for who, score in scores.items():
        whole = {g: _share(score.whole[g, True], score.whole[g, True] + score.whole[g, False])
                 for g in groups}  # fmt: skip
        rows.append("")
        rows.append(
            f"{who}: median {statistics.median(score.seconds):.2f} s, mean "
            f"{statistics.fmean(score.seconds):.2f} s a photo of "
            f"{statistics.median(score.megapixels):.1f} MP; photos with every mark exact: "
            + ", ".join(f"{group} {share}" for group, share in whole.items())
        )
    return "\n".join(rows)


def _share(hits: int, total: int) -> str:
    return f"{hits / total:.1%}" if total else "-"
