"""In which words a line disputes what was said: one voice against another, a paper, second thoughts."""

from vouchbook.extract.read.talk import Sentence, Talk
from vouchbook.extract.read.tape import words_pattern

_PAPER = (
    r"(?:book|manual|card|sheet|label|sticker|plate|drawing|decal|tag|plan|chart|poster|board|course|induction|guide|"
    r"leaflet|notes?|instructions?|stamp|stencil|gauge)"
)
_AUTHORITY = words_pattern(
    # "the book says ten", "your card in the cab says thirty", "the plate on the jib says maximum fourteen"
    rf"{_PAPER} (?:[a-z']+ ){{0,6}}?(?:says?|said|reads?|has|'s got|got|gives?|gave|told|stands?|shows?|wants?)",
    # "it says ten on the label", "in the new book stands ten", "on the plan there is fifteen"
    rf"(?:says?|said|written|printed|stamped|painted) (?:[a-z0-9' -]+ ){{0,6}}?(?:on|in) (?:[a-z'-]+ ){{0,3}}{_PAPER}",
    rf"(?:in|on) (?:[a-z'-]+ ){{0,3}}{_PAPER} ?,? (?:it |there )?(?:stands|is|'s|says)",
    rf"(?:that 's|it 's|that is|it is) (?:what 's )?(?:on|in) (?:[a-z'-]+ ){{0,3}}{_PAPER}",
    # "I was told six", "they told us twenty-five", "I've got twelve in my head", "somebody's written ten on it"
    r"(?:i|we) (?:was|were|'ve been|have been|'d been) (?:told|taught|shown)",
    r"(?:they|he|she|somebody|someone|my [a-z]+) (?:always |only )?(?:told|taught) (?:me|us|you)",
    r"in my head",
    r"(?:somebody|someone|they) (?:has |have |'s |'ve )?(?:written|painted|stamped|scratched)",
    # "my chef says fifteen", "the boss says ten"
    r"(?:my|the|our) (?:chef|boss|gaffer|foreman|fitter|maker|dealer|instructor|sergeant|chief) says",
)
_SECOND_THOUGHTS = words_pattern(
    # "did I say five?", "I said eight before", "you said left"
    r"(?:did )?(?:i|you) (?:said|say|told you)(?! (?:so|it|that|to|no|stop)(?!\S))",
    # "call it three", "make it forty", "I'd always say ten", "it's more like six"
    r"(?:call|make) it(?= (?:[a-z]+|\d))",
    r"i (?:'d |would )?always (?:say|go|give|do|count|allow)|i 'd (?:say|go|give it|allow)",
    r"(?:it 's )?more like",
    # "no no, half an hour", "nah, five"
    r"^(?:oh |er )*(?:no ,? no|nah)",
)
_CONTRADICTS = words_pattern(
    # "No, it's thirteen.", "It's never.", "They're twelves.", "Those are eighteens.", "Four, I count."
    r"^(?:oh |er |but |and |well |hang on |only )*(?:no|nah|nope|never)(?: ,)?(?= |$)",
    r"(?:'s|is|are|'re) never",
    r"^(?:oh |er |but |well |only |ah )*,? ?(?:(?:those|they|them|these|it|that|this)(?: 's| is| are| 're|'s)|them's|"
    r"there 's|there are|i have|i count|i make)(?! (?:about|in|on|at|for|why|how|where|when|what|so)(?!\S))",
    r"(?:i count|i make it|on mine)",
    r"is n't it more|is it\?",
)
_SHORT = 6
"""Tokens; a value said this shortly may have its source in the sentence behind: "Five. It's on the card."."""
_MOST_OTHER_WORDS = 2
"""Words beside the value itself in a line that only says another value: "Nineteen, Bron."."""


def cites(talk: Talk, sentence: Sentence) -> bool:
    """Whether ``sentence``, or the one behind it, gives somebody else's word: a book, a plate, what was taught."""
    return any(_AUTHORITY.search(talk.tape(s.start, s.end).text) for s in _with_next(talk, sentence))


def thinks_again(talk: Talk, sentence: Sentence) -> bool:
    """Whether ``sentence``, or one beside it in its line, takes up what was said before: "Did I say five?"."""
    return any(_SECOND_THOUGHTS.search(talk.tape(s.start, s.end).text) for s in _beside(talk, sentence))


def contradicts(talk: Talk, sentence: Sentence) -> bool:
    """Whether ``sentence`` opens as one that sets a thing right: "No, …", "They're …"."""
    return _CONTRADICTS.search(talk.tape(sentence.start, sentence.end).text) is not None


def says_only(talk: Talk, sentence: Sentence, first: int, last: int) -> bool:
    """Whether ``sentence`` opens with its words ``first`` to ``last`` and says hardly more: "Nineteen, Bron."."""
    if talk.word(sentence.start) < first:
        return False
    words = {talk.word(t) for t in range(sentence.start, sentence.end) if not talk.doc[t].is_punct}
    return len([w for w in words if not first <= w <= last]) <= _MOST_OTHER_WORDS


def _beside(talk: Talk, sentence: Sentence) -> list[Sentence]:
    line = talk.sentences_of(sentence.line)
    place = line.index(sentence)
    return list(line[max(0, place - 1) : place + 2])


def _with_next(talk: Talk, sentence: Sentence) -> list[Sentence]:
    line = talk.sentences_of(sentence.line)
    place = line.index(sentence)
    return list(line[place : place + (2 if sentence.end - sentence.start <= _SHORT else 1)])
