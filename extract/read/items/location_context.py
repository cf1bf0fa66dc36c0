"""A clause, what was said before it and what it answers: what each form of a location looks at."""

from dataclasses import dataclass
from typing import NamedTuple

from spacy.tokens import Doc

from vouchbook.extract.packs.schema import Kind
from vouchbook.extract.read.found import Found
from vouchbook.extract.read.phrases import noun_phrase, text_of, thing, with_of
from vouchbook.extract.read.places import is_place_only, place_text
from vouchbook.extract.read.sentences import Clause
from vouchbook.extract.read.talk import Sentence, Talk
from vouchbook.extract.read.things import BODY, PRONOUNS, Things

NAMED: tuple[Kind, ...] = ("part", "tool", "fastener", "ppe", "material")
"""Words of the packs that name a thing."""
CREW = frozenset(
    """
    people person man men lad lads bloke blokes guy guys crew crews everybody everyone nobody somebody boy boys girl
    girls fella fellas fellow folks folk team teams mate mates chaps firefighter firefighters ladies gentlemen
    """.split()
)
"""Who is spoken to or of, and no component."""
NO_PART = CREW | frozenset(
    """
    day way time problem thing things idea bit point
    question lot boy girl fella video film camera kettle tea coffee smell noise smoke water power sound thud click clunk
    bang hiss whistle number sign label sticker picture flame fire arc spark ice jet air gas acid oil foam warning leak
    heat light load space room reason chance trick difference pair couple rest half end side top bottom
    """.split()
)
"""Heads of noun phrases that are no component: people, small talk, what is perceived, what flows, sides."""
_NO_PART_KINDS = frozenset({"person", "hazard", "sign", "fastener"})
"""Where a fastener sits is told with its step, where a sign is with its cue."""
_MOST_CLAUSES = 3


class PlaceTold(NamedTuple):
    """A place in words, the token behind it, and the number of the clause in which it ends."""

    text: str
    stop: int
    clause: int


@dataclass(frozen=True, slots=True)
class LocationContext:
    """Clause ``number`` of ``sentence`` in ``talk``.

    ``things`` tells what "it" means there, ``asked`` is the part whose place was asked for, ``before`` the sentence
    before.
    """

    talk: Talk
    sentence: Sentence
    number: int
    things: Things
    asked: str | None
    before: Sentence | None

    @property
    def doc(self) -> Doc:
        """The words of the talk."""
        return self.talk.doc

    @property
    def clause(self) -> Clause:
        """The clause itself."""
        return self.sentence.clauses[self.number]

    def clause_behind(self, number: int) -> Clause | None:
        """The clause behind clause ``number``, or None at the end of the sentence."""
        return self.sentence.clauses[number + 1] if number + 1 < len(self.sentence.clauses) else None

    def place_from(self, begins: int) -> PlaceTold | None:
        """The place from token ``begins`` of the clause, carried on over up to three clauses that are only a place."""
        return self._place(self.number, begins)

    def place_behind(self) -> PlaceTold | None:
        """The place that the clause behind tells, if it tells nothing else: "main switch, in the porch"."""
        behind = self.clause_behind(self.number)
        return self._place(self.number + 1, behind.body) if behind and is_place_only(self.talk, behind) else None

    def part(self, start: int, end: int) -> str | None:
        """The component that the noun phrase at ``start`` names, or None for people, signs, weights and the like."""
        talk, doc = self.talk, self.doc
        stop = noun_phrase(doc, start, end)
        if stop == start and end - start == 1 and doc[start].text.isupper():
            stop = end  # "P", a button
        if stop == start or doc[start].lower_ in {"no", "any"}:
            return None
        if doc[stop - 1].lower_ in NO_PART | BODY | PRONOUNS or doc[stop - 1].like_num:
            return None
        if any(m.entry.kind in _NO_PART_KINDS and m.end == stop for m in talk.mentions_in(start, stop)):
            return None
        last = talk.word(stop - 1)
        if any(v.quantity.unit is not None and v.last == last for v in talk.values_in(start, stop)):
            return None
        return thing(doc, start, with_of(doc, start, end))

    def location(self, part: str, place: PlaceTold, act: float, why: str, start: int | None = None) -> Found | None:
        """The location, said by the tokens from ``start``, or from that of the clause; None when ``part`` is none."""
        if not part or part.lower() in NO_PART | PRONOUNS:
            return None
        fields = {"part": part, "place": place.text}
        clause = self.clause
        return Found("location", clause.start if start is None else start, place.stop, clause.line, fields, act, (why,))

    def _place(self, number: int, begins: int) -> PlaceTold | None:
        clauses, last = self.sentence.clauses, number
        while last + 1 < len(clauses) and last - number < _MOST_CLAUSES and is_place_only(self.talk, clauses[last + 1]):
            last += 1
        text = place_text(self.talk, begins, clauses[number].end)
        if text is None:
            return None
        stop = clauses[last].end
        return PlaceTold(text_of(self.doc, begins, stop) if last > number else text, stop, last)
