"""Which clause tells somebody to do something, by which verb; each form in a file of its own."""

from vouchbook.extract.read.deeds.deed import Deed
from vouchbook.extract.read.deeds.goes import goes
from vouchbook.extract.read.deeds.need import need
from vouchbook.extract.read.deeds.order import order
from vouchbook.extract.read.deeds.turned import turned
from vouchbook.extract.read.deeds.wanted import wanted
from vouchbook.extract.read.deeds.you import you
from vouchbook.extract.read.sentences import Clause
from vouchbook.extract.read.talk import Talk

_FORMS = (turned, order, you, need, goes, wanted)
_FORMS_OF_FEW_WORDS = (turned, wanted, order, you, need, goes)
"""In two or three words a state is more likely than an order: "lid off", though "lid" can be a verb to the tagger."""
_FEW_WORDS = 3

_SAID_TO_EACH_OTHER = frozenset({
    "stop", "wait", "look", "listen", "sorry", "come", "go", "drop it", "get on", "tell you what", "say again",
    "leave it", "put it away", "trust me", "believe me", "excuse me", "never mind", "carry on", "mind you",
    "let me see", "let me think", "let 's see",
})  # fmt: skip
_ASKS_TO_WAIT = (["hang", "on"], ["hold", "on"], ["go", "on"], ["come", "on"])


def deed(talk: Talk, clause: Clause) -> Deed | None:
    """The deed that ``clause`` tells somebody to do, or None. The caller has made sure that it forbids nothing."""
    if _is_said_to_each_other(talk, clause):
        return None
    forms = _FORMS_OF_FEW_WORDS if clause.end - clause.body <= _FEW_WORDS else _FORMS
    return next((found for form in forms if (found := form(talk, clause)) is not None), None)


def _is_said_to_each_other(talk: Talk, clause: Clause) -> bool:
    """ "Hang on", "go on", "wait" and the like speak to the other person, not to the crew; "hold on to it" does."""
    words = [token.lower_ for token in talk.doc[clause.body : clause.end]]
    return " ".join(words) in _SAID_TO_EACH_OTHER or (words[:2] in _ASKS_TO_WAIT and words[2:3] != ["to"])
