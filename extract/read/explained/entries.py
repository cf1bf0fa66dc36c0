"""The entry of a draft that is asked about, and the one that today's reading makes of the same words."""

from collections.abc import Iterable, Sequence
from typing import TypeVar

from vouchbook.models.draft import Draft
from vouchbook.models.errors import DocumentError
from vouchbook.models.evidence import Evidence
from vouchbook.models.items import Item
from vouchbook.models.questions import OpenQuestion

_Entry = TypeVar("_Entry", Item, OpenQuestion)
_NOT_COMPARED = frozenset(
    {"id", "start", "end", "quote", "evidence", "ranges", "size_said", "count_said", "guards", "instead_of"}
)
"""Follow from the evidence, are told by another field, name others by ids, or say nothing of the entry itself."""


def entry_of(draft: Draft, entry_id: str, name: str) -> Item | OpenQuestion:
    """The item or question of ``draft`` with that id; ``name`` is how errors name the file.

    Raises:
        DocumentError: it has none; names those there are.
    """
    for entry in (*draft.items, *draft.open_questions):
        if entry.id == entry_id:
            return entry
    ids = [
        _from_to(kind, [e.id for e in of]) for kind, of in (("item", draft.items), ("question", draft.open_questions))
    ]
    raise DocumentError(
        name, f"no {entry_id} in this draft", f"Give {' or '.join(filter(None, ids)) or 'another draft'}"
    )


def _from_to(what: str, ids: Sequence[str]) -> str:
    if len(ids) < 2:
        return f"the {what} {ids[0]}" if ids else ""
    return f"one of the {what}s {ids[0]} to {ids[-1]}"


def item_today(stored: Item, today: Draft) -> Item | None:
    """The item that ``today`` makes of the words of ``stored``, or None."""
    alike = [item for item in today.items if item.kind == stored.kind]
    return _nearest(stored, alike)


def question_today(stored: OpenQuestion, today: Draft) -> OpenQuestion | None:
    """The question that ``today`` raises about the same, or None."""
    alike = [q for q in today.open_questions if q.kind == stored.kind]
    if not stored.evidence:  # it stands at no words: the same topic, or the same stretch
        return next((q for q in alike if (q.phase, q.start, q.end) == (stored.phase, stored.start, stored.end)), None)
    return _nearest(stored, alike)


def differences(stored: Item | OpenQuestion, today: Item | OpenQuestion | None) -> tuple[str, ...]:
    """How ``today`` differs from ``stored``, each difference in a few words; none where they are the same."""
    if today is None:
        return ("nothing of this kind is found in these words now",)
    old, new = (entry.model_dump(mode="json") for entry in (stored, today))
    told = []
    for field in (each for each in old if _differ(each, old, new)):
        was, now = ("were", "are") if isinstance(new[field], list) else ("was", "is")
        told.append(f"{field} {was} {_shown(old[field])}, {now} {_shown(new[field])}")
    if stored.evidence != today.evidence:
        told.append("it rests on other words")
    return tuple(told)


def ties_differ(draft: Draft, stored: Item, today: Draft, now: Item) -> tuple[str, ...]:
    """How the steps that two readings of an item tie it to differ, by the words of those steps."""
    told = []
    for field, words in (("guards", "the steps that it guards"), ("instead_of", "the steps that it replaces")):
        old, new = (_quotes_of(of, getattr(item, field, ())) for of, item in ((draft, stored), (today, now)))
        if old != new:
            told.append(f"{words} were {'; '.join(old) or 'none'}, are {'; '.join(new) or 'none'}")
    return tuple(told)


def _quotes_of(draft: Draft, ids: Sequence[str]) -> list[str]:
    return [item.quote for item in draft.items if item.id in ids]


def _differ(field: str, old: dict[str, object], new: dict[str, object]) -> bool:
    return field not in _NOT_COMPARED and old[field] != new[field]


def _shown(value: object) -> str:
    if isinstance(value, list):
        return "; ".join(str(each) for each in value)
    return "nothing" if value is None else str(value)


def _nearest(stored: _Entry, alike: Iterable[_Entry]) -> _Entry | None:
    """The one with words in common that has most in common with ``stored``; of equal ones the one with its id."""
    near = [entry for entry in alike if _shared(stored.evidence[0], entry.evidence[0])]
    return max(near, key=lambda entry: (_alike(stored, entry), entry.id == stored.id), default=None)


def _alike(one: Item | OpenQuestion, other: Item | OpenQuestion) -> tuple[int, float]:
    """In how many fields two entries agree, then how large a part of their words they share."""
    old, new = one.model_dump(), other.model_dump()
    fields = sum(old[field] == new[field] for field in old if field != "id")
    first, second = one.evidence[0], other.evidence[0]
    return fields, _shared(first, second) / max(_length(first), _length(second))


def _shared(one: Evidence, other: Evidence) -> int:
    return max(0, min(one.last_word, other.last_word) - max(one.first_word, other.first_word) + 1)


def _length(evidence: Evidence) -> int:
    return evidence.last_word - evidence.first_word + 1
