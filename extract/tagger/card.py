"""What is written beside the weights: the values of the features, the deeds, and what the tagger was trained on."""

from vouchbook.extract.tagger.labels import FEATURES, HEADS
from vouchbook.models.record import Record

DEED = "deed"


class Card(Record):
    """How to feed the network and how to read its answers.

    ``feature_values`` lists the known values of each feature, in the order of their numbers from 1 on; 0 is any other.
    """

    name: str
    feature_values: dict[str, tuple[str, ...]]
    deeds: tuple[str, ...]
    trained_on: str
    measured: str
    limits: str

    def heads(self) -> dict[str, tuple[str, ...]]:
        """All questions with their answers, in the order of the network's columns."""
        return {**HEADS, DEED: self.deeds}

    def numbers(self) -> tuple[dict[str, int], ...]:
        """For each feature, in the order of :data:`FEATURES`, the number of each known value."""
        return tuple({value: n for n, value in enumerate(self.feature_values[f], start=1)} for f in FEATURES)
