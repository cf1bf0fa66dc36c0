"""An item that may be one: what the rules or the tagger found, before it is weighed."""

from dataclasses import dataclass
from typing import Literal

from vouchbook.extract.read.found import Found

Source = Literal["rules", "tagger"]


@dataclass(frozen=True, slots=True)
class Candidate:
    """``found`` by ``source``; ``sure`` is how sure that source is of it, 0 to 1.

    ``head`` is the token that the item hangs on: of a step its verb, of a tool its first word.
    """

    found: Found
    source: Source
    sure: float
    head: int
    is_implied: bool = False
