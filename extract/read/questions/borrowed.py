"""What is left to another recording or subject: "same as the last one", "that's in the film about the bus"."""

from collections.abc import Iterator

from vouchbook.extract.read.phrases import text_of
from vouchbook.extract.read.questions.raised import Raised
from vouchbook.extract.read.talk import Talk
from vouchbook.extract.read.tape import words_pattern

_OTHER_VISIT = (
    r"(?:film(?:ed)?|video(?:ed|s)?|recording|recorded|shot|showed|shown|visit(?:ed)?|did|done|"
    r"went (?:through|over)|covered|told|said|saw|looked at|walked)"
)
_BORROWS = words_pattern(
    r"(?:exactly |just |pretty much |much |all )?(?:the )?same (?:\w+ )?(?:as|like|way as|thing as|"
    r"deal as|procedure as|story as) (?:on |with |in |for |we |i |you |what )?(?:the|that|we|i|"
    r"last|our|those|your|you|it was|what)(?! (?:time|side|way|key|size|place|again)).*",
    rf"(?:like|as) (?:we|i|you) (?:{_OTHER_VISIT})(?: \w+)* (?:on|at|in|with|for|last) .*",
    rf"(?:we|i|you)(?: 've| have|'ve)? (?:already |got |all )*{_OTHER_VISIT}(?: \w+){{0,4}} (?:on|"
    rf"at|in|with|for|last) (?:the|that|there|them|those|week|month|time|year|spring|summer|autumn|"
    rf"winter|monday|tuesday|wednesday|thursday|friday)(?: .*)?",
    r"you 've (?:got|had|seen) (?:all )?(?:that|this|it|those|them) (?:\w+ )?(?:on|in|from|with|off) .*",
    r"(?:see|watch|look at|check|play|go back to) (?:the|that|our|your) (?:\w+ ){0,3}(?:film|video|"
    r"recording|one we|tape|sheet we|visit).*",
    r"(?:it 's|that 's|they 're) (?:all )?(?:on|in) (?:the|that|our) (?:other|last|first|previous|"
    r"earlier|\w+) (?:film|video|recording|visit|one)(?!\S).*",
    r"(?:like|as) (?:on )?the last (?:one|visit|time|truck|bus|car|lift|place|job)(?: .*)?",
    r"(?:the )?(?:other|previous|earlier) (?:video|film|recording|visit).*",
    r"(?:same (?:deal|thing|story|business) as|like) on the (?:\w+ )?(?:\w+ )?(?:you|we|i) (?:shot|"
    r"filmed|did|covered|recorded).*",
    rf"(?:that|those|it|this|which) (?:we|i|you) (?:{_OTHER_VISIT}) .*(?:for your|for the|with your|"
    rf"over on|over at|last|at|tuesday|monday|wednesday|thursday|friday|spring|summer|autumn|winter|"
    rf"yesterday|week|month|year).*",
    rf"(?:we|i|you) (?:{_OTHER_VISIT}) (?:that|it|those|this|them|through)? ?(?:for|with|on|over|"
    rf"last|tuesday|monday|wednesday|thursday|friday|yesterday) .*",
    r"(?:go and |go |just )?(?:watch|look at|see|ask) (?:that|those|the one|the sedan|the other one)(?: ,.*| one.*)?",
    r"(?:it 's|that 's|they 're) on (?:their|his|her|the other|that) (?:tape|film|video|recording).*",
    r"(?:the )?same (?:table|procedure|drill|sequence|steps|routine|business|as before).*",
)
_OWN = words_pattern(
    r"same as (?:before|this|that one|the other (?:side|one|door|wheel|end)|the (?:left|right|"
    r"front|rear|back|first|top|bottom))(?: .*)?",
    r"same (?:again|thing again|on the other side|effect|hole|key|here)",
)


def borrowed(talk: Talk) -> Iterator[Raised]:
    """One question for each sentence that leaves something to another recording."""
    for sentence in talk.sentences:
        if sentence.line in talk.chatter:
            continue
        line = talk.tape(sentence.start, sentence.end)
        match = _BORROWS.search(line.text)
        if match is None or (sentence.asks and not match.group(0).startswith(("the same", "same"))):
            continue
        own = _OWN.search(line.text)
        if own and own.start() <= match.start() and "film" not in line.text and "video" not in line.text:
            continue
        about = text_of(talk.doc, sentence.start, sentence.end)
        yield Raised(
            "borrowed",
            about,
            f"What was said there? Here it was only: \u201c{about}\u201d",
            ((talk.word(sentence.start), talk.word(sentence.end - 1)),),
        )
