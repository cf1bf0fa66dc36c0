"""The sentences of a draft in the database, and in the index of search."""

from collections.abc import Iterable

from sqlalchemy import ColumnElement, delete, select
from sqlalchemy.orm import Session

from vouchbook.library.search.sentences import index_item, index_sentences, remove_sentences
from vouchbook.library.store.tables import DraftRow, ItemRow, SentenceRow, VisitMediumRow
from vouchbook.library.visits.said import Said, lines_of, place, words_of
from vouchbook.models.decisions import Fields
from vouchbook.models.draft import Draft
from vouchbook.models.editions import fields_of
from vouchbook.models.transcript import Source, Transcript


def add_sentences(session: Session, row: DraftRow, draft: Draft, items: Iterable[ItemRow], *, with_lines: bool) -> None:
    """Adds the words of ``items`` and, ``with_lines``, every line of talk; all can be found at once."""
    lines = lines_of(draft.transcript) if with_lines else ()
    by_key = {item.id: item for item in draft.items}
    said: list[tuple[int | None, Said]] = [(None, line) for line in lines]
    for item in items:
        read = by_key[item.key]
        words = words_of(fields_of(read))
        said.append((item.id, Said(start_s=read.start, end_s=read.end, voice=read.evidence[0].voice, words=words)))
    recordings = _recordings(session, row.visit_id)
    rows = []
    for item_id, one in said:
        where = place(draft.transcript.sources, recordings, one.start_s, one.end_s)
        fields = {"visit_id": row.visit_id, "draft_id": row.id, "item_id": item_id, "voice": one.voice}
        rows.append(SentenceRow(**fields, **where.model_dump(), words=one.words))
    session.add_all(rows)
    session.flush()
    index_sentences(session.connection(), [sentence.id for sentence in rows])


def add_words(session: Session, row: DraftRow, item: ItemRow, fields: Fields, *, is_said_here: bool) -> None:
    """Adds the words of an item that a person added; only what was said on this visit is to be heard there."""
    sources = session.scalar(select(DraftRow.document["transcript"]["sources"]).where(DraftRow.id == row.id))
    where = place(
        [Source.model_validate(source) for source in sources or ()] if is_said_here else (),
        _recordings(session, row.visit_id),
        item.start_s,
        item.end_s,
    )
    voice = item.record["evidence"][0]["voice"] if is_said_here else None
    sentence = SentenceRow(
        visit_id=row.visit_id,
        draft_id=row.id,
        item_id=item.id,
        voice=voice,
        **where.model_dump(),
        words=words_of(fields),
    )
    session.add(sentence)
    session.flush()
    index_sentences(session.connection(), [sentence.id])


def word_anew(session: Session, item_id: int, fields: Fields) -> None:
    """Says what the words of an item are now, and indexes them: it was decided, or its decision taken back."""
    for sentence in session.scalars(select(SentenceRow).where(SentenceRow.item_id == item_id)):
        sentence.words = words_of(fields)
    session.flush()
    index_item(session.connection(), item_id)


def remove_items_of(session: Session, draft_id: int) -> None:
    """Takes the words of a draft's items out; what was said stays."""
    _remove(session, SentenceRow.draft_id == draft_id, SentenceRow.item_id.is_not(None))


def remove_item(session: Session, item_id: int) -> None:
    """Takes the words of one item out."""
    _remove(session, SentenceRow.item_id == item_id)


def place_anew(session: Session, row: DraftRow) -> None:
    """Says anew in which recording each sentence of a draft is to be heard: a recording has come."""
    transcript = Transcript.model_validate(row.document["transcript"])
    recordings = _recordings(session, row.visit_id)
    of_draft = select(SentenceRow).where(SentenceRow.draft_id == row.id).order_by(SentenceRow.id)
    lines = [sentence for sentence in session.scalars(of_draft) if sentence.item_id is None]
    for sentence, line in zip(lines, transcript.lines, strict=False):  # a draft of the same talk added no lines
        _put(sentence, transcript.sources, recordings, line.start_s, line.end_s)
    said_here = ItemRow.origin != "other source"
    joined = select(SentenceRow, ItemRow.start_s, ItemRow.end_s).join(ItemRow)
    joined = joined.where(SentenceRow.draft_id == row.id, said_here)
    for sentence, start_s, end_s in session.execute(joined):
        _put(sentence, transcript.sources, recordings, start_s, end_s)
    session.flush()


def _remove(session: Session, *which: ColumnElement[bool]) -> None:
    ids = list(session.scalars(select(SentenceRow.id).where(*which)))
    remove_sentences(session.connection(), ids)
    session.execute(delete(SentenceRow).where(*which))


def _put(
    sentence: SentenceRow, sources: tuple[Source, ...], recordings: list[str], start_s: float, end_s: float
) -> None:
    where = place(sources, recordings, start_s, end_s)
    sentence.sha256, sentence.start_s, sentence.end_s = where.sha256, where.start_s, where.end_s


def _recordings(session: Session, visit_id: int) -> list[str]:
    asked = select(VisitMediumRow.sha256).where(VisitMediumRow.visit_id == visit_id, VisitMediumRow.role == "recording")
    return list(session.scalars(asked.order_by(VisitMediumRow.position)))
