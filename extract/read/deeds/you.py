""" "You" with a deed, the thing perhaps told first: "side flaps you just pull", "you can lift it off"."""

from vouchbook.extract.read.deeds.deed import Deed
from vouchbook.extract.read.deeds.supposed import is_supposed
from vouchbook.extract.read.deeds.verbs import SOFT, is_deed, with_particle
from vouchbook.extract.read.phrases import noun_phrase
from vouchbook.extract.read.sentences import Clause
from vouchbook.extract.read.tags import BASE_VERBS
from vouchbook.extract.read.talk import Talk

_HELPERS = frozenset(
    """
    can could must should 'd would might need want have 've got gotta 're gon na gonna to better ought wan wanna 'll
    will
    """.split()
)
_FORETELL = frozenset({"'ll", "will", "might"})
_FURTHEST = 8
"""Tokens from the start of a clause within which its "you" stands."""


def you(talk: Talk, clause: Clause) -> Deed | None:
    """The deed that ``clause`` tells as what "you" or "we" do, or None."""
    doc = talk.doc
    near = range(clause.body, min(clause.end - 1, clause.body + _FURTHEST))
    at = next((i for i in near if doc[i].lower_ in {"you", "we"} and doc[i].tag_ == "PRP"), None)
    if at is None:
        return None
    is_fronted = at > clause.body and noun_phrase(doc, clause.body, at) == at
    is_led = doc[at - 1].lower_ in {"then", "so", "and", "first", ","}
    if at - clause.body > 2 and not is_fronted and not is_led:
        return None
    verb, helpers = _verb_behind(talk, clause, at)
    if verb >= clause.end or not _instruct(helpers):
        return None
    token = doc[verb]
    if token.tag_ not in BASE_VERBS and token.lower_ != token.lemma_.lower():
        return None
    if token.pos_ in {"DET", "PRON", "ADP", "NUM"} or not is_deed(doc, verb, clause.end) or is_supposed(talk, clause):
        return None
    found = with_particle(doc, verb, clause.end, "you")
    return Deed("you", verb, found.action, found.rest, (clause.body, at)) if is_fronted else found


def _verb_behind(talk: Talk, clause: Clause, at: int) -> tuple[int, list[str]]:
    """The token behind "you", its helpers and soft words, and the helpers: "you just want to pull" is "want", "to"."""
    verb, helpers = at + 1, []
    while verb < clause.end and (word := talk.doc[verb].lower_) in _HELPERS | SOFT:
        if word in _HELPERS:
            helpers.append(word)
        verb += 1
    return verb, helpers


def _instruct(helpers: list[str]) -> bool:
    """Whether the words between "you" and the verb leave it a deed.

    "You'll" alone foretells ("you'll chip the lid"); with "want to" or "need to" it instructs. "You've moved it" and
    "you need a key" tell.
    """
    if not helpers:
        return True
    if helpers[0] in _FORETELL:
        return helpers[-1] == "to" and any(word in {"want", "need", "have"} for word in helpers[1:])
    return helpers[-1] not in {"have", "'ve", "got", "need", "want", "'re"}
