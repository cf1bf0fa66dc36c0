"""The tagger's answers for the words of one talk."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Column = npt.NDArray[np.float32]
Table = npt.NDArray[np.float32]


@dataclass(frozen=True)
class Marks:
    """``tables[head]`` holds a row for each token and a column for each of ``labels[head]``: probabilities, 0 to 1."""

    tables: Mapping[str, Table]
    labels: Mapping[str, tuple[str, ...]]

    def column(self, head: str, *names: str) -> Column:
        """For each token, the probability that one of ``names`` is the answer of ``head``."""
        wanted = [self.labels[head].index(name) for name in names]
        total: Column = self.tables[head][:, wanted].sum(axis=1)
        return total

    def any(self, head: str) -> Column:
        """For each token, the probability of any answer of ``head`` but the first, which says that there is none."""
        rest: Column = 1 - self.tables[head][:, 0]
        return rest

    def best(self, head: str, start: int, end: int, among: Sequence[str] | None = None) -> tuple[str, float]:
        """The likeliest answer of ``head`` over tokens ``start`` to ``end`` (exclusive), and its mean probability."""
        names = self.labels[head]
        mean = self.tables[head][start:end].mean(axis=0)
        allowed = range(len(names)) if among is None else [names.index(name) for name in among]
        place = max(allowed, key=lambda n: float(mean[n]))
        return names[place], float(mean[place])
