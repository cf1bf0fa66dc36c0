"""Words that only the picture explains: "here and here", "this one and that one", "see that dial there"."""

import re
from collections.abc import Iterator

from vouchbook.extract.read.phrases import text_of
from vouchbook.extract.read.questions.raised import Raised
from vouchbook.extract.read.talk import Sentence, Talk
from vouchbook.extract.read.tape import words_pattern

_NOUN = r"(?:[a-z'-]+ ){0,2}[a-z'-]+"
_POINTS = words_pattern(
    r"(?:right |just |up |down |over |round |in |under |behind )?here(?: ,)?(?: and)?(?: ,)?(?: and)? "
    r"(?:right |just |up |down |over )?(?:here|there)",
    r"here(?: ,)? and(?: ,)? (?:[a-z]+ ,? ?){0,3}(?:here|there|another)",
    r"(?:this|these) (?:one|two|three|four|ones|bit|guy|guys|fellas?|lot|pair|thing|things)(?: right|"
    r" just| over| up| down| in)? ?(?:here|there)?(?: ,)? (?:and|or) (?:the other|that|this|these|"
    r"those|another)(?: one| two| bit| guy)?(?: right| just| over| up| down)?(?: here| there)?",
    r"(?:this|these) (?:one|two|ones|bit|guy|guys|fellas?|thing|things)(?: right| just| over| up| down)? here",
    r"(?:that|those) (?:one|two|ones|bit|guy|guys|fellas?|thing|things)(?: right| just| over| up| down)? there",
    r"(?:this|that|these|those) (?!is|was|one|way|side|time)(?:[a-z'-]+ )?[a-z'-]+ (?:right |just |"
    r"over |up |down )?(?:here|there)(?! (?:'s|is|are))",
    r"(?:in|on|under|behind|through|into|at|from|by) (?:the [a-z'-]+ (?:[a-z'-]+ )?)here",
    r"(?:up|down|out|back) to (?:about )?here",
    r"from (?:about )?here (?:down |up |across |over )?to (?:about )?(?:here|there)",
    r"(?:see|see that|you see|look at|look ,) (?:this|that|these|those) (?:one|bit|guy|thing|little [a-z]+|"
    r"[a-z]+)(?: ,)? (?:here|there)",
    r"(?:about )?(?:that|this) (?:far|big|long|high|wide|deep|much)(?: out| in| apart)?",
    r"like (?:this|so)(?: ,| \.|$)",
    r"that thing ,? ?(?:that|it|there|'s)|this thing (?:here|there|\w+ing)",
    r"(?:just|right|about|right about|behind|underneath|down|up|beside|sits?|is|are|'s) (?:just |"
    r"right |about |down |up |in )?here(?! (?:'s|we|and|at|in|today|since|all|again|for|every|"
    r"with|she|he|they|you))",
    rf"(?:on|in|at|under|behind|by|of|off|round|inside) (?:the|that|this|your|each) {_NOUN} ,? ?(?:right "
    rf"|just |down |up |over )?here",
    r"from (?:here|there) ,? ?(?:\w+ )?(?:to|and) (?:here|there)",
    r"(?:that|this|them|those|these) there [a-z]+|(?:see|look at|like) (?:those|these|this|that)(?: little|"
    r" big| \w+ coloured)? (?!is|was|one|way)[a-z]+(?= ,| \.|\?| no| see)",
    r"(?:not )?that one ,? ?(?:you can|not|no|that|there|it|'s)|(?:this|that) (?:\w+ )?one ,? (?:it|"
    r"not|here|there|that)",
    r"these (?:\w+ )?(?:caps|bolts|screws|nuts|ones|two|clips|pipes|hoses|guys|lads|fellas)(?= ,| \.|\?|$)",
    r"(?:one|two|three|four) (?:up |down |over |just |right |in )?here(?: ,)?(?: and)? (?:one|"
    r"two|three|another)(?: \w+)? (?:there|here|up|down|over)",
    r"where (?:i 'm pointing|my finger|my hand|i 've got my)(?: \w+)?",
)
_ASKS_AT = words_pattern(
    # an officer who points asks about what only the picture shows: "and this brass one here?"
    r"(?:this|that|these|those) (?:[a-z'-]+ ){1,3}(?:here|there)(?= ,| \?| \.|$)",
    r"(?:this|that) thing (?:\w+ing|here|there)",
    r"at these (?:\w+ )?[a-z]+s(?= \?)",
)
_NOT = words_pattern(
    r"(?:not|come|get|stand|be|over|been|from|in|out|up|down|around|left|live|work) here (?!and|,)",
    r"here 's",
    r"here we (?:are|go)",
    r"(?:this|that) time",
    r"that side there",
    r"here (?:at|in) (?:the )?[a-z]+",
)
_HARMLESS = re.compile(
    r"(?<!\S)(?:out there|in there|up there|down there|over there|back there|under there|stand there|"
    r"go there|get there|stuff there)(?!\S)"
)


def pointers(talk: Talk) -> Iterator[Raised]:
    """One question for each sentence that points; the officer can answer it from the picture or on the next visit."""
    for sentence in talk.sentences:
        if sentence.line in talk.chatter:
            continue
        line = talk.tape(sentence.start, sentence.end)
        asks = sentence.line in talk.askers or sentence.asks
        match = (_ASKS_AT if asks else _POINTS).search(line.text)
        if match is None or (_NOT.search(line.text) and " and " not in match.group(0) and "this" not in match.group(0)):
            continue
        start, end = _clause_of(sentence, line.token(match.start()))
        said = text_of(talk.doc, line.token(match.start()), line.token(match.end() - 1) + 1)
        about = text_of(talk.doc, start, end)
        yield Raised(
            "pointer",
            about,
            f"Which place is meant by \u201c{said}\u201d in: \u201c{about}\u201d?",
            ((talk.word(start), talk.word(end - 1)),),
        )


def _clause_of(sentence: Sentence, token: int) -> tuple[int, int]:
    """The clause that points with the one before it, which tells what is pointed at."""
    place = next((n for n, c in enumerate(sentence.clauses) if c.start <= token < c.end), len(sentence.clauses) - 1)
    return sentence.clauses[max(0, place - 1)].start, sentence.clauses[place].end
