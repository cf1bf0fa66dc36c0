"""A written text as the transcript that reading takes, with the way back to the tokens of the data."""

from collections.abc import Sequence
from dataclasses import dataclass

from reading.findings import Span
from vouchbook.models.transcript import Line, Transcript, Word

_CLOSES = frozenset(". , ; : ! ?".split())
"""Punctuation that stands with the word before it, as captions have it."""


@dataclass(frozen=True)
class Written:
    """A text as a ``transcript`` of one line, a word a second; ``token`` holds the token that each word begins with."""

    transcript: Transcript
    token: tuple[int, ...]

    def tokens(self, span: Span) -> Span:
        """Words as tokens of the data, without the punctuation behind them."""
        return self.token[span[0]], self.token[span[1]]


def written(tokens: Sequence[str]) -> Written:
    """``tokens`` as a text; closing punctuation is put back behind its word, spaces inside a token are taken out."""
    words: list[str] = []
    first: list[int] = []
    for number, token in enumerate(tokens):
        text = "".join(token.split())
        if not text:
            continue
        if text in _CLOSES and words:
            words[-1] += text
        else:
            words.append(text)
            first.append(number)
    line = (Line(first_word=0, last_word=len(words) - 1, start_s=0, end_s=len(words)),) if words else ()
    said = tuple(Word(text=text, start_s=n, end_s=n + 1) for n, text in enumerate(words))
    return Written(Transcript(words=said, lines=line, duration_s=len(words)), tuple(first))
