"""What of a visit can be played, and what of that somebody has heard."""

from sqlalchemy import select
from sqlalchemy.orm import Session

from vouchbook.library.review.hearing import Range, heard_by
from vouchbook.library.store.tables import DraftRow, MediumRow, PlayRow, VisitMediumRow
from vouchbook.library.visits.said import place
from vouchbook.models.decisions import Play
from vouchbook.models.record import Record
from vouchbook.models.transcript import Source


class Sound(Record):
    """The sources of a talk, the recordings of its visit in their order, and which of those are still there."""

    visit_id: int = 0
    sources: tuple[Source, ...] = ()
    recordings: tuple[str, ...] = ()
    kept: frozenset[str] = frozenset()

    def has(self, seconds: Range) -> bool:
        """Whether these seconds of the visit's clock can be played."""
        return place(self.sources, self.recordings, *seconds).sha256 in self.kept

    def heard_by(self, session: Session, person: int) -> tuple[Range, ...]:
        """The seconds of the visit's clock that ``person`` listened to."""
        asked = select(PlayRow).where(PlayRow.visit_id == self.visit_id, PlayRow.person_id == person)
        plays = [
            Play(sha256=row.sha256, by=row.person_id, start_s=row.start_s, end_s=row.end_s, at=row.at)
            for row in session.scalars(asked)
        ]
        return heard_by(person, plays, self._played())

    def _played(self) -> tuple[Source, ...]:
        """Each source as the recording in which it is heard: captions go with the recording of the same place."""
        by_place = self.recordings if len(self.recordings) == len(self.sources) else ()
        return tuple(
            source.model_copy(update={"kind": "recording", "sha256": by_place[number]})
            if source.kind == "captions" and by_place
            else source
            for number, source in enumerate(self.sources)
        )


def sound_of(session: Session, draft_id: int) -> Sound:
    """What of the talk of a draft can be played."""
    asked = select(DraftRow.visit_id, DraftRow.document["transcript"]["sources"]).where(DraftRow.id == draft_id)
    visit_id, sources = session.execute(asked).one()
    media = (
        select(VisitMediumRow.sha256, MediumRow.removed_at)
        .join(MediumRow, MediumRow.sha256 == VisitMediumRow.sha256)
        .where(VisitMediumRow.visit_id == visit_id, VisitMediumRow.role == "recording")
        .order_by(VisitMediumRow.position)
    )
    rows = session.execute(media).all()
    return Sound(
        visit_id=visit_id,
        sources=tuple(Source.model_validate(source) for source in sources or ()),
        recordings=tuple(row.sha256 for row in rows),
        kept=frozenset(row.sha256 for row in rows if row.removed_at is None),
    )
