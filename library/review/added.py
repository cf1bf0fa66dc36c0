"""Puts an item that a person adds at its place in a draft."""

from collections.abc import Sequence

from sqlalchemy import select

from vouchbook.library.actor import Work
from vouchbook.library.audit.chain import canonical_sha256
from vouchbook.library.review.cases import Drafted, DraftItem
from vouchbook.library.store.tables import ItemRow
from vouchbook.library.visits.sentences import add_words
from vouchbook.models.decisions import Fields, Text
from vouchbook.models.editions import Bonds, Borrowed, ItemKind, Origin, Quoted
from vouchbook.models.errors import ConflictError, NotFoundError
from vouchbook.models.phases import Phase
from vouchbook.models.record import Record

ADDED, BORROWED, TOOK_OUT = "added by hand", "borrowed", "took out"
"""What the journal calls it."""
_TOPICS = [phase.value for phase in Phase]


class New(Record):
    """An item to add; ``after`` is the key of the item behind which it goes, None where its topic says."""

    kind: ItemKind
    fields: Fields
    bonds: Bonds = Bonds()
    after: str | None = None
    origin: Origin = "other source"
    source_note: Text | None = None
    quotes: tuple[Quoted, ...] = ()
    borrowed: Borrowed | None = None


def add(work: Work, drafted: Drafted, new: New) -> DraftItem:
    """Adds ``new`` to the draft, open, with its entry in the journal and its words in the index.

    Raises:
        NotFoundError: it names an item or step that the draft has not.
        ConflictError: it would stand on the wrong side of a step that it names.
    """
    asked = select(ItemRow).where(ItemRow.draft_id == drafted.row.id).order_by(ItemRow.position, ItemRow.id)
    rows = list(work.session.scalars(asked))
    place = _place(rows, new)
    key = f"i{max((int(row.key[1:]) for row in rows), default=0) + 1}"
    record = {
        "id": key,
        "kind": new.kind,
        **new.fields,
        **new.bonds.model_dump(mode="json"),
        "evidence": [quoted.model_dump(mode="json") for quoted in new.quotes],
    }
    row = ItemRow(
        draft_id=drafted.row.id,
        key=key,
        position=place,
        kind=new.kind,
        phase=new.fields["phase"],
        hazard=new.fields.get("hazard"),
        signal=new.fields.get("signal"),
        origin=new.origin,
        source_note=new.source_note,
        added_by=work.person_id(),
        borrowed=new.borrowed.model_dump(mode="json") if new.borrowed else None,
        record=record,
        start_s=min((quoted.start_s for quoted in new.quotes), default=0.0),
        end_s=max((quoted.end_s for quoted in new.quotes), default=0.0),
    )
    for position, other in enumerate((*rows[:place], row, *rows[place:])):
        other.position = position
    work.session.add(row)
    work.session.flush()
    told = {"draft": row.draft_id, "key": key, "origin": new.origin, "record_sha256": canonical_sha256(record)}
    work.journal(BORROWED if new.borrowed else ADDED, "item", row.id, told)
    add_words(work.session, drafted.row, row, new.fields, is_said_here=new.origin == "by hand")
    return drafted.item(row)


def _place(rows: Sequence[ItemRow], new: New) -> int:
    """The place at which ``new`` is to stand among ``rows``, checked against the steps that it names."""
    place_of = {row.key: place for place, row in enumerate(rows)}
    steps = {row.key for row in rows if row.kind == "step"}
    for key in new.bonds.steps:
        if key not in steps:
            raise NotFoundError(f"step {key[:40]!r}", "this draft has no step of that key", "Look at the draft again")
    if new.after is not None and new.after not in place_of:
        raise NotFoundError(f"item {new.after[:40]!r}", "this draft has none of that key", "Look at the draft again")
    guarded = [place_of[key] for key in new.bonds.guards]
    replaced = [place_of[key] for key in new.bonds.instead_of]
    if new.after is not None:
        place = place_of[new.after] + 1
    elif guarded:
        place = min(guarded)
    else:
        place = max([_place_in_topic(rows, new), *(one + 1 for one in replaced)])
    if any(one < place for one in guarded):
        raise ConflictError("warning", "it would stand behind a step that it guards", "Put it before that step")
    if any(one >= place for one in replaced):
        raise ConflictError("step", "it would stand before a step that it replaces", "Put it behind that step")
    return place


def _place_in_topic(rows: Sequence[ItemRow], new: New) -> int:
    """Behind the last item of its topic, a warning before the first; a topic of its own goes where topics go."""
    topic = str(new.fields["phase"])
    same = [place for place, row in enumerate(rows) if row.phase == topic]
    if same:
        return same[0] if new.kind == "warning" else same[-1] + 1
    earlier = [place for place, row in enumerate(rows) if _TOPICS.index(row.phase) < _TOPICS.index(topic)]
    return earlier[-1] + 1 if earlier else 0
