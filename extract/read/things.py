"""The things that a talk has named so far, so that "it", "that" and "them" can be told."""

from bisect import bisect_left
from dataclasses import dataclass
from functools import cached_property

from vouchbook.extract.read.phrases import noun_phrase, thing, with_of
from vouchbook.extract.read.talk import Talk

PRONOUNS = frozenset("it that this them those these one em 'em they she her him ones".split())
_EMPTY = frozenset(
    "thing things bit lot side way one time minute second hour day hand people somebody nobody everybody anybody something "
    "anything nothing everything bloke guy man lad end top bottom middle half quarter kind sort pair couple rest job point place "
    "idea problem question reason moment front back left right person everyone inside outside turn look case".split()
)
_FURTHEST = 40
"""Tokens; a pronoun that stands further from its thing than this is not told with any safety."""


@dataclass(frozen=True, slots=True)
class Thing:
    """A noun phrase, tokens ``start`` to ``end`` (exclusive). ``aside`` when a preposition leads to it."""

    start: int
    end: int
    aside: bool


class Things:
    """All things of a talk in order."""

    def __init__(self, talk: Talk) -> None:
        self._talk = talk

    @cached_property
    def all(self) -> tuple[Thing, ...]:
        """Every noun phrase that may be a thing."""
        doc, found, at = self._talk.doc, [], 0
        sentence_end = {s.start: s.end for s in self._talk.sentences}
        end = 0
        while at < len(doc):
            end = sentence_end.get(at, end) if at >= end else end
            end = max(end, at + 1)
            stop = noun_phrase(doc, at, end)
            if stop > at:
                head = doc[stop - 1].lower_
                if head not in _EMPTY and head not in PRONOUNS and not doc[stop - 1].like_num:
                    led = doc[at - 1].tag_ in {"IN", "TO"} if at else False
                    found.append(Thing(at, with_of(doc, at, end), led))
                at = stop
            else:
                at += 1
        return tuple(found)

    @cached_property
    def _starts(self) -> list[int]:
        return [t.start for t in self.all]

    def before(self, token: int, *, plural: bool = False) -> Thing | None:
        """The thing that a pronoun at ``token`` most likely means: the last one not led to by a preposition."""
        doc = self._talk.doc
        place = bisect_left(self._starts, token)
        fallback: Thing | None = None
        for candidate in reversed(self.all[max(0, place - 12) : place]):
            if token - candidate.end > _FURTHEST or candidate.end > token:
                continue
            is_plural = doc[candidate.end - 1].tag_ in {"NNS", "NNPS"}
            if not candidate.aside and is_plural == plural:
                return candidate
            if fallback is None and not candidate.aside:
                fallback = candidate
        return fallback

    def text(self, found: Thing) -> str:
        """The thing in words, without its determiner."""
        return thing(self._talk.doc, found.start, found.end)
