"""Cues: how to recognise the thing or its state.

A sign (lamp, badge, noise, smell, gauge) with what it shows, "if it's lit it's live", "that means it's off", and plain
descriptions in answer to "how do I know?".
"""

from collections.abc import Iterator

from vouchbook.extract.read.deeds.instruct import deed
from vouchbook.extract.read.found import Found
from vouchbook.extract.read.items.alarms import is_alarm
from vouchbook.extract.read.items.cue_signs import (
    DESCRIBES,
    HOW_KNOWN,
    LOOKS,
    NOT_A_SIGN,
    SHOWING,
    STATES,
    UNTIL_SIGN,
)  # fmt: skip
from vouchbook.extract.read.items.likeness import is_alike
from vouchbook.extract.read.phrases import text_of
from vouchbook.extract.read.scope import is_look_alike, prohibition
from vouchbook.extract.read.talk import Sentence, Talk

_ENOUGH = 1.9
"""What all that speaks for a cue must come to: more than a sign alone, or one sign and one order."""
_ASKED, _DESCRIBED, _INSTRUCTS = 0.8, 1.2, -0.6
"""What else speaks for a cue or against it: the question before, a plain description in answer to it, an order."""
_ALARM = 2.5
"""What speaks for a sign at which people are to get away, beside the order that it comes with."""
_MOST_ORDERS = 2
_ANSWERED_LINES = 3
"""Lines behind "how do I know?" that may answer it."""
_SHORTEST_DESCRIPTION = 5
_LONGEST = 40
"""Tokens; a longer sentence is cut to the clauses that show something."""


def cues(talk: Talk) -> Iterator[Found]:
    """The cues of ``talk``, each a sentence or the part of it that shows something."""
    lines_left = 0
    for sentence in talk.sentences:
        if sentence.line in talk.askers:
            is_how = HOW_KNOWN.search(talk.tape(sentence.start, sentence.end).text)
            lines_left = _ANSWERED_LINES if is_how else 0
        elif not sentence.asks and sentence.line not in talk.chatter:
            if found := _cue(talk, sentence, is_asked=lines_left > 0):
                yield found
            if lines_left and sentence is talk.sentences_of(sentence.line)[-1]:
                lines_left -= 1


def repeats(earlier: Found, later: Found) -> bool:
    """Whether ``later`` tells the same sign in other words."""
    return is_alike(earlier.fields["text"], later.fields["text"])


def _cue(talk: Talk, sentence: Sentence, *, is_asked: bool) -> Found | None:
    text = talk.tape(sentence.start, sentence.end).text
    if NOT_A_SIGN.search(text) or _only_forbids(talk, sentence):
        return None
    states = [sign for sign in STATES if sign.pattern.search(text)]
    looks = [sign for sign in LOOKS if sign.pattern.search(text)]
    is_long = sentence.end - sentence.start >= _SHORTEST_DESCRIPTION
    points = sum(sign.weight for sign in (*states, *looks))
    points += _ALARM * is_alarm(talk, sentence)
    points += _ASKED * is_asked + _DESCRIBED * (is_asked and is_long and bool(DESCRIBES.search(text)))
    if not UNTIL_SIGN.search(text):
        points += _INSTRUCTS * min(_MOST_ORDERS, sum(deed(talk, c) is not None for c in sentence.clauses))
    if points < _ENOUGH:
        return None
    reasons = [sign.why for sign in states]
    if is_asked:
        reasons.append("answers how to know it")
    if is_alarm(talk, sentence):
        reasons.append("tells the sign at which to get away")
    reasons += [sign.why for sign in looks]
    start, end = _part_that_shows(talk, sentence)
    act = min(0.9, 0.4 + 0.12 * points)
    return Found("cue", start, end, sentence.line, {"text": text_of(talk.doc, start, end)}, act, tuple(reasons))


def _only_forbids(talk: Talk, sentence: Sentence) -> bool:
    """Whether a clause forbids something; "that's not a rail" tells it from one, which is a cue too."""
    return any(
        prohibition(talk.doc, c.body, c.end) and not is_look_alike(talk.doc, c.body, c.end) for c in sentence.clauses
    )


def _part_that_shows(talk: Talk, sentence: Sentence) -> tuple[int, int]:
    """The whole sentence; a long one is cut to the clauses around its signs."""
    if sentence.end - sentence.start <= _LONGEST:
        return sentence.start, sentence.end
    showing = [c for c in sentence.clauses if any(p.search(talk.tape(c.start, c.end).text) for p in SHOWING)]
    return (showing[0].start, showing[-1].end) if showing else (sentence.start, sentence.end)
