"""Who asks and who tells: what the officer asks is the frame, what the technician tells is the content."""

import re
from collections import Counter
from collections.abc import Sequence

from spacy.tokens import Doc

from vouchbook.extract.read.tape import tape, words_pattern
from vouchbook.models.transcript import Transcript

_OPENS_QUESTION = re.compile(
    r"^(?:(?:and|so|but|okay|ok|right|then|now|well|er|oh|yeah|no|sorry),? )*"
    r"(?:what|where|how|who|which|why|when|whose|is|are|do|does|did|can|could|would|should|shall|"
    r"will|have|has|am|was|were|"
    r"ca n't|is n't|are n't|where 's|what 's|how 's|any|say|and if|what if|what about|how about)(?!\S)"
)
_TELLS_ANYWAY = re.compile(
    r"^(?:(?:and|so|but|then|now),? )*(?:when|where|what|which|who|do|have|is|are|will|should|"
    r"would) (?:you|it|the|that|there|n't|not|a|she|he|they|a look)(?!\S)"
)
_TAG = words_pattern(r"(?:right|yeah|yes|okay|is n't it|are n't they|do n't you|have n't you|is it|does it|do you)")
_SHARE_OF_QUESTIONS = 0.25


def asks(doc: Doc, start: int, end: int) -> bool:
    """Whether the sentence of tokens ``start`` to ``end`` is a question.

    A question mark settles it; without one ("what size is that") the opening words do, unless they open a statement
    ("when it clicks you stop").
    """
    if doc[end - 1].text == "?" or (end - start > 1 and doc[end - 2].text == "?"):
        return True
    if any(token.text in {".", "!"} for token in doc[max(start, end - 1) : end]):
        return False
    line = tape(doc, start, end).text
    return bool(_OPENS_QUESTION.match(line)) and not _TELLS_ANYWAY.match(line)


def is_offer(doc: Doc, start: int, end: int) -> bool:
    """Whether a question only offers a value or asks for a nod ("twenty metres? thirty?", "that's a ten, isn't it?")."""
    line = tape(doc, start, end).text
    return (end - start <= 4 and not _OPENS_QUESTION.match(line)) or bool(_TAG.search(line[-16:]))


_FRAMES = re.compile(
    r"^(?:(?:so|okay|ok|right|and|now|then|good|got it|understood|great|fine|alright|fire|no|yeah),? ?(?:\.|!)?)+ "
)
_SHORT_FRAME = 10


def asking_lines(transcript: Transcript, sentences: Sequence[tuple[int, bool]]) -> frozenset[int]:
    """The lines spoken by whoever asks; ``sentences`` gives the line of each sentence and whether it asks.

    Where voices are known, a voice of whose lines a quarter or more end in a question is an asker, if nobody asks more
    than twice as often. Otherwise a line is an asker's when its last sentence asks, or when it is a short one that leads
    over to the next thing ("Okay. Power.") and is no answer to a question before it.
    """
    last_asks = dict(sentences)
    voices = [transcript.words[line.first_word].voice for line in transcript.lines]
    lines_of = Counter(voices)
    if len(lines_of) < 2 or None in lines_of:
        return _without_voices(transcript, last_asks)
    shares = {
        voice: sum(last_asks.get(n, False) for n, v in enumerate(voices) if v == voice) / count
        for voice, count in lines_of.items()
        if count > 2
    }
    most = max(shares.values(), default=0.0)
    askers = {voice for voice, share in shares.items() if share >= _SHARE_OF_QUESTIONS and share * 2 > most}
    if len(askers) == len(lines_of):  # everybody asks: the one who asks most
        askers = {max(shares, key=lambda v: (shares[v], str(v)))}
    return frozenset(n for n, voice in enumerate(voices) if voice in askers)


def _without_voices(transcript: Transcript, last_asks: dict[int, bool]) -> frozenset[int]:
    asking: set[int] = set()
    lengths = [line.last_word - line.first_word + 1 for line in transcript.lines]
    for number, line in enumerate(transcript.lines):
        if last_asks.get(number, False):
            asking.add(number)
            continue
        follows = (
            number + 1 < len(lengths) and lengths[number + 1] > lengths[number] and not last_asks.get(number + 1, False)
        )
        text = transcript.text(line.first_word, line.last_word).lower()
        if number - 1 not in asking and follows and lengths[number] <= _SHORT_FRAME and _FRAMES.match(f"{text} "):
            asking.add(number)
    return frozenset(asking)
