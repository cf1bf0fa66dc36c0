"""Who asks and who tells: what the officer asks is the frame, what the technician tells is the content."""

import re
from collections import Counter
from collections.abc import Mapping, Sequence

from spacy.tokens import Doc

from vouchbook.extract.read.tape import tape, words_pattern
from vouchbook.models.transcript import Transcript

_OPENS_QUESTION = words_pattern(
    # "and where does it sit", "right then is it dead", "what about the roof"; not "whatever you do"
    r"(?:(?:and|so|but|okay|ok|right|then|now|well|er|oh|yeah|no|sorry),? )*"
    r"(?:what|where|how|who|which|why|when|whose|is|are|do|does|did|can|could|would|should|shall|will|have|has|am|was|"
    r"were|ca n't|is n't|are n't|where 's|what 's|how 's|any|say|and if|what if|what about|how about)"
)
_TELLS_ANYWAY = words_pattern(
    # "when it clicks you stop", "do not lift it", "have a look"
    r"(?:(?:and|so|but|then|now),? )*(?:when|where|what|which|who|do|have|is|are|will|should|would) "
    r"(?:you|it|the|that|there|n't|not|a|she|he|they|a look)"
)
_ASKS_FOR_NOD = words_pattern(
    # "that's a nine, isn't it?"
    r"(?:right|yeah|yes|okay|is n't it|are n't they|do n't you|have n't you|is it|does it|do you)"
)
_OFFER = 4
"""Tokens of a question that can only offer a value: "Twenty metres?"."""
_TAIL = 16
"""Characters at the end of a tape in which a question asks for a nod."""

_LEADS_OVER = re.compile(
    # "Okay. Power.", "right, and now fire"
    r"(?:(?:so|okay|ok|right|and|now|then|good|got it|understood|great|fine|alright|fire|no|yeah),? ?(?:\.|!)?)+ "
)
_SHORT_FRAME = 10
"""Words of a line that only leads over."""
_SHARE_OF_QUESTIONS = 0.25
"""Share of lines that end in a question from which on a voice is an asker's."""
_FEWEST_LINES = 3
"""Lines from which on that share says something about a voice."""


def asks(doc: Doc, start: int, end: int) -> bool:
    """Whether the sentence of tokens ``start`` to ``end`` (exclusive) is a question.

    A question mark settles it; without one ("what size is that") the opening words do, unless they open a statement
    ("when it clicks you stop").
    """
    last = [token.text for token in doc[max(start, end - 2) : end]]
    if "?" in last:
        return True
    if last[-1] in {".", "!"}:
        return False
    line = tape(doc, start, end).text
    return bool(_OPENS_QUESTION.match(line)) and not _TELLS_ANYWAY.match(line)


def is_offer(doc: Doc, start: int, end: int) -> bool:
    """Whether a question only offers a value ("twenty metres?") or asks for a nod ("that's a nine, isn't it?")."""
    line = tape(doc, start, end).text
    return (end - start <= _OFFER and not _OPENS_QUESTION.match(line)) or bool(_ASKS_FOR_NOD.search(line[-_TAIL:]))


def asking_lines(transcript: Transcript, sentences: Sequence[tuple[int, bool]]) -> frozenset[int]:
    """The lines spoken by whoever asks; ``sentences`` gives the line of each sentence and whether it asks.

    Where voices are known, a voice of whose lines a quarter or more end in a question is an asker, if nobody asks more
    than twice as often. Otherwise a line is an asker's when its last sentence asks, or when it is a short one that
    leads over to the next thing ("Okay. Power.") and is no answer to a question before it.
    """
    ends_asking = dict(sentences)
    voices = [transcript.words[line.first_word].voice for line in transcript.lines]
    if len(set(voices)) < 2 or None in voices:
        return _without_voices(transcript, ends_asking)
    askers = _asking_voices(voices, ends_asking)
    return frozenset(n for n, voice in enumerate(voices) if voice in askers)


def _asking_voices(voices: Sequence[str | None], ends_asking: Mapping[int, bool]) -> set[str | None]:
    lines_of = Counter(voices)
    questions_of = Counter(voice for n, voice in enumerate(voices) if ends_asking.get(n, False))
    shares = {voice: questions_of[voice] / lines for voice, lines in lines_of.items() if lines >= _FEWEST_LINES}
    most = max(shares.values(), default=0.0)
    askers = {voice for voice, share in shares.items() if share >= _SHARE_OF_QUESTIONS and share * 2 > most}
    if len(askers) == len(lines_of):  # everybody asks: the one who asks most
        return {max(shares, key=lambda voice: (shares[voice], str(voice)))}
    return askers


def _without_voices(transcript: Transcript, ends_asking: Mapping[int, bool]) -> frozenset[int]:
    asking: set[int] = set()
    lengths = [line.last_word - line.first_word + 1 for line in transcript.lines]
    for number, line in enumerate(transcript.lines):
        if ends_asking.get(number, False):
            asking.add(number)
            continue
        answers = number - 1 in asking
        is_short = lengths[number] <= _SHORT_FRAME
        longer_follows = number + 1 < len(lengths) and lengths[number + 1] > lengths[number]
        if answers or not is_short or not longer_follows or ends_asking.get(number + 1, False):
            continue
        if _LEADS_OVER.match(transcript.text(line.first_word, line.last_word).lower() + " "):
            asking.add(number)
    return frozenset(asking)
