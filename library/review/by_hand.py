"""Items that the reading did not make: on words that a person marks, from a source, or of another edition."""

from typing import Self

from pydantic import Field, model_validator
from sqlalchemy import delete

from vouchbook.library.actor import Work
from vouchbook.library.audit.chain import canonical_sha256
from vouchbook.library.editions.matching import Line, pairs
from vouchbook.library.editions.shelf import edition_of, shelved
from vouchbook.library.known.relation import relation
from vouchbook.library.review.added import TOOK_OUT, New, add
from vouchbook.library.review.cases import Drafted, DraftItem, draft_items
from vouchbook.library.review.decide import open_draft
from vouchbook.library.search.sizes import spots
from vouchbook.library.store.tables import DecisionRow, ItemRow, SubjectRow
from vouchbook.library.visits.drafts import draft_of
from vouchbook.library.visits.sentences import remove_item
from vouchbook.library.visits.visits import subject_of
from vouchbook.models.decisions import Fields, Text
from vouchbook.models.editions import FIELDS, Bonds, Borrowed, Edition, ItemKind, VouchedItem, problems_of, quotes_of
from vouchbook.models.errors import ConflictError, NotAllowedError, NotFoundError
from vouchbook.models.evidence import quote
from vouchbook.models.record import Record


class HandItem(Record):
    """An item that a person adds.

    Either ``first_word`` to ``last_word`` of the transcript, both included, say it; or it is not from the recording,
    and ``source_note`` names the page of the maker's guide or the standard. ``after`` is the key of the item behind
    which it goes; without, it goes to its topic, a warning before what it guards.
    """

    kind: ItemKind
    fields: Fields
    first_word: int | None = Field(default=None, ge=0)
    last_word: int | None = Field(default=None, ge=0)
    source_note: Text | None = None
    bonds: Bonds = Bonds()
    after: str | None = None

    @model_validator(mode="after")
    def _rests_on_something(self) -> Self:
        if (self.first_word is None) != (self.last_word is None):
            raise ValueError("marked words have a first and a last")
        if (self.first_word is None) == (self.source_note is None):
            raise ValueError("an item rests on marked words, or names a source that is not the recording")
        problems = (*problems_of(self.kind, self.fields), *self.bonds.problems(self.kind))
        if problems:
            raise ValueError("; ".join(problems))
        return self


def add_by_hand(work: Work, draft_id: int, item: HandItem) -> DraftItem:
    """Adds an item that two people then decide on, as on any other.

    Raises:
        NotAllowedError: not by a reviewer or officer, or a value that nobody says in the marked words.
        NotFoundError: no such draft, no such words in it, or a step that it has not.
        ConflictError: the draft is not open, or the item would stand on the wrong side of a step.
    """
    work.needs("reviewer", "officer")
    drafted = open_draft(work, draft_id)
    fields = {name: item.fields.get(name) for name in FIELDS[item.kind]}
    new = New(kind=item.kind, fields=fields, bonds=item.bonds, after=item.after, source_note=item.source_note)
    if item.first_word is not None and item.last_word is not None:
        talk = draft_of(work.session, draft_id).transcript
        if not item.first_word <= item.last_word < len(talk.words):
            raise NotFoundError(
                "marked words", f"the talk has words 0 to {len(talk.words) - 1}", "Mark words of this talk"
            )
        said = quote(talk, item.first_word, item.last_word)
        _check_values(fields, said.quote)
        new = new.model_copy(update={"origin": "by hand", "quotes": quotes_of((said,))})
    return add(work, drafted, new)


def borrow(
    work: Work, draft_id: int, edition_id: int, key: str, bonds: Bonds | None = None, after: str | None = None
) -> DraftItem:
    """Puts an item of another edition on the table, with that visit's words; two people then decide on it.

    Without ``bonds``, a warning guards the steps of this draft that are the same as those that it guards there.

    Raises:
        NotAllowedError: not by a reviewer or officer; the subjects are not related; nobody said it on that visit.
        NotFoundError: no such draft, edition or item.
        ConflictError: the draft is not open, or the edition was withdrawn.
    """
    work.needs("reviewer", "officer")
    drafted = open_draft(work, draft_id)
    there = edition_of(work.session, edition_id)
    item = next((one for one in there.items if one.key == key), None)
    if item is None:
        raise NotFoundError(f"item {key[:40]!r}", f"edition {edition_id} has none of that key", "Look at the edition")
    if shelved(work.session, edition_id).state == "withdrawn":
        raise ConflictError(f"edition {edition_id}", "it was withdrawn", "Borrow from one that is in force")
    here = subject_of(work.session.get_one(SubjectRow, drafted.visit.subject_id))
    if relation(here, there.subject) is None:
        raise NotAllowedError(f"item {key}", "it is about another kind of machine", "Add it by hand, with a source")
    if not item.quotes:
        raise NotAllowedError(f"item {key}", "nobody said it on that visit", "Add it by hand, with the same source")
    source = item.borrowed or Borrowed(subject=there.subject, edition=there.number, visit=there.visit.key, item=key)
    new = New(
        kind=item.kind,
        fields=item.as_vouched,
        bonds=_bonds_here(work, drafted, there, item) if bonds is None else bonds,
        after=after,
        quotes=item.quotes,
        borrowed=source,
    )
    return add(work, drafted, new)


def take_out(work: Work, item_id: int, seen: int) -> str:
    """Takes an item from the table that a person added, while nobody's decision on it stands; gives its key.

    It is gone then, with decisions that were taken back before: the journal tells of all of them. What somebody decided
    on stays, and is rejected where it is wrong.

    Raises:
        NotAllowedError: it was read in the talk, or somebody else added it and this is no administrator.
        NotFoundError: no such item.
        ConflictError: it changed since it was seen, somebody decided on it, another item names it, or its draft is not
            open.
    """
    row = work.get(ItemRow, item_id, "item")
    drafted = open_draft(work, row.draft_id)
    work.change(row, seen)
    if row.added_by is None:
        raise NotAllowedError(f"item {row.key}", "it was read in the talk", "Reject it instead")
    if row.added_by != work.person_id() and "administrator" not in work.actor.roles:
        raise NotAllowedError(f"item {row.key}", "somebody else added it", "Ask them, or an administrator")
    if any(decision.undone_at is None for decision in drafted.item(row).decisions):
        raise ConflictError(f"item {row.key}", "somebody has decided on it", "Reject it instead")
    naming = [item.case.key for item in drafted.items() if row.key in item.bonds.steps]
    if naming:
        raise ConflictError(f"item {row.key}", f"{naming[0]} names it", "Take that one out first, or reject it")
    told = {"draft": row.draft_id, "key": row.key, "record_sha256": canonical_sha256(row.record)}
    remove_item(work.session, item_id)
    work.session.execute(delete(DecisionRow).where(DecisionRow.item_id == item_id))
    work.session.delete(row)
    work.journal(TOOK_OUT, "item", item_id, told)
    return row.key


def _check_values(fields: Fields, said: str) -> None:
    """A size or count is one that is said in the marked words.

    Raises:
        NotAllowedError: nobody says it there.
    """
    found = spots(said)
    size, count = fields.get("size"), fields.get("count")
    if size is not None and size not in {spot.normal for spot in found}:
        raise NotAllowedError("size", f"nobody says {size} in the marked words", "Mark them, or name a source")
    if count is not None and float(count) not in {spot.quantity.value for spot in found}:
        raise NotAllowedError("count", f"nobody says {count} in the marked words", "Mark them, or name a source")


def _bonds_here(work: Work, drafted: Drafted, there: Edition, item: VouchedItem) -> Bonds:
    steps_there = [one for one in there.items if one.kind == "step"]
    steps_here = [one for one in draft_items(work.session, drafted.row.id) if one.case.kind == "step"]
    same = pairs(
        [Line("step", one.as_vouched) for one in steps_there], [Line("step", one.case.as_read) for one in steps_here]
    )
    guards = tuple(steps_here[n].case.key for o, n in same if steps_there[o].key in item.bonds.guards)
    return Bonds(guards=guards, signal_reason=item.bonds.signal_reason)
