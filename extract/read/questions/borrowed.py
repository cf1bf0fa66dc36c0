"""What is left to another recording or subject: "same as the last one", "that's in the film about the bus"."""

from collections.abc import Iterator

from vouchbook.extract.read.phrases import text_of
from vouchbook.extract.read.questions.raised import Findings, Raised, words_of
from vouchbook.extract.read.talk import Sentence, Talk
from vouchbook.extract.read.tape import words_pattern
from vouchbook.extract.tagger.marks import Marks

_NOTHING, _FIRMLY = 0.05, 0.35
"""Mean marks below which a form says nothing after all, and from which a sentence borrows without one."""
_OTHER_VISIT = (
    r"(?:film(?:ed)?|video(?:ed|s)?|recording|recorded|shot|showed|shown|visit(?:ed)?|did|done|"
    r"went (?:through|over)|covered|told|said|saw|looked at|walked)"
)
_BORROWS = words_pattern(
    # "exactly the same as on the last one"; not "same as last time", "same key as the door"
    r"(?:exactly |just |pretty much |much |all )?(?:the )?same (?:\w+ )?(?:as|like|way as|thing as|"
    r"deal as|procedure as|story as) (?:on |with |in |for |we |i |you |what )?(?:the|that|we|i|"
    r"last|our|those|your|you|it was|what)(?! (?:time|side|way|key|size|place|again)).*",
    # "like we filmed at the other depot"
    rf"(?:like|as) (?:we|i|you) (?:{_OTHER_VISIT})(?: \w+)* (?:on|at|in|with|for|last) .*",
    # "we've already covered that on the tram"
    rf"(?:we|i|you)(?: 've| have|'ve)? (?:already |got |all )*{_OTHER_VISIT}(?: \w+){{0,4}} (?:on|"
    rf"at|in|with|for|last) (?:the|that|there|them|those|week|month|time|year|spring|summer|autumn|"
    rf"winter|monday|tuesday|wednesday|thursday|friday)(?: .*)?",
    # "you had all that from the first visit"
    r"you 've (?:got|had|seen) (?:all )?(?:that|this|it|those|them) (?:\w+ )?(?:on|in|from|with|off) .*",
    # "go back to the other film for that"
    r"(?:see|watch|look at|check|play|go back to) (?:the|that|our|your) (?:\w+ ){0,3}(?:film|video|"
    r"recording|one we|tape|sheet we|visit).*",
    # "that's all in the earlier recording"
    r"(?:it 's|that 's|they 're) (?:all )?(?:on|in) (?:the|that|our) (?:other|last|first|previous|"
    r"earlier|\w+) (?:film|video|recording|visit|one)(?!\S).*",
    # "like the last truck"
    r"(?:like|as) (?:on )?the last (?:one|visit|time|truck|bus|car|lift|place|job)(?: .*)?",
    # "the earlier video"
    r"(?:the )?(?:other|previous|earlier) (?:video|film|recording|visit).*",
    # "same thing as on the coach you filmed"
    r"(?:same (?:deal|thing|story|business) as|like) on the (?:\w+ )?(?:\w+ )?(?:you|we|i) (?:shot|"
    r"filmed|did|covered|recorded).*",
    # "which we did over at the yard"
    rf"(?:that|those|it|this|which) (?:we|i|you) (?:{_OTHER_VISIT}) .*(?:for your|for the|with your|"
    rf"over on|over at|last|at|tuesday|monday|wednesday|thursday|friday|spring|summer|autumn|winter|"
    rf"yesterday|week|month|year).*",
    # "we went through that on Tuesday"
    rf"(?:we|i|you) (?:{_OTHER_VISIT}) (?:that|it|those|this|them|through)? ?(?:for|with|on|over|"
    rf"last|tuesday|monday|wednesday|thursday|friday|yesterday) .*",
    # "go watch the one about the sedan"
    r"(?:go and |go |just )?(?:watch|look at|see|ask) (?:that|those|the one|the sedan|the other one)(?: ,.*| one.*)?",
    # "it's on their tape"
    r"(?:it 's|that 's|they 're) on (?:their|his|her|the other|that) (?:tape|film|video|recording).*",
    # "the same drill"
    r"(?:the )?same (?:table|procedure|drill|sequence|steps|routine|business|as before).*",
)
_OWN = words_pattern(
    # "same as the other side", "same as the front" are told in this talk
    r"same as (?:before|this|that one|the other (?:side|one|door|wheel|end)|the (?:left|right|"
    r"front|rear|back|first|top|bottom))(?: .*)?",
    # "same again", "same key"
    r"same (?:again|thing again|on the other side|effect|hole|key|here)",
)


def borrowed(findings: Findings) -> Iterator[Raised]:
    """One question for each sentence that leaves something to another recording.

    Where the tagger has read the talk, its marks have a say: a form that it sees nothing in is dropped, and a sentence
    that it marks firmly needs no form.
    """
    talk = findings.talk
    for sentence in talk.sentences:
        if sentence.line in talk.chatter:
            continue
        said, marked = _said(talk, sentence), _marked(findings.marks, sentence)
        if (said is None or marked < _NOTHING) and marked < _FIRMLY:
            continue
        about = text_of(talk.doc, sentence.start, sentence.end)
        yield Raised(
            "borrowed",
            about,
            f"What was said there? Here it was only: \u201c{about}\u201d",
            (words_of(talk, sentence.start, sentence.end),),
            by=(words_of(talk, *(said or (sentence.start, sentence.end))),),
        )


def _said(talk: Talk, sentence: Sentence) -> tuple[int, int] | None:
    """The tokens that refer to another recording by one of the forms above."""
    line = talk.tape(sentence.start, sentence.end)
    match = _BORROWS.search(line.text)
    if match is None or (sentence.asks and not match.group(0).startswith(("the same", "same"))):
        return None
    own = _OWN.search(line.text)
    if own and own.start() <= match.start() and "film" not in line.text and "video" not in line.text:
        return None
    return line.token(match.start()), line.token(match.end() - 1) + 1


def _marked(marks: Marks | None, sentence: Sentence) -> float:
    """How firmly the tagger marks ``sentence`` as borrowing, in the mean of its words."""
    if marks is None:
        return _NOTHING
    return float(marks.column("borrowed", "yes")[sentence.start : sentence.end].mean())
