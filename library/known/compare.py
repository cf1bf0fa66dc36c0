"""A new draft against what is known: what contradicts an edition, and what this talk did not mention.

Precise rather than greedy: two items are compared only where their words say that they are about one thing. Sizes,
amounts, places and order are compared within one maker and model; what is done on one machine and forbidden on another
of the same kind and energy is told for both.
"""

import re
from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise
from typing import Literal

from vouchbook.library.editions.matching import content_words, item_likeness, likeness, pairs
from vouchbook.library.known.amounts import agrees, differing
from vouchbook.library.known.relation import RELATIONS, Relation, relation
from vouchbook.library.known.sides import Side, known_sides
from vouchbook.library.review.amendments import opposed
from vouchbook.models.decisions import FieldValue
from vouchbook.models.editions import Edition
from vouchbook.models.record import Record
from vouchbook.models.subjects import Subject

Contradiction = Literal["another size", "another count", "another amount", "another place", "another order",
                        "done here, forbidden there", "forbidden here, done there"]  # fmt: skip
What = Literal[Contradiction, "not mentioned"]

_SAME_THING = 88
"""Percent of likeness from which two items are about one thing; the reading takes texts for one from here, too."""
_NOT_MENTIONED = 68
"""An item of which the talk has nothing even this like was not mentioned."""


class Finding(Record):
    """One thing to look at: both sides' words, or for what was not mentioned the known side alone.

    ``here`` are the draft's items (two for an order), ``there`` those of the edition.
    """

    what: What
    relation: Relation
    here: tuple[Side, ...]
    there: tuple[Side, ...]
    sentence: str


def compare(here: Sequence[Side], subject: Subject, editions: Iterable[Edition]) -> tuple[Finding, ...]:
    """What stands between the items of a draft, in procedure order, and ``editions``, the nearest subjects first.

    Editions of subjects that are not related are passed over; give only those that are in force.
    """
    related = [(near, edition) for edition in editions if (near := relation(subject, edition.subject)) is not None]
    related.sort(key=lambda pair: (RELATIONS.index(pair[0]), -pair[1].number))
    found: list[Finding] = []
    for near, edition in related:
        there = known_sides(edition)
        found += _forbidden(near, here, there)
        if near == "same kind and energy":
            continue
        matched = [(there[o], here[n]) for o, n in pairs(there, here, _SAME_THING)]
        found += _values(near, here, there)
        found += _amounts(near, here, there)
        found += _order(near, matched)
        found += _places(near, here, there)
        if near == "same machine":
            found += _not_mentioned(near, here, there)
    return tuple(found)


def _values(near: Relation, here: Sequence[Side], there: Sequence[Side]) -> Iterator[Finding]:
    """Sizes and counts that differ: of things told with several, only a value that the other side has nowhere."""
    fields: tuple[tuple[Literal["another size", "another count"], str], ...] = (
        ("another size", "size"),
        ("another count", "count"),
    )
    for said in here:
        same = [known for known in there if _is_one_job(said, known)]
        for what, field in fields:
            value = said.fields.get(field)
            known_values = [known for known in same if known.fields.get(field) is not None]
            if value is None or not known_values or value in [known.fields[field] for known in known_values]:
                continue
            others = " and ".join(dict.fromkeys(str(known.fields[field]) for known in known_values))
            yield Finding(
                what=what,
                relation=near,
                here=(said,),
                there=tuple(known_values),
                sentence=f"{said.name}: {value} here, {others} in {known_values[0].where}.",
            )


def _amounts(near: Relation, here: Sequence[Side], there: Sequence[Side]) -> Iterator[Finding]:
    """Times to wait, voltages, distances and weights that differ, in the words of the talks."""
    for one in differing(here, there, _SAME_THING):
        yield Finding(
            what="another amount",
            relation=near,
            here=(one.here,),
            there=one.known,
            sentence=f"{one.here.name}: {one.said} here, {' and '.join(one.said_there)} in {one.known[0].where}.",
        )


def _is_one_job(said: Side, known: Side) -> bool:
    """Whether two steps or tools are of one job: words alike and one topic, as "socket, bolt" alone says little."""
    return (
        said.kind == known.kind
        and said.kind in ("step", "tool")
        and said.fields["phase"] == known.fields["phase"]
        and item_likeness(said.kind, said.fields, known.fields) >= _SAME_THING
    )


def _places(near: Relation, here: Sequence[Side], there: Sequence[Side]) -> Iterator[Finding]:
    """Parts and deeds with another place: of those told in several, only where no place of either side fits."""
    for said in here:
        same = [known for known in there if _is_placed_alike(said, known)]
        if same and all(_elsewhere(said.fields["place"], known.fields["place"]) for known in same):
            yield Finding(
                what="another place",
                relation=near,
                here=(said,),
                there=tuple(same),
                sentence=f"{said.name}: {said.fields['place']} here, "
                f"{' and '.join(dict.fromkeys(str(known.fields['place']) for known in same))} in {same[0].where}.",
            )


def _is_placed_alike(said: Side, known: Side) -> bool:
    """Whether both tell where one part is, or where one deed is done."""
    if said.kind == known.kind == "location":
        return likeness(known.fields["part"], said.fields["part"]) >= _SAME_THING
    return _is_one_job(said, known) and all(_WHERE.match(str(one.fields.get("place") or "")) for one in (said, known))


_WHERE = re.compile(
    r"(?:just |right )?(?:under|below|beneath|behind|in|inside|on|at|by|near|next to|beside|above|over|left|right)\b"
)
"""A deed's place is also where something goes ("to the ground", "out of the cover"), which is left aside here."""


def _elsewhere(one: FieldValue, other: FieldValue) -> bool:
    """Whether two places exclude each other: opposite sides, or not one thing in common."""
    if opposed(one, other):
        return True
    return not _things(one) & _things(other)


def _things(place: FieldValue) -> set[str]:
    idle = "under below beneath behind inside in by near next beside above over left right front rear back side".split()
    words = {word.removesuffix("s") for word in content_words(place).split()}
    return words - set(idle) or words


def _order(near: Relation, matched: Sequence[tuple[Side, Side]]) -> Iterator[Finding]:
    """Steps that follow each other here and stand the other way round there."""
    steps = [(known, said) for known, said in matched if said.kind == "step"]
    for (known_first, first), (known_second, second) in pairwise(steps):
        if known_first.position > known_second.position:
            yield Finding(
                what="another order",
                relation=near,
                here=(first, second),
                there=(known_second, known_first),
                sentence=f"\u201c{first.name}\u201d comes before \u201c{second.name}\u201d here, "
                f"after it in {known_first.where}.",
            )


def _forbidden(near: Relation, here: Sequence[Side], there: Sequence[Side]) -> Iterator[Finding]:
    for said in here:
        for known in there:
            if said.kind == "step" and known.kind == "warning" and _is_that(known, said):
                what: Contradiction = "done here, forbidden there"
                sentence = f"\u201c{said.name}\u201d is a step here; {known.where} forbids it."
            elif said.kind == "warning" and known.kind == "step" and _is_that(said, known):
                what = "forbidden here, done there"
                sentence = f"\u201c{said.name}\u201d is said here; \u201c{known.name}\u201d is a step of {known.where}."
            else:
                continue
            yield Finding(what=what, relation=near, here=(said,), there=(known,), sentence=sentence)


def _is_that(warning: Side, step: Side) -> bool:
    """Whether the step is what the warning prohibits; not where either holds under a condition only."""
    prohibits = warning.fields.get("prohibits")
    if not prohibits or not step.fields.get("object") or step.fields.get("condition"):
        return False
    conditions = {"before", "until", "unless", "without", "while", "when", "if", "after", "with"}
    if conditions & set(f"{prohibits} {warning.fields.get('text') or ''}".lower().split()):
        return False
    return likeness(prohibits, f"{step.fields['action']} {step.fields['object']}") >= _SAME_THING


def _not_mentioned(near: Relation, here: Sequence[Side], there: Sequence[Side]) -> Iterator[Finding]:
    for known in sorted(there, key=lambda known: known.kind != "warning"):  # what may hurt somebody comes first
        alike = (item_likeness(s.kind, known.fields, s.fields) for s in here if s.kind == known.kind)
        if max(alike, default=0) < _NOT_MENTIONED and not any(agrees(one, known, _SAME_THING) for one in here):
            yield Finding(
                what="not mentioned",
                relation=near,
                here=(),
                there=(known,),
                sentence=f"{known.where} has \u201c{known.name}\u201d; this talk did not mention it.",
            )
