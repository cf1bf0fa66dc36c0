"""How much each piece of evidence weighs for an item of a kind; fitted, and kept beside the network's weights."""

from vouchbook.models.record import Record


class Weights(Record):
    """A logistic model: an item is as probable as ``offset`` and the sum of evidence times ``factors`` say.

    From ``least`` on it is an item.
    """

    offset: float
    factors: tuple[float, ...]
    least: float


class Weighing(Record):
    """The weights of each kind of item; ``evidence`` names what is weighed, in the order of their factors."""

    evidence: tuple[str, ...]
    kinds: dict[str, Weights]
