"""Precision, recall and F1 of what was found beside what is there."""

from collections import Counter
from collections.abc import Hashable, Iterable
from dataclasses import dataclass


@dataclass(slots=True)
class Counts:
    """Grows by one text at a time; the same thing found twice must be there twice."""

    right: int = 0
    found: int = 0
    gold: int = 0

    def add(self, gold: Iterable[Hashable], found: Iterable[Hashable]) -> None:
        """Counts one text."""
        wanted, given = Counter(gold), Counter(found)
        self.right += (wanted & given).total()
        self.found += given.total()
        self.gold += wanted.total()

    @property
    def precision(self) -> float:
        """The share of the found that is right; 0 when nothing was found."""
        return self.right / self.found if self.found else 0.0

    @property
    def recall(self) -> float:
        """The share of the gold that was found; 0 when there is none."""
        return self.right / self.gold if self.gold else 0.0

    @property
    def f1(self) -> float:
        """The harmonic mean of both, pooled over all texts."""
        total = self.found + self.gold
        return 2 * self.right / total if total else 0.0

    def row(self) -> str:
        """Precision, recall and F1 in percent."""
        return f"{100 * self.precision:.1f} / {100 * self.recall:.1f} / {100 * self.f1:.1f}"
