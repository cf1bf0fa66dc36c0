from datetime import UTC, datetime

import pytest

from vouchbook.library.review.agreement import agreements, cohens_kappa
from vouchbook.models.decisions import Decision, Verdict

AT = datetime(2031, 3, 4, 10, tzinfo=UTC)


def _labels(counts: list[tuple[str, str, int]]) -> tuple[dict[str, str], dict[str, str]]:
    rows = [(one, other) for one, other, count in counts for _ in range(count)]
    return {str(n): one for n, (one, _) in enumerate(rows)}, {str(n): other for n, (_, other) in enumerate(rows)}


def test_kappa_of_the_worked_example_of_artstein_and_poesio() -> None:
    """From memory of R. Artstein and M. Poesio, "Inter-Coder Agreement for Computational Linguistics", 2008, table 1.

    Two coders, 100 utterances: observed 0.7, expected 0.3 * 0.4 + 0.7 * 0.6 = 0.54, kappa (0.7 - 0.54) / 0.46 = 0.348.
    """
    one, other = _labels([("stat", "stat", 20), ("stat", "ireq", 20), ("ireq", "stat", 10), ("ireq", "ireq", 50)])
    assert cohens_kappa(one, other) == pytest.approx(0.348, abs=5e-4)


@pytest.mark.parametrize(
    ("counts", "kappa"),
    [
        pytest.param([("a", "a", 5), ("b", "b", 5)], 1.0, id="always-the-same"),
        pytest.param([("a", "b", 5), ("b", "a", 5)], -1.0, id="never-the-same"),
        pytest.param([("a", "a", 5), ("a", "b", 5), ("b", "a", 5), ("b", "b", 5)], 0.0, id="by-chance"),
        pytest.param([("a", "a", 5)], None, id="one-label-throughout"),
        pytest.param([], None, id="nothing-shared"),
    ],
)
def test_kappa_at_its_ends(counts: list[tuple[str, str, int]], kappa: float | None) -> None:
    assert cohens_kappa(*_labels(counts)) == (None if kappa is None else pytest.approx(kappa))


def _decision(by: int, item: str, verdict: Verdict) -> Decision:
    return Decision(item=item, by=by, at=AT, verdict=verdict, reason="duplicate" if verdict == "rejected" else None)


def test_each_pair_is_compared_over_what_both_decided() -> None:
    decisions = [
        _decision(1, "i1", "rejected").undone(1, AT),
        _decision(1, "i1", "confirmed"),
        _decision(2, "i1", "confirmed"),
        _decision(1, "i2", "rejected"),
        _decision(2, "i2", "confirmed"),
        _decision(2, "i3", "rejected"),
        _decision(3, "i3", "rejected"),
    ]
    assert [(a.one, a.other, a.items, a.same) for a in agreements(decisions)] == [(1, 2, 2, 1), (2, 3, 1, 1)]
