"""The things that a talk has named so far, so that "it", "that" and "them" can be told."""

from bisect import bisect_left
from dataclasses import dataclass
from functools import cached_property

from vouchbook.extract.read.phrases import noun_phrase, thing, with_of
from vouchbook.extract.read.talk import Talk

PRONOUNS = frozenset(
    ["it", "that", "this", "them", "those", "these", "one", "em", "'em", "they", "she", "her", "him", "ones"]
)
_EMPTY = frozenset(
    [
        "thing",
        "things",
        "bit",
        "lot",
        "side",
        "way",
        "one",
        "time",
        "minute",
        "second",
        "hour",
        "day",
        "hand",
        "people",
        "somebody",
        "nobody",
        "everybody",
        "anybody",
        "something",
        "anything",
        "nothing",
        "everything",
        "bloke",
        "guy",
        "man",
        "lad",
        "end",
        "top",
        "bottom",
        "middle",
        "half",
        "quarter",
        "kind",
        "sort",
        "pair",
        "couple",
        "rest",
        "job",
        "point",
        "place",
        "idea",
        "problem",
        "question",
        "reason",
        "moment",
        "front",
        "back",
        "left",
        "right",
        "person",
        "everyone",
        "inside",
        "outside",
        "turn",
        "look",
        "case",
    ]
)
BODY = frozenset(
    [
        "hand",
        "hands",
        "finger",
        "fingers",
        "arm",
        "arms",
        "foot",
        "feet",
        "leg",
        "legs",
        "head",
        "heads",
        "face",
        "faces",
        "neck",
        "throat",
        "back",
        "nose",
        "eye",
        "eyes",
        "skin",
        "shin",
        "shins",
        "toes",
        "thumb",
        "ribs",
        "knee",
        "knees",
        "shoulder",
        "shoulders",
        "chest",
        "lungs",
        "pocket",
        "pockets",
        "lap",
    ]
)
"""A body is no part of a machine: "in your face" is no place of it."""
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
        """Every noun phrase that may be a thing; "no warning" is none, nor is "four hundred volts" or "your face"."""
        found: list[Thing] = []
        for sentence in self._talk.sentences:
            at = sentence.start
            while at < sentence.end:
                stop = noun_phrase(self._talk.doc, at, sentence.end)
                if stop > at and self._may_be(at, stop):
                    led = self._talk.doc[at - 1].tag_ in {"IN", "TO"} if at > sentence.start else False
                    found.append(Thing(at, with_of(self._talk.doc, at, sentence.end), led))
                at = max(stop, at + 1)
        return tuple(found)

    def _may_be(self, start: int, stop: int) -> bool:
        doc = self._talk.doc
        first, head = doc[start], doc[stop - 1]
        if (
            first.lower_ in {"no", "any"}
            or first.tag_ == "POS"
            or head.like_num
            or head.lower_ in _EMPTY | PRONOUNS | BODY
        ):
            return False
        if (
            head.text[0].isupper()
            and head.tag_ == "NNP"
            and not head.is_sent_start
            and not any(self._talk.mentions_in(start, stop))
        ):
            return len(head.text) == 1  # a person's name; "the P" is a button
        return not any(
            v.quantity.unit is not None and v.last == self._talk.word(stop - 1)
            for v in self._talk.values_in(start, stop)
        )

    @cached_property
    def _starts(self) -> list[int]:
        return [t.start for t in self.all]

    def before(self, token: int, *, plural: bool = False) -> Thing | None:
        """The thing that a pronoun at ``token`` most likely means, or None when that cannot be told.

        The last one in the same sentence that no preposition leads to, of the right number, a word of the packs before
        any other; failing that, the same in the line, and then in the line before.
        """
        doc = self._talk.doc
        lines = doc._.line_of_word
        line = lines[self._talk.word(token)]
        place = bisect_left(self._starts, token)
        near = [c for c in self.all[max(0, place - 12) : place] if c.end <= token and token - c.end <= _FURTHEST]
        own = doc[token].sent.start
        for here in (
            [c for c in near if c.start >= own and not c.aside],
            [c for c in near if lines[self._talk.word(c.start)] == line and not c.aside],
            [c for c in near if lines[self._talk.word(c.start)] == line - 1 and not c.aside],
        ):
            fitting = [c for c in here if (doc[c.end - 1].tag_ in {"NNS", "NNPS"}) == plural] or (
                here if not plural else []
            )
            known = [
                c
                for c in fitting[-3:]
                if any(self._talk.mentions_in(c.start, c.end, "part", "tool", "fastener", "ppe", "material"))
            ]
            if known or fitting:
                return (known or fitting)[-1]
        return None

    def text(self, found: Thing) -> str:
        """The thing in words, without its determiner."""
        return thing(self._talk.doc, found.start, found.end)
