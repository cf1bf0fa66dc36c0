"""Everything the layers below found out about one talk, in one value that the item makers read."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property, wraps
from typing import TypeVar, cast

from spacy.tokens import Doc

from vouchbook.extract.packs.schema import Kind
from vouchbook.extract.read.mentions import Mention
from vouchbook.extract.read.sentences import Clause
from vouchbook.extract.read.tape import Tape, tape
from vouchbook.extract.read.values import Value
from vouchbook.models.transcript import Transcript

_Result = TypeVar("_Result")


@dataclass(frozen=True)
class Sentence:
    """Clauses that belong together. ``asks`` when it is a question; ``line`` is the transcript's line it begins in."""

    number: int
    start: int
    end: int
    line: int
    asks: bool
    clauses: tuple[Clause, ...]


@dataclass(frozen=True)
class Talk:
    """A transcript with its Doc, clauses, values and mentions.

    ``askers`` holds the lines that are spoken by whoever asks (the officer); ``chatter`` the lines that say nothing
    about the subject.
    """

    transcript: Transcript
    doc: Doc
    values: tuple[Value, ...]
    mentions: tuple[Mention, ...]
    sentences: tuple[Sentence, ...]
    askers: frozenset[int]
    chatter: frozenset[int]
    worked_out: dict[object, object] = field(default_factory=dict, init=False, repr=False, compare=False)
    """What functions that are :func:`once` found, by the function; a talk with other chatter begins anew."""

    def with_chatter(self, lines: frozenset[int]) -> "Talk":
        """The same talk with ``lines`` as its chatter."""
        return replace(self, chatter=lines)

    def tape(self, start: int, end: int) -> Tape:
        """Tokens ``start`` to ``end`` as plain words."""
        return tape(self.doc, start, end)

    def mentions_in(self, start: int, end: int, *kinds: Kind) -> Iterator[Mention]:
        """The mentions that lie in tokens ``start`` to ``end``, of ``kinds`` if given."""
        for mention in self._mentions_from(start, end):
            if mention.end <= end and (not kinds or mention.entry.kind in kinds):
                yield mention

    def values_in(self, start: int, end: int) -> Iterator[Value]:
        """The values whose words lie in tokens ``start`` to ``end``."""
        if start >= end:
            return
        first, last = self.word(start), self.word(end - 1)
        for value in self.values:
            if value.first > last:
                return
            if value.first >= first and value.last <= last:
                yield value

    def word(self, token: int) -> int:
        """The transcript's word that token ``token`` belongs to."""
        return int(self.doc[token]._.word)

    def token_of(self, word: int) -> int | None:
        """The first token of the transcript's word ``word``; None when it was set aside."""
        return self._token_of.get(word)

    def sentences_of(self, line: int) -> Sequence[Sentence]:
        """The sentences that begin in ``line``."""
        return self._by_line.get(line, ())

    def clause_at(self, token: int) -> Clause | None:
        """The clause that holds ``token``; None for the punctuation between two."""
        return self._clause_of.get(token)

    def line_at(self, token: int) -> int:
        """The transcript's line in which ``token`` stands."""
        return int(self.doc._.line_of_word[self.word(token)])

    def voice(self, line: int) -> str | None:
        """Who speaks in ``line``."""
        return self.transcript.words[self.transcript.lines[line].first_word].voice

    def _mentions_from(self, start: int, end: int) -> Iterator[Mention]:
        for token in range(start, end):
            yield from self._by_token.get(token, ())

    @cached_property
    def _by_token(self) -> dict[int, list[Mention]]:
        by_token: dict[int, list[Mention]] = {}
        for mention in self.mentions:
            by_token.setdefault(mention.start, []).append(mention)
        return by_token

    @cached_property
    def _by_line(self) -> dict[int, list[Sentence]]:
        by_line: dict[int, list[Sentence]] = {}
        for sentence in self.sentences:
            by_line.setdefault(sentence.line, []).append(sentence)
        return by_line

    @cached_property
    def _clause_of(self) -> dict[int, Clause]:
        return {t: clause for s in self.sentences for clause in s.clauses for t in range(clause.start, clause.end)}

    @cached_property
    def _token_of(self) -> dict[int, int]:
        tokens: dict[int, int] = {}
        for token in self.doc:
            tokens.setdefault(int(token._.word), token.i)
        return tokens


def once(work_out: Callable[[Talk], _Result]) -> Callable[[Talk], _Result]:
    """``work_out``, done once for each talk and kept on it: rules, tagger and questions ask for the same things."""

    @wraps(work_out, updated=())
    def kept(talk: Talk) -> _Result:
        if work_out not in talk.worked_out:
            talk.worked_out[work_out] = work_out(talk)
        return cast("_Result", talk.worked_out[work_out])

    return kept
