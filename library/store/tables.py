"""The tables of what the department keeps. Names are those of the trade; times are UTC; JSON stays as it was written.

What the search index keeps beside the sentences is not here: nothing but search reads or writes it.
"""

from datetime import date, datetime
from typing import Any

from sqlalchemy import ForeignKey, Index, UniqueConstraint, text
from sqlalchemy.orm import Mapped, mapped_column

from vouchbook.library.store.base import COUNTED, Table, numbered, of
from vouchbook.library.store.columns import Json, Key
from vouchbook.library.store.people_tables import PersonRow


class SubjectRow(Table):
    """A kind of machine."""

    __tablename__ = "subject"

    id: Mapped[int] = numbered()
    kind: Mapped[str]
    maker: Mapped[str]
    model: Mapped[str]
    years_from: Mapped[int | None]
    years_to: Mapped[int | None]
    energy: Mapped[str | None]

    __table_args__ = (
        # Two unknowns are the same here, which a plain unique constraint would not say.
        Index(
            "uq_subject", "kind", "maker", "model", text("coalesce(years_from, 0)"), text("coalesce(years_to, 0)"),
            text("coalesce(energy, '')"), unique=True,
        ),
        COUNTED,
    )  # fmt: skip


class VisitRow(Table):
    """One walk-through."""

    __tablename__ = "visit"
    __table_args__ = COUNTED

    id: Mapped[int] = numbered()
    key: Mapped[str] = mapped_column(unique=True)
    subject_id: Mapped[int] = of(SubjectRow.id, index=True)
    place: Mapped[str]
    held_on: Mapped[date]
    recorded_by: Mapped[int | None] = of(PersonRow.id)
    created_by: Mapped[int | None] = of(PersonRow.id)
    created_at: Mapped[datetime]
    note: Mapped[str] = mapped_column(default="")
    hold_count: Mapped[int] = mapped_column(default=0)


class ParticipantRow(Table):
    """Somebody who is heard or seen in a visit."""

    __tablename__ = "participant"
    __table_args__ = COUNTED

    id: Mapped[int] = numbered()
    visit_id: Mapped[int] = of(VisitRow.id, index=True)
    name: Mapped[str]
    part: Mapped[str]
    voice: Mapped[str | None]


class ConsentRow(Table):
    """What a participant agreed to or no longer agrees to. Rows are only added; the last one counts."""

    __tablename__ = "consent"
    __table_args__ = COUNTED

    id: Mapped[int] = numbered()
    participant_id: Mapped[int] = of(ParticipantRow.id, index=True)
    given: Mapped[bool]
    covers: Mapped[list[str]]
    at: Mapped[datetime]
    recorded_by: Mapped[int] = of(PersonRow.id)
    note: Mapped[str] = mapped_column(default="")


class MediumRow(Table):
    """A file of the media folder, known by its SHA-256. What was removed keeps its row; what is hidden, its file too.

    The reasons are those of :mod:`vouchbook.library.keeping.removal`: they name nobody.
    """

    __tablename__ = "medium"

    sha256: Mapped[str] = mapped_column(primary_key=True)
    size_bytes: Mapped[int] = mapped_column(Key)
    media_type: Mapped[str]
    added_at: Mapped[datetime]
    removed_at: Mapped[datetime | None]
    removed_reason: Mapped[str | None]
    hidden_at: Mapped[datetime | None]
    hidden_reason: Mapped[str | None]


class VisitMediumRow(Table):
    """What a file is to a visit."""

    __tablename__ = "visit_medium"
    __table_args__ = (UniqueConstraint("visit_id", "sha256", "role"), COUNTED)

    id: Mapped[int] = numbered()
    visit_id: Mapped[int] = of(VisitRow.id)
    sha256: Mapped[str] = mapped_column(ForeignKey(MediumRow.sha256), index=True)
    role: Mapped[str]
    name: Mapped[str]
    position: Mapped[int]


class DraftRow(Table):
    """A draft as it was stored; ``document_sha256`` is the hash of its canonical JSON."""

    __tablename__ = "draft"
    __table_args__ = (UniqueConstraint("visit_id", "number"), UniqueConstraint("document_sha256"), COUNTED)

    id: Mapped[int] = numbered()
    visit_id: Mapped[int] = of(VisitRow.id)
    number: Mapped[int]
    document: Mapped[dict[str, Any]] = mapped_column(deferred=True)
    document_sha256: Mapped[str]
    drafted_by: Mapped[int | None] = of(PersonRow.id)
    added_at: Mapped[datetime]
    state: Mapped[str] = mapped_column(default="open")


class ItemRow(Table):
    """One thing to decide on. ``version`` goes up with each change."""

    __tablename__ = "item"
    __table_args__ = (UniqueConstraint("draft_id", "key"), COUNTED)

    id: Mapped[int] = numbered()
    draft_id: Mapped[int] = of(DraftRow.id)
    key: Mapped[str]
    position: Mapped[int]
    kind: Mapped[str]
    phase: Mapped[str]
    hazard: Mapped[str | None]
    signal: Mapped[str | None]
    is_doubtful: Mapped[bool] = mapped_column(default=False)
    origin: Mapped[str] = mapped_column(default="recording")
    source_note: Mapped[str | None]
    added_by: Mapped[int | None] = of(PersonRow.id)
    borrowed: Mapped[dict[str, Any] | None] = mapped_column(Json)
    record: Mapped[dict[str, Any]]
    start_s: Mapped[float]
    end_s: Mapped[float]
    version: Mapped[int] = mapped_column(default=1)
    state: Mapped[str] = mapped_column(default="open")


class QuestionRow(Table):
    """One thing that the talk left open. ``version`` goes up with each change."""

    __tablename__ = "question"
    __table_args__ = (UniqueConstraint("draft_id", "key"), COUNTED)

    id: Mapped[int] = numbered()
    draft_id: Mapped[int] = of(DraftRow.id)
    key: Mapped[str]
    position: Mapped[int]
    kind: Mapped[str]
    phase: Mapped[str | None]
    carried_from: Mapped[int | None] = of("edition.id")
    record: Mapped[dict[str, Any]]
    start_s: Mapped[float]
    end_s: Mapped[float]
    version: Mapped[int] = mapped_column(default=1)
    state: Mapped[str] = mapped_column(default="open")


class DecisionRow(Table):
    """A person's verdict on an item."""

    __tablename__ = "decision"
    __table_args__ = COUNTED

    id: Mapped[int] = numbered()
    item_id: Mapped[int] = of(ItemRow.id, index=True)
    person_id: Mapped[int] = of(PersonRow.id, index=True)
    at: Mapped[datetime]
    verdict: Mapped[str]
    reason: Mapped[str | None]
    note: Mapped[str | None]
    words: Mapped[dict[str, Any] | None] = mapped_column(Json)
    is_second: Mapped[bool] = mapped_column(default=False)
    undone_at: Mapped[datetime | None]
    undone_by: Mapped[int | None] = of(PersonRow.id)


class SettlementRow(Table):
    """What became of an open question."""

    __tablename__ = "settlement"
    __table_args__ = COUNTED

    id: Mapped[int] = numbered()
    question_id: Mapped[int] = of(QuestionRow.id, index=True)
    person_id: Mapped[int] = of(PersonRow.id, index=True)
    at: Mapped[datetime]
    outcome: Mapped[str]
    answer: Mapped[str | None]
    still_sha256: Mapped[str | None] = mapped_column(ForeignKey(MediumRow.sha256))
    spot: Mapped[dict[str, Any] | None] = mapped_column(Json)
    undone_at: Mapped[datetime | None]
    undone_by: Mapped[int | None] = of(PersonRow.id)


class PlayRow(Table):
    """A range that a person listened to, in the recording's own seconds."""

    __tablename__ = "play"
    __table_args__ = (Index("ix_play_visit_person", "visit_id", "person_id"), COUNTED)
    is_journalled = False  # hundreds an hour; a decision that needed them says so

    id: Mapped[int] = numbered()
    visit_id: Mapped[int] = of(VisitRow.id)
    sha256: Mapped[str] = mapped_column(ForeignKey(MediumRow.sha256))
    person_id: Mapped[int] = of(PersonRow.id)
    start_s: Mapped[float]
    end_s: Mapped[float]
    at: Mapped[datetime]


class EditionRow(Table):
    """What was published. What it says never changes: the database refuses it."""

    __tablename__ = "edition"
    __table_args__ = (UniqueConstraint("subject_id", "number"), COUNTED)

    id: Mapped[int] = numbered()
    subject_id: Mapped[int] = of(SubjectRow.id)
    visit_id: Mapped[int] = of(VisitRow.id, index=True)
    draft_id: Mapped[int] = of(DraftRow.id, index=True)
    number: Mapped[int]
    content: Mapped[dict[str, Any]] = mapped_column(deferred=True)
    content_sha256: Mapped[str]
    published_at: Mapped[datetime]
    published_by: Mapped[int] = of(PersonRow.id)
    is_one_person: Mapped[bool] = mapped_column(default=False)
    reverify_on: Mapped[date] = mapped_column(index=True)
    replaces_id: Mapped[int | None] = of("edition.id")
    withdrawn_at: Mapped[datetime | None]
    withdrawn_by: Mapped[int | None] = of(PersonRow.id)
    withdrawn_reason: Mapped[str | None]


class VerificationRow(Table):
    """That an edition was looked at again and found still right, and until when that holds."""

    __tablename__ = "verification"
    __table_args__ = COUNTED

    id: Mapped[int] = numbered()
    edition_id: Mapped[int] = of(EditionRow.id, index=True)
    person_id: Mapped[int] = of(PersonRow.id)
    at: Mapped[datetime]
    how: Mapped[str]
    reverify_on: Mapped[date]
    is_one_person: Mapped[bool] = mapped_column(default=False)
    undone_at: Mapped[datetime | None]
    undone_by: Mapped[int | None] = of(PersonRow.id)
    undone_reason: Mapped[str | None]


class JournalRow(Table):
    """One change. Rows are only added, each bound to the one before: the database refuses all else."""

    __tablename__ = "journal"
    __table_args__ = (Index("ix_journal_what", "what", "what_id"),)

    seq: Mapped[int] = mapped_column(Key, primary_key=True, autoincrement=False)
    at: Mapped[datetime]
    person_id: Mapped[int | None] = of(PersonRow.id)
    act: Mapped[str]
    what: Mapped[str]
    what_id: Mapped[str]
    body: Mapped[dict[str, Any]]
    before_hash: Mapped[str]
    own_hash: Mapped[str]


class SentenceRow(Table):
    """A line of talk, or the words of an item. Seconds are those of the medium, where there is one."""

    __tablename__ = "sentence"
    is_journalled = False  # follows from the draft and the decisions

    id: Mapped[int] = numbered()
    visit_id: Mapped[int] = of(VisitRow.id, index=True)
    draft_id: Mapped[int] = of(DraftRow.id, index=True)
    sha256: Mapped[str | None] = mapped_column(ForeignKey(MediumRow.sha256))
    item_id: Mapped[int | None] = of(ItemRow.id, index=True)
    start_s: Mapped[float]
    end_s: Mapped[float]
    voice: Mapped[str | None]
    words: Mapped[str]


class HoldRow(Table):
    """A legal hold: nothing of the visit may go while it stands."""

    __tablename__ = "hold"
    __table_args__ = COUNTED

    id: Mapped[int] = numbered()
    visit_id: Mapped[int] = of(VisitRow.id, index=True)
    reason: Mapped[str]
    placed_by: Mapped[int] = of(PersonRow.id)
    placed_at: Mapped[datetime]
    lifted_by: Mapped[int | None] = of(PersonRow.id)
    lifted_at: Mapped[datetime | None]
