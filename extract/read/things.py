"""The things that a talk has named so far, so that "it", "that" and "them" can be told."""

from bisect import bisect_left
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

from vouchbook.extract.packs.schema import Kind
from vouchbook.extract.read.phrases import noun_phrase, thing, with_of
from vouchbook.extract.read.tags import PLURAL_NOUNS
from vouchbook.extract.read.talk import Talk, once

PRONOUNS = frozenset("it that this them those these one em 'em they she her him ones".split())
BODY = frozenset(
    """
    hand hands finger fingers arm arms foot feet leg legs head heads face faces neck throat back nose eye eyes skin shin
    shins toes thumb ribs knee knees shoulder shoulders chest lungs pocket pockets lap
    """.split()
)
"""A body is no part of a machine: "in your face" is no place of it."""
NAMED_KINDS: tuple[Kind, ...] = ("part", "tool", "fastener", "ppe", "material")
"""Kinds of entry that name something one can lay a hand on."""
_WORKED_ON: tuple[Kind, ...] = ("part", "fastener", "ppe", "material")
"""Meant by "it" before any tool is: "take the lead off, that takes a nine mil spanner, and tuck it down the side"."""

_EMPTY = frozenset(
    """
    thing things bit lot side way one time minute second hour day hand people somebody nobody everybody anybody
    something anything nothing everything bloke guy man lad end top bottom middle half quarter kind sort pair couple
    rest job point place idea problem question reason moment front back left right person everyone inside outside turn
    look case press push pull twist tug shove flick
    """.split()
)
"""Nouns that no "it" stands for."""
_FURTHEST = 40
"""Tokens; a pronoun that stands further from its thing than this is not told with any safety."""
_NEAREST = 12
"""Things before a pronoun that are looked at."""
_LAST_NAMED = 3
"""Among so many last things, one that the packs know is meant before any other."""


@dataclass(frozen=True, slots=True)
class Thing:
    """A noun phrase, tokens ``start`` to ``end`` (exclusive). ``aside`` when a preposition leads to it."""

    start: int
    end: int
    aside: bool


_HAPPENS = frozenset("fire fires smoke flame flames steam leak leaks spill sparks".split())
"""What happens, and is not what a deed is done to unless a word says so."""


class Things:
    """All things of a talk in order."""

    def __init__(self, talk: Talk) -> None:
        self._talk = talk

    @cached_property
    def all(self) -> tuple[Thing, ...]:
        """Every noun phrase that may be a thing; "no warning" is none, nor is "four hundred volts" or "your face"."""
        return tuple(self._find())

    def before(self, token: int, *, plural: bool = False) -> Thing | None:
        """The thing that a pronoun at ``token`` most likely means, or None when that cannot be told.

        The last one in the same sentence that no preposition leads to, of the right number, a word of the packs before
        any other; failing that, the same in the line, and then in the line before.
        """
        doc = self._talk.doc
        place = bisect_left(self._starts, token)
        last = self.all[max(0, place - _NEAREST) : place]
        near = [t for t in last if not t.aside and t.end <= token and token - t.end <= _FURTHEST]
        own, line = doc[token].sent.start, self._talk.line_at(token)
        for here in (
            [t for t in near if t.start >= own],
            [t for t in near if self._talk.line_at(t.start) == line],
            [t for t in near if self._talk.line_at(t.start) == line - 1],
        ):
            if (meant := self._fitting(here, plural=plural)) is not None:
                return meant
        return None

    def left_out(self, token: int) -> Thing | None:
        """The thing that a deed at ``token`` leaves out as known, or None; no fire or smoke: nobody isolates those."""
        meant = self.before(token)
        is_worked_on = meant is not None and self._talk.doc[meant.end - 1].lower_ not in _HAPPENS
        return meant if is_worked_on else None

    def text(self, found: Thing) -> str:
        """The thing in words, without its determiner."""
        return thing(self._talk.doc, found.start, found.end)

    def _find(self) -> Iterator[Thing]:
        doc = self._talk.doc
        for sentence in self._talk.sentences:
            at = sentence.start
            while at < sentence.end:
                stop = noun_phrase(doc, at, sentence.end)
                if stop > at and self._may_be(at, stop):
                    aside = at > sentence.start and doc[at - 1].tag_ in {"IN", "TO"}
                    yield Thing(at, with_of(doc, at, sentence.end), aside)
                at = max(stop, at + 1)

    def _may_be(self, start: int, stop: int) -> bool:
        first, head = self._talk.doc[start], self._talk.doc[stop - 1]
        if first.lower_ in {"no", "any"} or first.tag_ == "POS":
            return False
        if head.like_num or head.lower_ in _EMPTY | PRONOUNS | BODY:
            return False
        is_name = head.text[0].isupper() and head.tag_ == "NNP" and not head.is_sent_start
        if is_name and not any(self._talk.mentions_in(start, stop)):
            return len(head.text) == 1  # a person's name; "the P" is a button
        last_word = self._talk.word(stop - 1)
        return not any(v.quantity.unit is not None and v.last == last_word for v in self._talk.values_in(start, stop))

    def _fitting(self, here: Sequence[Thing], *, plural: bool) -> Thing | None:
        """The last of ``here`` of that number; where one thing is meant a plural will do ("the doors, open it")."""
        doc = self._talk.doc
        fitting: Sequence[Thing] = [t for t in here if (doc[t.end - 1].tag_ in PLURAL_NOUNS) == plural]
        if not fitting and not plural:
            fitting = here
        last = fitting[-_LAST_NAMED:]
        known = [t for t in last if any(self._talk.mentions_in(t.start, t.end, *_WORKED_ON))]
        known = known or [t for t in last if any(self._talk.mentions_in(t.start, t.end, "tool"))]
        return (known or fitting)[-1] if fitting else None

    @cached_property
    def _starts(self) -> list[int]:
        return [t.start for t in self.all]


@once
def things_of(talk: Talk) -> Things:
    """The things of ``talk``."""
    return Things(talk)
