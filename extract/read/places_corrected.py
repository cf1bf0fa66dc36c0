"""Places that the speaker takes back in the same breath: "on the left, no, sorry, on the right-hand side"."""

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from vouchbook.extract.read.found import Found
from vouchbook.extract.read.phrases import first_place, is_place_start, text_of
from vouchbook.extract.read.places import has_verb
from vouchbook.extract.read.sentences import Clause
from vouchbook.extract.read.talk import Sentence, Talk

_TAKES_BACK = frozenset("no nope nah sorry wait rather mean lie mistake pardon correction scratch".split())
_FILLS = _TAKES_BACK | frozenset(
    "i it 's its is that tell a what hang hold on my er um erm oh not well actually".split()
)
_TELLS_PLACE = frozenset({"place", "object", "text", "part"})
"""Fields whose words may hold a place."""
_LONGEST_TURN = 6
"""Tokens between the wrong place and the right one."""


@dataclass(frozen=True, slots=True)
class _Correction:
    """Tokens ``start`` to ``end`` (exclusive) tell the wrong place, ``right`` to ``right_end`` the one that stands."""

    start: int
    end: int
    right: int
    right_end: int


def with_places_corrected(talk: Talk, found: Iterable[Found]) -> list[Found]:
    """``found``: no place that was taken back is told, whoever marked it; the place that stands is."""
    corrections = [c for sentence in talk.sentences for c in _corrections(talk, sentence)]
    items: list[Found] = []
    for item in found:
        own = [c for c in corrections if item.start <= c.start < item.end]
        kept = item
        for correction in own:
            kept = _corrected(talk, kept, correction)
        if not any(_is_same_place(talk, kept, kept_before) for kept_before in items):
            items.append(kept)
    return items


def _is_same_place(talk: Talk, one: Found, other: Found) -> bool:
    """Whether the correction made two locations of a thing one."""
    near = talk.doc[one.start].sent.start == talk.doc[other.start].sent.start
    return one.kind == "location" and near and one.fields == other.fields


def _corrections(talk: Talk, sentence: Sentence) -> Iterator[_Correction]:
    doc = talk.doc
    for n, clause in enumerate(sentence.clauses[:-1]):
        right = _place_that_stands(talk, clause, sentence.clauses[n + 1 :])
        if right is None:
            continue
        wrong = first_place(doc, clause.body, clause.end)
        if wrong is not None:
            yield _Correction(wrong, clause.end, *right)


def _place_that_stands(talk: Talk, clause: Clause, following: tuple[Clause, ...]) -> tuple[int, int] | None:
    """The tokens of a place behind ``clause`` that nothing but the words of taking back part from it."""
    doc, at = talk.doc, clause.end
    last = following[-1].end
    taken_back = False
    while at < min(last, clause.end + _LONGEST_TURN) and (doc[at].is_punct or doc[at].lower_ in _FILLS):
        if is_place_start(doc, at, last):
            break
        taken_back = taken_back or doc[at].lower_ in _TAKES_BACK
        at += 1
    own = talk.clause_at(at) if at < last else None
    if not taken_back or own is None or not is_place_start(doc, at, own.end) or has_verb(talk, at, own.end):
        return None
    return at, own.end


def _corrected(talk: Talk, item: Found, correction: _Correction) -> Found:
    wrong = text_of(talk.doc, correction.start, correction.end)
    right = text_of(talk.doc, correction.right, correction.right_end)
    told = re.compile(
        rf"{re.escape(wrong)}(?:[ ,]+(?:{'|'.join(sorted(_FILLS))})\b)*(?:[ ,]*{re.escape(right)})?", re.IGNORECASE
    )
    fields = {
        name: told.sub(right, value) if isinstance(value, str) and name in _TELLS_PLACE else value
        for name, value in item.fields.items()
    }
    if fields == item.fields:
        return item
    reasons = (*item.reasons, f"“{wrong}” is taken back")
    return item.with_(fields=fields, end=max(item.end, correction.right_end), reasons=reasons)
