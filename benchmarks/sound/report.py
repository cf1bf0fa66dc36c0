"""The tables that are printed for one level of noise."""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from sound.mistakes import Comparison, Mistake
from sound.questions import REACH_S, asked_ranges, by_chance, is_near
from sound.scores import KINDS
from vouchbook.models.draft import Draft

OF_HEARING = frozenset({"doubtful", "implausible", "unheard"})
"""Kinds of question that say that words may be wrong; others are near a mistake by chance."""

Pairs = Sequence[tuple[Draft, Comparison]]


def print_scores(reports: Mapping[str, Mapping[str, Any]]) -> None:
    """F1 of each way of reading, kind by kind, with what all of them lose against the first."""
    first = next(iter(reports.values()))["kinds"]
    for name, report in reports.items():
        kinds = report["kinds"]
        scores = "  ".join(f"{kind} {kinds[kind]['f1']:.3f}" for kind in KINDS)
        print(f"F1 {name:29} {scores}  loss {first['all']['f1'] - kinds['all']['f1']:+.3f}")
    for name, report in reports.items():
        print(f"harm, {name}: {report.get('harm') or report.get('safety')}")


def print_mistakes(pairs: Pairs) -> None:
    """For each sense: how many words were said and heard wrong, and how many of these a question leads to."""
    said: Counter[str] = Counter()
    rows: dict[str, Counter[str]] = {name: Counter() for name in ("wrong", "inside", "near", "near one of hearing")}
    for draft, comparison in pairs:
        said.update(comparison.critical)
        of_hearing = asked_ranges(draft, OF_HEARING)
        for mistake in comparison.mistakes:
            rows["wrong"][mistake.sense] += 1
            rows["inside"][mistake.sense] += is_near(mistake.at, asked_ranges(draft), 0)
            rows["near"][mistake.sense] += is_near(mistake.at, asked_ranges(draft))
            rows["near one of hearing"][mistake.sense] += is_near(mistake.at, of_hearing)
    for sense in (*sorted(said), "all"):
        spoken, wrong, *found = (c.total() if sense == "all" else c[sense] for c in (said, *rows.values()))
        shares = (f"{name} {n} ({n / wrong:.0%})" for name, n in zip(list(rows)[1:], found, strict=True) if wrong)
        print(f"{sense:9} said {spoken:4}, wrong {wrong:3}  {', '.join(shares)}")


def print_asked(pairs: Pairs) -> None:
    """Questions of each kind, and the share of all words that are near one: what chance alone would find."""
    counts = [by_chance(draft, asked_ranges(draft)) for draft, _ in pairs]
    share = sum(covered for covered, _ in counts) / max(1, sum(words for _, words in counts))
    kinds = Counter(question.kind for draft, _ in pairs for question in draft.open_questions)
    print(f"of all words {share:.0%} are within {REACH_S:.0f} s of a question; questions {dict(kinds.most_common())}")


def print_silent(pairs: Pairs) -> None:
    """Wrong critical words that no question is near, with the probability that the recogniser gave."""
    for name, mistake in _silent(pairs):
        how = "made up" if mistake.is_made_up else "lost"
        odds = f"{mistake.probability:.2f}, lowest near it {mistake.nearby:.2f}"
        words = f"{mistake.said!r} heard as {mistake.heard!r}"
        print(f"  {how} {mistake.sense} {mistake.word!r}: {words}; {odds}; {name} {mistake.at[0]:.1f} s")


def _silent(pairs: Pairs) -> Iterator[tuple[str, Mistake]]:
    for draft, comparison in pairs:
        ranges = asked_ranges(draft)
        for mistake in comparison.mistakes:
            if not is_near(mistake.at, ranges):
                yield draft.transcript.sources[0].name.rpartition(".")[0], mistake
