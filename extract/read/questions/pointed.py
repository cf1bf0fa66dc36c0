"""The places that one sentence points at: "two here, one down there by the outfeed, and that one" are three."""

import re
from typing import NamedTuple

from vouchbook.extract.read.talk import Sentence, Talk
from vouchbook.extract.read.tape import words_pattern

_WAY = r"(?:(?:right|just|over|up|down|back|in|round|under|behind|about|out) )*"
_HERE = rf"{_WAY}(?:here|there)"
_EXISTS = r"(?! (?:'s|'re|is|are|was|were|will|we|might|must|should)(?!\S))"
"""Behind "there" these tell that something is, not where."""
_NO_NOUN = r"(?!and |or |is |was |one |way |time |'s )"
_PLACE = words_pattern(
    # both ends of one stretch: "from here down to there"
    rf"from {_WAY}(?:here|there) (?:[a-z]+ ){{0,3}}?to {_HERE}",
    # "this one here", "that dial there", "one down there", "another up here"
    rf"(?:this|that|these|those) (?:one|two|three|four|ones|bit|guy|lot|pair|thing) {_HERE}{_EXISTS}",
    rf"(?:this|that|these|those) (?:{_NO_NOUN}[a-z'-]+ ){{1,2}}{_HERE}{_EXISTS}",
    rf"(?:one|two|three|four|five|six|another|the other)(?: one)? {_HERE}{_EXISTS}",
    # "and that one", "this one," that nothing more is said of
    r"(?:this|that|these|those) (?:one|two|three|four|ones|pair)"
    r"(?= (?:[.,;!?]|and|or|with|at|by|on|in|behind|under|beside|below|above|near)(?!\S)|$)",
    r"(?:this|that)(?= and (?:this|that)(?= [.,;!?]|$))|(?<=this and )(?:this|that)(?= [.,;!?]|$)",
    rf"(?<!from ){_HERE}{_EXISTS}",
)
_ADVERB = re.compile(_HERE)
_PLAIN = re.compile(rf"(?:this|these|one|two|three|four|five|six|another|the other)(?: [a-z'-]+)*? {_HERE}")
_JOINT = re.compile(r"(?<!\S)(?:,|;|and|or)(?!\S)")
_ONLY_PAUSE = re.compile(r"[ ,]*")


class Pointed(NamedTuple):
    """The tokens ``by`` that point, and ``start`` to ``end`` (exclusive), the words that belong to that place.

    ``is_plain``: they say of what, "two here", and nothing else is meant; "in there" alone may be a place just told.
    """

    start: int
    end: int
    by: tuple[int, int]
    is_plain: bool


def pointed_places(talk: Talk, sentence: Sentence) -> list[Pointed]:
    """The places that ``sentence`` points at, in order; "that one, there" is one."""
    line = talk.tape(sentence.start, sentence.end)
    spots: list[tuple[int, int]] = []
    for match in _PLACE.finditer(line.text):
        is_more_of_it = (
            spots
            and _ADVERB.fullmatch(match.group())
            and _ONLY_PAUSE.fullmatch(line.text[spots[-1][1] : match.start()])
            and not _ADVERB.fullmatch(line.text[slice(*spots[-1])])
        )
        if is_more_of_it:
            spots[-1] = (spots[-1][0], match.end())
        else:
            spots.append(match.span())
    found, start = [], sentence.start
    for number, (first, last) in enumerate(spots):
        following = spots[number + 1][0] if number + 1 < len(spots) else len(line.text)
        joint = _JOINT.search(line.text, last, following)
        until = line.token(joint.start() if joint else following) if following < len(line.text) else sentence.end
        is_plain = _PLAIN.match(line.text[first:last]) is not None
        found.append(Pointed(start, until, (line.token(first), line.token(last - 1) + 1), is_plain))
        start = until
        while start < sentence.end and (talk.doc[start].is_punct or talk.doc[start].lower_ in {"and", "or"}):
            start += 1
    return found
