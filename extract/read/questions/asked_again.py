"""How doubted words are asked about: which they are, why, what else they may be, and where to listen."""

from collections.abc import Sequence
from typing import NamedTuple

from vouchbook.extract.read.questions.raised import Raised
from vouchbook.extract.read.questions.weak_words import Doubt, Sense, how_heard
from vouchbook.models.clock import clock
from vouchbook.models.transcript import Transcript, Word

_AROUND = 4
"""Words on each side that are read out."""
_RUN = 6
"""So many doubted words together are no longer asked about one by one."""
_NAMED = 3
"""Words that one question names."""
_WANTED: dict[Sense, str] = {
    "negation": "whether it is so or not",
    "auxiliary": "whether it is so or not",
    "number": "for the value",
    "odd figure": "for the value",
    "sound-alike": "for the value",
    "side": "for the side",
}
"""What the person who was recorded is asked for."""


class Doubted(NamedTuple):
    """The word ``number`` of a transcript, why it is doubted, and whether it stands at something the draft uses."""

    number: int
    word: Word
    doubt: Doubt
    is_at_item: bool


def asked_again(transcript: Transcript, group: Sequence[Doubted]) -> Raised:
    """One question about doubted words that stand together, in the order of the talk; ``group`` is not empty.

    It asks for example: In "undo the to bolts", is it "to" or "two" (not quite clear)? Ask for the value, or listen.
    """
    named = _foremost(group)
    names = ", ".join(dict.fromkeys(f"\u201c{_bare(each.word)}\u201d" for each in named))
    first, last = group[0], group[-1]
    where = f"listen {_when(transcript, first.word.start_s, max(each.word.end_s for each in group))}"
    if len(group) < _RUN:
        around = transcript.text(max(0, first.number - _AROUND), min(len(transcript.words) - 1, last.number + _AROUND))
        about = f"hard to hear: {names}"
        asked = "; ".join(dict.fromkeys(map(_asked, named)))
        ask = f"In \u201c{around}\u201d: {asked}? Ask {_wanted(group)}, or {where}."
    else:
        about = f"stretch hard to hear: {names} and more"
        ask = (
            f"This stretch was hard to hear, {len(group)} words of it, among them {names}: {where}, "
            f"or ask {_wanted(group)}."
        )
    return Raised("doubtful", about, ask, ((first.number, last.number),))


def _foremost(group: Sequence[Doubted]) -> list[Doubted]:
    """The words to name, in the order of the talk: those that carry or hide a value first, at items before others."""
    order = sorted(group, key=lambda each: (not each.doubt.carries, not each.doubt.may_be, not each.is_at_item))
    return sorted(order[:_NAMED])


def _asked(each: Doubted) -> str:
    said, other = (f"\u201c{text}\u201d" for text in (_bare(each.word), each.doubt.may_be))
    if each.doubt.sense == "odd figure":
        return f"which size or number was written as {said}"
    heard = how_heard(each.word.probability or 0.0)
    return f"is it {said} or {other} ({heard})" if each.doubt.may_be else f"is it really {said} ({heard})"


def _wanted(group: Sequence[Doubted]) -> str:
    senses = {each.doubt.sense if each.doubt.may_be != "no" else "negation" for each in group}
    wanted = dict.fromkeys(text for sense, text in _WANTED.items() if sense in senses)
    return " and ".join(wanted) or "what was said"


def _bare(word: Word) -> str:
    return word.text.strip(".,;:?!\u2026") or word.text


def _when(transcript: Transcript, start_s: float, end_s: float) -> str:
    """On the clock of the file that holds it; which file it is, is said where there are several."""
    number, within_s = transcript.source_at(start_s)
    start, end = clock(within_s), clock(within_s + end_s - start_s)
    when = f"at {start}" if start == end else f"from {start} to {end}"
    return f"{when} of recording {number}" if len(transcript.sources) > 1 else when
