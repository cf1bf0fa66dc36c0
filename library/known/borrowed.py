"""Candidates for "same as the last one": what editions of near subjects say about the thing that was left out."""

from collections.abc import Iterable

from rapidfuzz import fuzz

from vouchbook.library.editions.matching import content_words
from vouchbook.library.known.relation import RELATIONS, Relation, relation
from vouchbook.library.known.sides import Side, known_sides
from vouchbook.models.editions import AskedQuestion, Borrowed, Edition
from vouchbook.models.record import Record
from vouchbook.models.subjects import Subject

_REFERS = frozenset(
    "same as like last one ones other before previous earlier film filmed video recording recorded visit visited did "
    "do done showed shown that's we we've i you what was were told covered went through over all exactly just way "
    "thing deal story procedure drill with for and so then".split()
)
"""Words that only point to another talk; what is left names the thing."""
_NAMED = 85
"""Percent of likeness from which a word of the question stands in an item."""


class Candidate(Record):
    """An item of an edition that may be what was meant. It enters only by decision, as ``borrowed``."""

    side: Side
    relation: Relation
    shared: tuple[str, ...]
    """The words of the question that it says; empty where the question names nothing."""
    borrowed: Borrowed


def named_in(question: AskedQuestion) -> tuple[str, ...]:
    """The words of the question that name a thing, in order: "rear latch" of "the rear latch, same as the last"."""
    said = " ".join(quoted.quote for quoted in question.quotes) or question.about
    words = [word for word in content_words(said).split() if word not in _REFERS and len(word) > 2]
    return tuple(dict.fromkeys(words))


def candidates(question: AskedQuestion, subject: Subject, editions: Iterable[Edition]) -> tuple[Candidate, ...]:
    """What ``editions`` of related subjects say about what ``question`` left to another talk, the likest first.

    All items that say a word by which the question names its thing; where it names nothing, all items of its phase, and
    none if it has no phase: guessing is the reader's.
    """
    words = named_in(question)
    found: list[tuple[tuple[int, int, int, int], Candidate]] = []
    for edition in editions:
        near = relation(subject, edition.subject)
        if near is None:
            continue
        for side in known_sides(edition):
            text = content_words(
                " ".join(str(value) for name, value in side.fields.items() if value and name != "phase")
            )
            shared = tuple(word for word in words if _says(text, word))
            if not shared and (words or question.phase is None or side.fields["phase"] != question.phase.value):
                continue
            borrowed = Borrowed(
                subject=edition.subject, edition=edition.number, visit=edition.visit.key, item=side.item
            )
            rank = (-len(shared), RELATIONS.index(near), -edition.number, side.position)
            found.append((rank, Candidate(side=side, relation=near, shared=shared, borrowed=borrowed)))
    return tuple(candidate for _, candidate in sorted(found, key=lambda pair: pair[0]))


def _says(text: str, word: str) -> bool:
    return any(other in (f"{word}s", f"{word}es") or fuzz.ratio(word, other) >= _NAMED for other in text.split())
