"""What may have been misheard: doubted words that stand together are one question, with the place to listen to."""

from collections.abc import Iterator, Sequence

from vouchbook.extract.read.questions.asked_again import Doubted, asked_again
from vouchbook.extract.read.questions.raised import Findings, Raised, words_of
from vouchbook.extract.read.questions.weak_words import Doubt, doubt_of

_JOINED = 8
"""Words from one doubted word to the next that whoever listens hears in one go: about three seconds."""
_LONGEST = 40
"""Words of one question; a longer stretch is another."""
_BESIDE = 2
"""Words beside an item, a value or a "not" that can still belong to it."""
_WEAK = 0.6
_POOR = 1 / 3
"""Share of words below :data:`_WEAK` above which it is the recording that is poor."""
_FEWEST = 100
"""Words from which on a share says something about a recording."""
_WINDOW = 30
"""Words to listen to, to tell how poor it is."""


def misheard(findings: Findings) -> Iterator[Raised]:
    """Questions about weak words, none for captions, which have no probabilities.

    Words that carry a size, number, side or negation are always asked about. Others may hide one: they are asked about
    outside of small talk, and where more than a third of the words are weak, only at items, values and negations.
    """
    transcript = findings.talk.transcript
    weak = [word.probability is not None and word.probability < _WEAK for word in transcript.words]
    is_poor = len(weak) >= _FEWEST and sum(weak) > _POOR * len(weak)
    if is_poor:
        yield _poor(weak)
    doubted = [each for each in _doubted(findings) if each.doubt.carries or each.is_at_item or not is_poor]
    for group in _together(doubted):
        yield asked_again(transcript, group)


def _doubted(findings: Findings) -> Iterator[Doubted]:
    talk = findings.talk
    doubts = [doubt_of(word.text, word.probability) for word in talk.transcript.words]
    near = _near_items(findings, doubts)
    lines = talk.doc._.line_of_word
    for number, (word, doubt) in enumerate(zip(talk.transcript.words, doubts, strict=True)):
        if doubt and (doubt.carries or lines[number] not in talk.chatter):
            yield Doubted(number, word, doubt, number in near)


def _near_items(findings: Findings, doubts: Sequence[Doubt | None]) -> frozenset[int]:
    """The words in or right beside the words of an item, a value or a doubted "not" or number."""
    talk, spans = findings.talk, []
    for found in (placed.found for placed in findings.items):
        spans += [words_of(talk, start, end) for start, end in ((found.start, found.end), *found.also)]
    spans += [(value.first, value.last) for value in talk.values]
    spans += [(number, number) for number, doubt in enumerate(doubts) if doubt and doubt.carries]
    return frozenset(n for first, last in spans for n in range(first - _BESIDE, last + _BESIDE + 1))


def _together(doubted: Sequence[Doubted]) -> Iterator[list[Doubted]]:
    group: list[Doubted] = []
    for each in doubted:
        if group and (each.number - group[-1].number > _JOINED or each.number - group[0].number >= _LONGEST):
            yield group
            group = []
        group.append(each)
    if group:
        yield group


def _poor(weak: Sequence[bool]) -> Raised:
    """It stands at the worst stretch: who hears that knows what the rest is worth."""
    first = max(range(len(weak) - _WINDOW + 1), key=lambda start: sum(weak[start : start + _WINDOW]))
    return Raised(
        "doubtful",
        f"poor recording: {100 * sum(weak) / len(weak):.0f} % of the words hard to hear",
        "More than a third of the words were hard to hear, and this is the worst stretch. Can it be recorded again, "
        "nearer and with the machine off? Until then, listen to each item before it is confirmed.",
        ((first, first + _WINDOW - 1),),
    )
