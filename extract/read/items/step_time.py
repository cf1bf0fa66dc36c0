"""How long a step takes, as somebody says it."""

from vouchbook.extract.read.talk import Talk


def time_told(talk: Talk, start: int, end: int) -> str | None:
    """The first time told in tokens ``start`` to ``end`` (exclusive), as said: "give it a full minute"."""
    for value in talk.values_in(start, end):
        if value.quantity.dimension == "time":
            return talk.transcript.text(value.first, value.last).strip(".,;:?!")
    return None
