"""A deed that a clause tells somebody to do."""

from dataclasses import dataclass
from typing import Literal

Form = Literal["order", "you", "need", "goes", "wanted"]

NAMED_BEFORE = (-1, -1)
"""As ``object``: the thing is not in the clause; it is the last one told before."""


@dataclass(frozen=True, slots=True)
class Deed:
    """``verb`` is the token of the deed, ``action`` its plain words so far, ``rest`` where what follows begins.

    ``object`` is a token range (end exclusive) that stands before the verb, if the thing does ("side flaps you just
    pull"), or :data:`NAMED_BEFORE`.
    """

    form: Form
    verb: int
    action: str
    rest: int
    object: tuple[int, int] | None = None
