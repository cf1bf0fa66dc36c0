"""Deeds that one asks about and another forbids or confirms: "So I just open it?" "God no."."""

from dataclasses import dataclass, replace

from vouchbook.extract.read.deeds.deed import Deed
from vouchbook.extract.read.deeds.verbs import is_deed, with_particle
from vouchbook.extract.read.phrases import text_of
from vouchbook.extract.read.scope import prohibition
from vouchbook.extract.read.tags import BASE_VERBS
from vouchbook.extract.read.talk import Sentence, Talk
from vouchbook.extract.read.tape import words_pattern

_SOFT = r"(?:just |then |ever |only |still |maybe |even |go and |always )*"
_MAY_I = words_pattern(
    # "could I open a cabinet, ever?", "and I can put my hand in then?", "should we tow it?"
    rf"(?:can|could|should|would|may|shall|might) (?:i|we) {_SOFT}(?P<act>[a-z].*)",
    rf"(?:i|we) (?:can|could|should|may) {_SOFT}(?P<act2>[a-z].*)",
)
_SO_I = words_pattern(
    # "So I just open the hatch?", "and then I pull the red one first?"
    rf"^(?:(?:so|and|then|okay|ok|right|well|but)(?: ,)? )+(?:i|we) (?:have to |'ve got to |got to |need to )?{_SOFT}"
    rf"(?P<act>[a-z].*)"
)
_DO_I = words_pattern(
    # "do I pull the grey lever?"; "do I need gloves?" asks about no deed
    rf"do (?:i|we) (?:have to |want to )?{_SOFT}(?P<act>[a-z].*)"
)
_MAY_I_NOT = words_pattern(
    # "So I shouldn't isolate?", "and we don't lift it?"
    rf"(?:i|we) (?:should|must|do|ca|could|would|better|'d better) (?:n't|not) {_SOFT}(?P<act>[a-z].*)"
)
_FORMS = (("not", _MAY_I_NOT), ("may", _MAY_I), ("so", _SO_I), ("do", _DO_I))
_ASKS_MORE = words_pattern(r"(?:what|where|how|why|which|when|who|whose)")
"""A question in these words is not answered with yes or no."""

_LEAD = r"^(?:oh |er |ah |well |hm |god |christ |lord |jesus )*(?:, )?"
_NEVER = words_pattern(
    # "God no, leave that shut.", "No, never.", "Not that one.", "Absolutely not.", "No no, please don't."
    r"^(?:oh ,? )?(?:god|christ|lord|jesus|heavens)(?: ,)? no",
    rf"{_LEAD}(?:(?:no|nope|nah)(?: [,.!])? ?)*(?:never(?: ever)?|not ever|no way|absolutely not|certainly not|"
    r"not (?:that|this|those|these|you|me|yours|likely|a chance|on your life)(?: one)?)(?= [,.!]|$)",
    rf"{_LEAD}(?:(?:no|nope|nah)(?: [,.!])? ?)*(?:please )?(?:do n't|you (?:do n't|must n't|ca n't|never))",
    rf"{_LEAD}(?:no|nope|nah) (?:, )?(?:(?:no|you|that|just) )*(?:leave|keep|stay|don't touch)",
    # "No. Never." after the question, in two sentences
    rf"{_LEAD}(?:no|nope|nah) [,.!] (?:never|do n't|no)",
)
_NO = words_pattern(rf"{_LEAD}(?:no|nope|nah)(?: ,)?(?: sir| ma'am| mate| love)?(?: [.!]+)?$")
_NOT_SO = words_pattern(
    # "Not while the beacon flashes.", "Not with him in it.", "Not on the powder."; "not on this one" tells
    r"^not (?:till|until|while|with|without|on|in|inside|to|near|if|unless|before|from|at|under|by|through)"
    r"(?! (?:this|these|here|a problem)(?!\S)).*"
)
_YES = words_pattern(
    # "Exactly.", "That's it.", "Yes, and then …"; "Yeah, well" is no yes to rely on
    r"^(?:oh |er )*(?:yes|yeah|yep|aye|yup)(?: [.!]+)?$",
    r"^(?:(?:yes|yeah|yep|aye|yup) ,? ?)?(?:exactly|precisely|correct|spot on|bang on|that 's (?:it|right|the one)|"
    r"you (?:do|have|got it))(?= [,.!]|$)",
    r"^(?:yes|yeah|yep|aye|yup) ,? ?(?:and )?(?:then|after that|and then)",
)
_NO_DEED_TO_ASK = frozenset("worry bother trust expect get".split())
_ENDS_ACT = frozenset("? , . ! then first now ever instead right or yeah and".split())
_LONGEST_LIMIT = 10
"""Tokens of an answer that as a whole tells when or where not."""
_LONGEST_ACT = 14
"""Tokens; a longer question asks about more than one deed."""


@dataclass(frozen=True, slots=True)
class Asked:
    """The deed of tokens ``verb`` to ``end`` (exclusive) that ``question`` asks about, and the ``answer`` to it.

    The answer runs to token ``answer_end`` (exclusive): "No. Never." is one in two sentences.

    ``form`` tells how it is asked: "may" ("can I …"), "so" ("so I …"), "do" ("do I …"), "not" ("I shouldn't …").
    """

    form: str
    verb: int
    end: int
    question: Sentence
    answer: Sentence
    answer_end: int


def forbidden_deed(talk: Talk, line: int) -> Asked | None:
    """The deed that the line before asks about and ``line`` opens by forbidding; None where it does not.

    A bare "No." forbids what somebody wants to do ("can I …", "so I …"); to "do I …" it may only say that there is no
    need. "So I shouldn't …" is forbidden by a yes as well as by a no.
    """
    asked = _asked(talk, line)
    if asked is None:
        return None
    said = talk.tape(asked.answer.start, asked.answer.end).text
    is_no = _NO.search(said) is not None
    behind = talk.sentences_of(line)[1:2]
    if is_no and behind and _NEVER.search(talk.tape(behind[0].start, behind[0].end).text):
        return replace(asked, answer_end=behind[0].end)
    is_never = _NEVER.search(said) or _NOT_SO.search(said) or (asked.form == "not" and _YES.search(said))
    return asked if is_never or (is_no and asked.form != "do") else None


def confirmed_deed(talk: Talk, question: Sentence) -> tuple[Deed, Sentence] | None:
    """The deed that ``question`` puts as what comes next ("So I pull the red one?") and the answer that says yes."""
    asked = _asked(talk, _line_of_end(talk, question) + 1)
    if asked is None or asked.form != "so" or asked.question is not question:
        return None
    said = talk.tape(asked.answer.start, asked.answer.end).text
    if not _YES.search(said) or prohibition(talk.doc, question.start, question.end) is not None:
        return None
    return with_particle(talk.doc, asked.verb, asked.end, "you"), asked.answer


def only_asked(talk: Talk) -> list[tuple[int, int]]:
    """The token ranges of questions whether to do something that nobody answers with yes: of them comes no step."""
    found: list[tuple[int, int]] = []
    for line in range(1, len(talk.transcript.lines)):
        asked = _asked(talk, line)
        if asked and (asked.form == "not" or not _YES.search(talk.tape(asked.answer.start, asked.answer.end).text)):
            found.append((asked.question.start, asked.question.end))
    return found


def act_of(talk: Talk, asked: Asked) -> str:
    """What the answer forbids: "open the hatch", "tow it till the axle is out"; the words of both as they are said."""
    act = text_of(talk.doc, asked.verb, asked.end)
    limit = _limit(talk, asked)
    return f"{act} {limit}" if limit else act


def is_limit(talk: Talk, asked: Asked, prohibits: str) -> bool:
    """Whether ``prohibits`` is nothing but the limit of the answer: "on the powder" of "not on the powder"."""
    return bool(limit := _limit(talk, asked)) and prohibits.lower() in limit.lower()


def _limit(talk: Talk, asked: Asked) -> str:
    line = talk.tape(asked.answer.start, asked.answer.end)
    if not _NOT_SO.search(line.text):
        return ""
    first = asked.answer.clauses[0]
    end = asked.answer.end if asked.answer.end - first.start <= _LONGEST_LIMIT else first.end
    return text_of(talk.doc, asked.answer.start + 1, end).rstrip(" .,!")


def _asked(talk: Talk, line: int) -> Asked | None:
    """The deed that the last sentence of the line before asks about, with the first sentence of ``line``."""
    if not 0 < line < len(talk.transcript.lines):
        return None
    before, answers = talk.sentences_of(line - 1), talk.sentences_of(line)
    voices = talk.voice(line - 1), talk.voice(line)
    if not before or not answers or not before[-1].asks or (voices[0] and voices[0] == voices[1]):
        return None
    question = before[-1]
    tape = talk.tape(question.start, question.end)
    if _ASKS_MORE.search(tape.text):
        return None
    found = next(((form, m) for form, pattern in _FORMS if (m := pattern.search(tape.text))), None)
    if found is None:
        return None
    form, match = found
    verb, end = tape.token(match.start("act" if match.group("act") else "act2")), question.end
    while end > verb + 1 and talk.doc[end - 1].lower_ in _ENDS_ACT:
        end -= 1
    token = talk.doc[verb]
    is_verb = token.tag_ in BASE_VERBS or token.lower_ == token.lemma_.lower()
    if not is_verb or token.pos_ in {"DET", "PRON", "ADP", "NUM", "ADV"} or end - verb > _LONGEST_ACT:
        return None
    if token.lemma_.lower() in _NO_DEED_TO_ASK or not is_deed(talk.doc, verb, end):
        return None
    return Asked(form, verb, end, question, answers[0], answers[0].end)


def _line_of_end(talk: Talk, sentence: Sentence) -> int:
    return talk.line_at(sentence.end - 1)
