"""Words of the packs in the talk, with spelling and sound-alike repair laid beside what was heard."""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

from rapidfuzz import fuzz, process
from spacy.tokens import Doc, Token

from vouchbook.extract.packs.schema import Entry
from vouchbook.extract.packs.vocabulary import Vocabulary

How = Literal["term", "synonym", "sound", "spelling"]

_CONTRACTION = re.compile(r"(n't|'s|'ll|'re|'ve|'d|'m)$")
_LONGEST = 6
_SPELLING_CUTOFF = 90
_SHORTEST_RESPELLED = 7  # shorter words have too many neighbours
_RESPELLED_KINDS = frozenset({"part", "tool", "fastener"})


@dataclass(frozen=True, slots=True)
class Mention:
    """Tokens ``start`` to ``end`` (exclusive) that name ``entry``; ``how`` tells whether they were repaired to do so."""

    start: int
    end: int
    entry: Entry
    how: How

    @property
    def is_repaired(self) -> bool:
        """Whether the words as heard are not a name of the entry."""
        return self.how in {"sound", "spelling"}


class Lexicon:
    """A vocabulary arranged for look-up by the words of a Doc."""

    def __init__(self, vocabulary: Vocabulary) -> None:
        self.vocabulary = vocabulary
        self._by_words: dict[tuple[str, ...], list[tuple[Entry, How]]] = {}
        for spelling in vocabulary.spellings:
            self._by_words.setdefault(_as_tokens(spelling.form), []).append((spelling.entry, spelling.match))
        self._starts = {words[0] for words in self._by_words}
        self.known = frozenset(word for words in self._by_words for word in words)
        self._respell: dict[str, Entry] = {
            words[0]: entry
            for words, meanings in self._by_words.items()
            for entry, _ in meanings
            if len(words) == 1 and entry.kind in _RESPELLED_KINDS and len(words[0]) >= _SHORTEST_RESPELLED
        }

    def at(self, tokens: Sequence[Token], place: int) -> list[tuple[int, Entry, How]]:
        """The meanings of the longest form that begins at ``place`` of ``tokens``, with the number of tokens it takes."""
        if not any(form in self._starts for form in _forms(tokens[place])):
            return []
        forms = [_forms(t) for t in tokens[place : place + _LONGEST]]
        for length in range(len(forms), 0, -1):
            for words in _spelled(forms[:length]):
                if words in self._by_words:
                    return [(length, entry, how) for entry, how in self._by_words[words]]
        return []

    def respelled(self, word: str) -> Entry | None:
        """The entry that ``word`` is a slip of the pen away from, or None."""
        if len(word) < _SHORTEST_RESPELLED or not word.isalpha():
            return None
        best = process.extractOne(word, self._respell.keys(), scorer=fuzz.ratio, score_cutoff=_SPELLING_CUTOFF)
        if best is None or best[0][0] != word[0]:
            return None
        return self._respell[best[0]]


def mentions(doc: Doc, words: Lexicon) -> tuple[Mention, ...]:
    """Every mention, in order; where one form has several kinds there is a mention of each."""
    tokens = [token for token in doc if token.text != "-"]
    found: list[Mention] = []
    for place, token in enumerate(tokens):
        meanings = words.at(tokens, place)
        for length, entry, how in meanings:
            if _fits(token, length, entry):
                found.append(Mention(token.i, tokens[place + length - 1].i + 1, entry, how))
        if (
            not meanings
            and token.pos_ in {"NOUN", "PROPN", "X"}
            and token.lower_ not in words.known
            and token.lemma_.lower() not in words.known
        ):
            entry_or_none = words.respelled(token.lower_)
            if entry_or_none:
                found.append(Mention(token.i, token.i + 1, entry_or_none, "spelling"))
    return tuple(_longest(found))


def _longest(found: Iterable[Mention]) -> Iterable[Mention]:
    """Drops a mention that lies inside a longer one of a thing; topic words may overlap anything."""
    mentions = sorted(found, key=lambda m: (m.start, -m.end))
    covered_to = -1
    for mention in mentions:
        if mention.entry.kind in {"topic_word", "verb", "state", "hazard"}:
            yield mention
        elif mention.end > covered_to:
            covered_to = max(covered_to, mention.end)
            yield mention
        elif any(m.start == mention.start and m.end == mention.end and m is not mention for m in mentions):
            yield mention


def _fits(token: Token, length: int, entry: Entry) -> bool:
    """Whether a word that is both a thing and a deed is used as this one here: "lock it" and "the lock"."""
    if length > 1 or entry.kind == "topic_word":
        return True
    if entry.kind == "verb":
        return token.tag_.startswith("VB") or token.i == 0 or bool(token.is_sent_start) or token.nbor(-1).is_punct
    if entry.kind in {"part", "tool", "fastener", "ppe", "person", "material"}:
        return token.pos_ in {"NOUN", "PROPN", "ADJ", "X", "NUM", "INTJ"} or (
            token.tag_ in {"VB", "VBP"} and _after_determiner(token)
        )
    return True


def _after_determiner(token: Token) -> bool:
    return token.i > 0 and token.nbor(-1).tag_ in {"DT", "PRP$", "JJ", "CD"}


def _forms(token: Token) -> tuple[str, ...]:
    lower, lemma = token.lower_.replace("\u2019", "'"), token.lemma_.lower()
    singular = lower[:-1] if lower.endswith("s") and not lower.endswith("ss") and len(lower) > 3 else lower
    return tuple(dict.fromkeys((lower, lemma, singular)))


def _spelled(forms: Sequence[tuple[str, ...]]) -> Iterable[tuple[str, ...]]:
    """As written, then with the last word, then with all words in their base form."""
    as_written = tuple(f[0] for f in forms)
    yield as_written
    for form in forms[-1][1:]:
        yield (*as_written[:-1], form)
    if len(forms) > 1:
        for form in forms[0][1:]:
            yield (form, *as_written[1:])
        yield tuple(f[min(1, len(f) - 1)] for f in forms)


def _as_tokens(form: str) -> tuple[str, ...]:
    """A spelling cut as spaCy cuts talk: "don't" is "do", "n't"."""
    words: list[str] = []
    for word in form.split():
        cut = _CONTRACTION.sub(r" \1", word).split()
        words.extend(cut)
    return tuple(words)
