"""Deeds told for what goes wrong: "you yank that pin and the weight drops on you" warns, and is no step."""

from vouchbook.extract.read.deeds.instruct import deed
from vouchbook.extract.read.deeds.supposed import is_supposed
from vouchbook.extract.read.deeds.verbs import is_verb_of_pack
from vouchbook.extract.read.hazards.rule import BODY
from vouchbook.extract.read.sentences import Clause
from vouchbook.extract.read.tags import BASE_VERBS
from vouchbook.extract.read.talk import Sentence, Talk
from vouchbook.extract.read.tape import words_pattern

_DOES = words_pattern(
    # "you slam a valve", "pull that", "anybody leans on it"; not "you want to pull it", "then pull it"
    r"^(?:(?:so|and|but|'cause|because|oh|well|no)(?: ,)? )*(?:you |you go and |you just |anybody |somebody )?"
    r"(?!want|need|can|could|should|must|have|'ve|'ll|'d|got|would|then|first|wait|stand|keep|stay|get|make|check|you)"
    r"[a-z]+ (?!left|right|turn)[a-z]+.*"
)
_ANYBODY = frozenset({"you", "anybody", "somebody"})
_TOLD_WITH_CARE = words_pattern(r"(?:slowly|slow|gently|carefully|first|then|until|till|half|quarter|once)")
_HARMS = words_pattern(
    # "on you", "in your face", "it burns", "draws an arc", "you're holding six fifty"
    rf"(?:on|at|over|onto|into|through) (?:you|him|them|whoever|your (?:\w+ )?{BODY}|your \w+ and)",
    rf"in your (?:face|eyes|lungs|chest)|your {BODY} off|(?:lose|break|take|have|trap|crush)s? (?:the|your|a) {BODY}",
    r"kills?|killed|(?:he|she|you) (?:'s|'re|is|are) dead|burns?|explodes?|goes (?:up like|bang)",
    r"arcs?|welds?|shock|red hot|flashes|ignites?|blows?|catches fire|bursts",
    # nobody is told to break a thing: "the spindle snaps"; not "snaps open", "snaps in"
    r"(?:snaps|shears)(?: off)?(?= [,.!]|$| (?:and|then|in half|in two)(?!\S))",
    r"(?:it|that) finds you",
    r"you (?:'re|are|'ll be) (?:holding|wearing|under|in it|stood in)",
)
_SUFFERED = words_pattern(
    # said in the form of a deed, and done by nobody on purpose
    rf"you(?: 'll)? "
    rf"(?:wear (?:it|that)|lose (?:a|the|your) (?:\w+ )?{BODY}|"
    r"get (?:it|that) in (?:the|your) (?:face|eyes?|teeth|head|chest))"
)


def tells_harm(talk: Talk, sentence: Sentence, clause: Clause) -> bool:
    """Whether ``clause`` supposes a deed only to tell, in the clause behind, what it does to somebody.

    Stricter than :func:`is_supposed`, which keeps a rule from making a step: this keeps everything from making one.
    """
    behind = next((c for c in sentence.clauses if c.start >= clause.end), None)
    if clause.marker is not None or behind is None or behind.marker is not None:
        return False
    does, follows = talk.tape(clause.start, clause.end).text, talk.tape(behind.start, behind.end).text
    suffers = _SUFFERED.search(follows) is not None
    if not _DOES.match(does) or _TOLD_WITH_CARE.search(does) or not (suffers or _HARMS.search(follows)):
        return False
    opens = talk.doc[clause.body]
    if opens.tag_ not in BASE_VERBS and opens.lower_ not in _ANYBODY and not is_verb_of_pack(talk, opens):
        return False
    return is_supposed(talk, clause) and (suffers or deed(talk, behind) is None)
