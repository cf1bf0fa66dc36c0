"""Denials that forbid by what they leave out, beside the prohibitions of ``scope``: "no chocks on that axle"."""

from spacy.tokens import Doc

from vouchbook.extract.read.sentences import Clause
from vouchbook.extract.read.tape import tape, words_pattern

_BREAKS_OFF = words_pattern(
    # "don't, whatever you do, lift it", "you must never, ever, cut it", "nobody, and I mean nobody, opens that"
    r"(?:.* )?(?:(?:do|must|should) (?:n't|not)(?: you)?|never|nobody|no one)"
)


def is_denied(doc: Doc, clause: Clause) -> bool:
    """Whether the clause names a thing only to say that there is to be none: "no gloves near the shaft".

    "Not without gloves" asks for them.
    """
    if doc[clause.body].lower_ not in {"no", "not"}:
        return False
    return clause.body + 1 >= clause.end or doc[clause.body + 1].lower_ != "without"


def breaks_off(doc: Doc, clause: Clause) -> bool:
    """Whether the clause ends in a negation whose deed comes later in the sentence: "don't, whatever you do, …"."""
    return _BREAKS_OFF.fullmatch(tape(doc, clause.start, clause.end).text) is not None
