"""Critical words that the recogniser got wrong: said and not heard, or heard and never said."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from rapidfuzz.distance import Levenshtein

from sound.timeline import Range
from sound.words import Sense, Token, tokens
from vouchbook.models.transcript import Transcript


@dataclass(frozen=True, slots=True)
class Mistake:
    """One critical word that is wrong.

    ``word`` is what was said, or heard when ``is_made_up``; ``said`` and ``heard`` are the stretch around it in which
    the two differ. ``at`` are the seconds of the heard word in its place, or of the gap where nothing was heard;
    ``probability`` is that word's, or the lower one of the two beside the gap. ``nearby`` is the lowest from one word
    before to one word behind the stretch.
    """

    sense: Sense
    word: str
    said: str
    heard: str
    is_made_up: bool
    at: Range
    probability: float
    nearby: float


@dataclass(frozen=True, slots=True)
class Comparison:
    """What was said beside what was heard: tokens said, edits, critical tokens said, and the critical ones wrong."""

    said: int
    edits: int
    critical: Counter[Sense]
    mistakes: tuple[Mistake, ...]


def compared(said: Transcript, heard: Transcript) -> Comparison:
    """Compare the exact words with those heard; seconds are those of ``heard``, and both are on one clock."""
    a, b = (tokens([word.text for word in transcript.words]) for transcript in (said, heard))
    blocks, edits = _differences(a, b)
    return Comparison(
        said=len(a),
        edits=edits,
        critical=Counter(token.sense for token in a if token.sense),
        mistakes=tuple(m for block in blocks for m in _mistakes(said, heard, (a, b), block)),
    )


_Block = tuple[int, int, int, int]
"""Tokens said ``[0]`` to ``[1]`` and heard ``[2]`` to ``[3]``, ends not included, that differ."""


def _differences(a: Sequence[Token], b: Sequence[Token]) -> tuple[list[_Block], int]:
    blocks: list[_Block] = []
    edits = 0
    for code in Levenshtein.opcodes([t.text for t in a], [t.text for t in b]):
        if code.tag == "equal":
            continue
        edits += max(code.src_end - code.src_start, code.dest_end - code.dest_start)
        block = (code.src_start, code.src_end, code.dest_start, code.dest_end)
        if blocks and blocks[-1][1] == block[0] and blocks[-1][3] == block[2]:
            block = (blocks[-1][0], block[1], blocks.pop()[2], block[3])
        blocks.append(block)
    return blocks, edits


def _mistakes(
    said: Transcript, heard: Transcript, both: tuple[Sequence[Token], Sequence[Token]], block: _Block
) -> list[Mistake]:
    """Critical tokens of the block that its other side lacks; made up ones only where none of their sense was lost."""
    a, b = both[0][block[0] : block[1]], both[1][block[2] : block[3]]
    lost, made_up = _lacking(a, b), _lacking(b, a)
    families = {_family(a[n]) for n in lost}
    found = []
    for places, from_, is_made_up in ((lost, a, False), (made_up, b, True)):
        for place in places:
            token = from_[place]
            if token.sense is None or (is_made_up and _family(token) in families):
                continue
            if b:
                there = b[place if is_made_up else round(place * (len(b) - 1) / max(1, len(a) - 1))]
                at, probability = _of_words(heard, there.first, there.last)
                nearby = _of_words(heard, b[0].first - 1, b[-1].last + 1)[1]
            else:
                at, probability = _gap(said, heard, token, both[1], block[2])
                nearby = probability
            texts = _text(a), _text(b)
            found.append(Mistake(token.sense, token.text, *texts, is_made_up, at, probability, nearby))
    return found


def _family(token: Token) -> Sense | None:
    """What was heard for a size may be a mere number."""
    return "number" if token.sense == "size" else token.sense


def _text(tokens_: Sequence[Token]) -> str:
    return " ".join(token.text for token in tokens_)


def _lacking(tokens_: Sequence[Token], other: Sequence[Token]) -> list[int]:
    """Places of the critical tokens that ``other`` does not have."""
    left = Counter(token.text for token in other)
    lacking = []
    for place, token in enumerate(tokens_):
        if token.sense is None:
            continue
        if left[token.text] > 0:
            left[token.text] -= 1
        else:
            lacking.append(place)
    return lacking


def _of_words(heard: Transcript, first: int, last: int) -> tuple[Range, float]:
    words = heard.words[max(0, first) : last + 1]
    probabilities = [word.probability for word in words if word.probability is not None]
    return (words[0].start_s, max(word.end_s for word in words)), min(probabilities, default=1.0)


def _gap(said: Transcript, heard: Transcript, token: Token, b: Sequence[Token], at: int) -> tuple[Range, float]:
    """Between the words heard before and behind, and not farther than the line that says it."""
    before = heard.words[b[at - 1].last] if at > 0 else None
    behind = heard.words[b[at].first] if at < len(b) else None
    start_s = before.end_s if before else 0.0
    end_s = behind.start_s if behind else heard.duration_s
    line = next(line for line in said.lines if line.first_word <= token.first <= line.last_word)
    start_s, end_s = max(start_s, min(line.start_s, end_s)), min(end_s, max(line.end_s, start_s))
    probabilities = [word.probability for word in (before, behind) if word and word.probability is not None]
    return (min(start_s, end_s), max(start_s, end_s)), min(probabilities, default=1.0)
