"""Yes against no: "you can leave it plugged in", and then "no, unplug it first"; "needn't earth it", "earth it"."""

from collections.abc import Iterator
from typing import NamedTuple

from vouchbook.extract.read.phrases import text_of
from vouchbook.extract.read.questions.raised import Raised, words_of
from vouchbook.extract.read.scope import prohibition
from vouchbook.extract.read.talk import Sentence, Talk
from vouchbook.extract.read.tape import words_pattern

_ALLOWS = words_pattern(
    # "you can leave it plugged in", "it's safe to touch the rail", "no harm in opening the hatch"
    r"you (?:can|could|may)(?: always| safely| just| happily)?(?! (?:not|n't|see|hear|tell|feel|get|also see|smell)"
    r"(?!\S))|(?:it 's|it is|that 's|they 're) (?:safe|fine|ok|okay|all right) to|no harm (?:in|to)"
)
_WAIVES = words_pattern(
    # "no need to earth it", "you don't have to drain it"
    r"(?:there 's )?no need to|you (?:do n't|never) (?:have|need) to|you need n't|need n't"
)
_DEMANDS = words_pattern(
    # "you must earth the rail", "you always have to drain it"
    r"you (?:always )?(?:must|have to|need to|'ve got to)|must always|always"
)
_REFUSES = words_pattern(
    # "No, unplug it first.", "No no, you never do."
    r"^(?:oh |er |ah |hang on ,? |well ,? )*(?:no|nope|nah)(?: ,? no)? ,? ?(?:you |it |that |they )?"
    r"(?:must|have to|need to|never|do n't|ca n't|always|should n't|[a-z]+ (?:it|them|that|the)(?!\S))"
)
_NO_DEED = words_pattern(
    r"^(?:oh |er |ah )*(?:no|nope|nah)(?: ,? no)? ,? ?(?:it|that|they|he|she|i|we|is|it's|not|thank|forget|leave) .*"
)
_ON_CONDITION = words_pattern(
    r"if|when|once|unless|until|till|while|after|before|only|without|as long as|except|otherwise|with the \w+ \w+|"
    r"on the (?:old|older|new|newer|other)"
)
"""With these a yes and a no may both be right."""
_LINES_BACK = 2
_SAYS_LITTLE = frozenset("do go get have be see take make use come put let want know say".split())


class _Deed(NamedTuple):
    sentence: Sentence
    verb: str
    things: frozenset[str]
    sort: str


_OPPOSED = ({"allowed", "forbidden"}, {"waived", "demanded"})


def conflicting_permissions(talk: Talk) -> Iterator[Raised]:
    """One question for each deed that is allowed or waived once, and forbidden or demanded another time."""
    said: list[_Deed] = []
    asked: set[Sentence] = set()
    for sentence in talk.sentences:
        if sentence.line in talk.chatter or sentence.asks or _is_conditional(talk, sentence):
            continue
        deeds = list(_deeds(talk, sentence))
        other = next((o for o in reversed(said) if any(_disagree(o, deed) for deed in deeds)), None)
        other_sentence = other.sentence if other else _refused(talk, sentence, said)
        if other_sentence is not None and not {other_sentence, sentence} & asked:
            asked |= {other_sentence, sentence}
            yield _raised(talk, other_sentence, sentence)
        said += deeds


def _raised(talk: Talk, one: Sentence, other: Sentence) -> Raised:
    first, second = (text_of(talk.doc, each.start, each.end) for each in (one, other))
    return Raised(
        "conflict",
        f"yes or no: {first}",
        f"Which is right, \u201c{first}\u201d or \u201c{second}\u201d?",
        tuple(words_of(talk, each.start, each.end) for each in (one, other)),
    )


def _is_conditional(talk: Talk, sentence: Sentence) -> bool:
    return _ON_CONDITION.search(talk.tape(sentence.start, sentence.end).text) is not None


def _deeds(talk: Talk, sentence: Sentence) -> Iterator[_Deed]:
    for clause in sentence.clauses:
        line = talk.tape(clause.start, clause.end)
        forbidden = prohibition(talk.doc, clause.body, clause.end)
        for sort, pattern in (("waived", _WAIVES), ("allowed", _ALLOWS), ("demanded", _DEMANDS)):
            match = pattern.search(line.text)
            if match and (sort == "waived" or forbidden is None):
                yield from _deed(talk, sentence, line.token(match.end() - 1) + 1, clause.end, sort)
                break
        else:
            if forbidden is not None:
                yield from _deed(talk, sentence, forbidden.start, clause.end, "forbidden")


def _deed(talk: Talk, sentence: Sentence, start: int, end: int, sort: str) -> Iterator[_Deed]:
    verb = next((t for t in talk.doc[start:end] if t.pos_ == "VERB"), None)
    if verb is not None and verb.lemma_.lower() not in _SAYS_LITTLE:
        things = frozenset(t.lemma_.lower() for t in talk.doc[verb.i + 1 : end] if t.pos_ in {"NOUN", "PROPN"})
        yield _Deed(sentence, verb.lemma_.lower(), things, sort)


def _disagree(one: _Deed, other: _Deed) -> bool:
    """Whether one deed on one thing, named both times, is told yes and no in two lines."""
    return (
        {one.sort, other.sort} in _OPPOSED
        and one.sentence.line != other.sentence.line
        and one.verb == other.verb
        and bool(one.things)
        and one.things == other.things
    )


def _refused(talk: Talk, sentence: Sentence, said: list[_Deed]) -> Sentence | None:
    """What another voice allowed or waived in the line or two before, and ``sentence`` refuses: "No, unplug it."."""
    text, voice = talk.tape(sentence.start, sentence.end).text, talk.voice(sentence.line)
    opens = talk.sentences_of(sentence.line)[0] is sentence
    if voice is None or not opens or not _REFUSES.search(text) or _NO_DEED.search(text):
        return None
    near = [d for d in said if 0 < sentence.line - d.sentence.line <= _LINES_BACK]
    last = next((d for d in reversed(near) if talk.voice(d.sentence.line) != voice), None)
    if last is None or last.sort not in {"allowed", "waived"}:
        return None
    between = (s for s in talk.sentences if last.sentence.end <= s.start < sentence.start)
    return None if any(s.asks for s in between) else last.sentence
