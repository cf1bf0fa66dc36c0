"""What the packs want a walk-through to tell: which of it is due for this talk, and which of it was touched."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass

from spacy.tokens import Token

from vouchbook.extract.packs.schema import Kind, Topic
from vouchbook.extract.packs.vocabulary import Vocabulary
from vouchbook.extract.read.mentions import forms_of
from vouchbook.extract.read.talk import Sentence, Talk

_FEWEST = 2
"""Sentences that must hold a word of ``only_if``: said once it may be a figure of speech, or what it is not."""
_SHORTEST_CALL = 6
"""Letters of another name that calls for a topic: "mill", "cage" and "boot" are said of other things too."""
_THINGS: frozenset[Kind] = frozenset({"part", "tool", "sign", "material", "ppe"})
_DEEDS: frozenset[Kind] = frozenset({"verb"})
"""Kinds of entry whose other names are said for the one that a topic gives; no deed calls for one: "it has lifted"."""


@dataclass(frozen=True, slots=True)
class Expected:
    """``is_told`` when the talk touches ``topic``; ``due_by`` are the first words (both included) that call for it."""

    topic: Topic
    is_due: bool
    is_told: bool
    due_by: tuple[tuple[int, int], ...] = ()


class Expectations:
    """The topics of a vocabulary, arranged for look-up; ``cut`` cuts a text into tokens as that of a talk."""

    def __init__(self, vocabulary: Vocabulary, cut: Callable[[str], Iterable[Token]]) -> None:
        self._topics = [
            (
                topic,
                _Words(vocabulary, cut, topic.words, _THINGS | _DEEDS, 1),
                _Words(vocabulary, cut, topic.only_if, _THINGS, _SHORTEST_CALL),
            )
            for topic in vocabulary.topics
        ]

    def of(self, talk: Talk) -> tuple[Expected, ...]:
        """Every topic, in the order of the packs; small talk calls for nothing and tells nothing."""
        sentences = [_Said(talk, sentence) for sentence in talk.sentences if sentence.line not in talk.chatter]
        found = []
        for topic, words, only_if in self._topics:
            calls = [span for said in sentences if (span := only_if.first(said)) is not None]
            is_due = not topic.only_if or len(calls) >= _FEWEST
            is_told = any(words.first(said) is not None for said in sentences)
            found.append(Expected(topic, is_due, is_told, tuple(calls[:_FEWEST])))
        return tuple(found)


class _Said:
    """The words of one sentence: the forms of each, and the entries that they name."""

    def __init__(self, talk: Talk, sentence: Sentence) -> None:
        tokens = [token for token in talk.doc[sentence.start : sentence.end] if token.text != "-"]
        self.forms = [forms_of(token) for token in tokens]
        self.at: dict[str, list[int]] = {}
        for place, forms in enumerate(self.forms):
            for form in forms:
                self.at.setdefault(form, []).append(place)
        self.words = [talk.word(token.i) for token in tokens]
        self.named = {
            (m.entry.kind, m.entry.term): (
                talk.word(m.start),
                talk.word(m.end - 1),
                len(talk.doc[m.start : m.end].text),
            )
            for m in talk.mentions_in(sentence.start, sentence.end)
        }


class _Words:
    """Words of a topic: as they are written, and by other names of ``kinds`` that have ``shortest`` letters or more."""

    def __init__(
        self,
        vocabulary: Vocabulary,
        cut: Callable[[str], Iterable[Token]],
        words: Sequence[str],
        kinds: frozenset[Kind],
        shortest: int,
    ) -> None:
        self._shortest = shortest
        self._forms = [tuple(token.lower_ for token in cut(word) if token.text != "-") for word in words]
        spelled = (each for word in words for each in vocabulary.find(word))
        self._entries = dict.fromkeys(
            (each.entry.kind, each.entry.term) for each in spelled if each.match != "sound" and each.entry.kind in kinds
        )

    def first(self, said: _Said) -> tuple[int, int] | None:
        """The words of the transcript that say one of these; None when the sentence says none."""
        for entry in self._entries:
            first, last, length = said.named.get(entry, (0, 0, 0))
            if length >= self._shortest:
                return first, last
        return next(self._spans(said), None)

    def _spans(self, said: _Said) -> Iterator[tuple[int, int]]:
        for form in self._forms:
            for start in said.at.get(form[0], ()):
                window = said.forms[start : start + len(form)]
                if len(window) == len(form) and all(w in forms for w, forms in zip(form, window, strict=True)):
                    yield said.words[start], said.words[start + len(form) - 1]
