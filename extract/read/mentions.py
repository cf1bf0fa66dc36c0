"""Words of the packs in the talk, with spelling and sound-alike repair laid beside what was heard."""

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from rapidfuzz import fuzz, process
from spacy.tokens import Doc, Token

from vouchbook.extract.packs.schema import Entry
from vouchbook.extract.packs.vocabulary import Vocabulary
from vouchbook.extract.read.tags import BASE_VERBS, DETERMINERS

How = Literal["term", "synonym", "sound", "spelling"]

_SPELLING_CUTOFF = 90
"""Least likeness, 0 to 100 (rapidfuzz's ``ratio``): a letter too many or too few in seven, a wrong one in ten."""
_SHORTEST_RESPELLED = 7  # letters; shorter words have too many neighbours
_RESPELLED_KINDS = frozenset({"part", "tool", "fastener"})
_OVERLAPPING_KINDS = frozenset({"topic_word", "verb", "state", "hazard"})
_NOUN_KINDS = frozenset({"part", "tool", "fastener", "ppe", "person", "material"})


@dataclass(frozen=True, slots=True)
class Mention:
    """Tokens ``start`` to ``end`` (exclusive) that name ``entry``; ``how`` tells if they were repaired to do so."""

    start: int
    end: int
    entry: Entry
    how: How

    @property
    def is_repaired(self) -> bool:
        """Whether the words as heard are not a name of the entry."""
        return self.how in {"sound", "spelling"}


class Lexicon:
    """A vocabulary arranged for look-up by the words of a Doc; ``cut`` cuts a text into tokens as that of the Doc."""

    def __init__(self, vocabulary: Vocabulary, cut: Callable[[str], Iterable[Token]]) -> None:
        self._by_words: dict[tuple[str, ...], list[tuple[Entry, How]]] = {}
        self._longest: dict[str, int] = {}  # by the first word of a form: the words of the longest that begins so
        for spelling in vocabulary.spellings:
            words = tuple(token.lower_ for token in cut(spelling.form))
            self._by_words.setdefault(words, []).append((spelling.entry, spelling.match))
            self._longest[words[0]] = max(len(words), self._longest.get(words[0], 0))
        self._known = frozenset(word for words in self._by_words for word in words)
        self._respell: dict[str, Entry] = {
            words[0]: entry
            for words, meanings in self._by_words.items()
            for entry, _ in meanings
            if len(words) == 1 and entry.kind in _RESPELLED_KINDS and len(words[0]) >= _SHORTEST_RESPELLED
        }

    def at(self, tokens: Sequence[Token], place: int) -> list[tuple[int, Entry, How]]:
        """The meanings of the longest form that begins at ``place`` of ``tokens``, each with the tokens it takes."""
        longest = max(self._longest.get(form, 0) for form in forms_of(tokens[place]))
        forms = [forms_of(token) for token in tokens[place : place + longest]]
        for length in range(len(forms), 0, -1):
            for words in _spelled(forms[:length]):
                if words in self._by_words:
                    return [(length, entry, how) for entry, how in self._by_words[words]]
        return []

    def respelled(self, token: Token) -> Entry | None:
        """The entry whose name ``token`` is a slip of the pen away from ("isollator"), or None.

        Only a noun that no pack knows is respelled; the first letter must agree.
        """
        word = token.lower_
        if token.pos_ not in {"NOUN", "PROPN", "X"} or word in self._known or token.lemma_.lower() in self._known:
            return None
        if len(word) < _SHORTEST_RESPELLED or not word.isalpha():
            return None
        best = process.extractOne(word, self._respell.keys(), scorer=fuzz.ratio, score_cutoff=_SPELLING_CUTOFF)
        return self._respell[best[0]] if best is not None and best[0][0] == word[0] else None


def mentions(doc: Doc, words: Lexicon) -> tuple[Mention, ...]:
    """Every mention, in order; where one form has several kinds there is a mention of each."""
    tokens = [token for token in doc if token.text != "-"]
    found: list[Mention] = []
    for place, token in enumerate(tokens):
        meanings = words.at(tokens, place)
        for length, entry, how in meanings:
            if _fits(token, length, entry):
                found.append(Mention(token.i, tokens[place + length - 1].i + 1, entry, how))
        if not meanings and (slip := words.respelled(token)) is not None:
            found.append(Mention(token.i, token.i + 1, slip, "spelling"))
    return tuple(_longest(found))


def _longest(found: Sequence[Mention]) -> Iterator[Mention]:
    """Drops a mention that lies inside a longer one of a thing; words of :data:`_OVERLAPPING_KINDS` stay."""
    of_span = Counter((m.start, m.end) for m in found)
    covered_to = -1
    for mention in sorted(found, key=lambda m: (m.start, -m.end)):
        if mention.entry.kind in _OVERLAPPING_KINDS:
            yield mention
        elif mention.end > covered_to:
            covered_to = mention.end
            yield mention
        elif of_span[mention.start, mention.end] > 1:
            yield mention


def _fits(token: Token, length: int, entry: Entry) -> bool:
    """Whether a word that is both a thing and a deed is used as this one here: "lock it" and "the lock"."""
    if length > 1:
        return True
    if entry.kind == "verb":
        return token.tag_.startswith("VB") or token.i == 0 or bool(token.is_sent_start) or token.nbor(-1).is_punct
    if entry.kind in _NOUN_KINDS:
        return token.pos_ in {"NOUN", "PROPN", "ADJ", "X", "NUM", "INTJ"} or (
            token.tag_ in BASE_VERBS and token.i > 0 and token.nbor(-1).tag_ in DETERMINERS | {"JJ", "CD"}
        )
    return True


def forms_of(token: Token) -> tuple[str, ...]:
    """A word as written, in its base form, and without a plural "s" that the language model missed."""
    written, lemma = token.lower_.replace("\u2019", "'"), token.lemma_.lower()
    is_plural = written.endswith("s") and not written.endswith("ss") and len(written) > 3
    return tuple(dict.fromkeys((written, lemma, written[:-1] if is_plural else written)))


def _spelled(forms: Sequence[tuple[str, ...]]) -> Iterator[tuple[str, ...]]:
    """As written, then with another form of the last word, of the first, and with all words in their base form."""
    written = tuple(form[0] for form in forms)
    yield written
    for last in forms[-1][1:]:
        yield (*written[:-1], last)
    if len(forms) > 1:
        for first in forms[0][1:]:
            yield (first, *written[1:])
        yield tuple(form[min(1, len(form) - 1)] for form in forms)
