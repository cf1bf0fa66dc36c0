"""The vectors of sentences in the database: learned after the sentences came, gone when their words change."""

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np
from numpy.typing import NDArray
from sqlalchemy import Connection, bindparam, text

from vouchbook.library.search.places import visit_of
from vouchbook.library.search.plan import Plan

if TYPE_CHECKING:
    from vouchbook.library.search.encoder import Array, Encoder

_PART = 20_000
_STEPS = 127
"""A vector is kept as one byte a number, its largest being 127: likeness changes by less than 0.01."""
_UNLEARNED = (
    "FROM sentence s LEFT JOIN sentence_vector v ON v.sentence_id = s.id WHERE v.sentence_id IS NULL AND s.words <> ''"
)
_ALL = text("SELECT sentence_id, vector FROM sentence_vector")
_WITH_PLACES = text(
    "SELECT v.sentence_id, v.vector, p.place, p.tags, p.words FROM sentence_vector v "
    "JOIN sentence_place p ON p.sentence_id = v.sentence_id"
)


class Unlearned(NamedTuple):
    """A sentence that has no vector yet, with the words that it had when it was read."""

    id: int
    words: str


def unlearned_count(connection: Connection) -> int:
    """How many sentences have no vector yet."""
    return int(connection.execute(text(f"SELECT count(*) {_UNLEARNED}")).scalar_one())


def unlearned(connection: Connection, most: int) -> list[Unlearned]:
    """Sentences that have none yet, the newest first."""
    asked = text(f"SELECT s.id, s.words {_UNLEARNED} ORDER BY s.id DESC LIMIT :most")
    return [Unlearned(row.id, row.words) for row in connection.execute(asked, {"most": most})]


def vectors_of(encoder: "Encoder", sentences: Sequence[Unlearned]) -> list[bytes]:
    """A vector for each; takes long and touches nothing."""
    vectors = encoder.vectors([each.words for each in sentences])
    largest = np.abs(vectors).max(axis=1, keepdims=True)
    return [row.tobytes() for row in np.rint(vectors / largest * _STEPS).astype(np.int8)]


def keep(connection: Connection, sentences: Sequence[Unlearned], vectors: Sequence[bytes]) -> None:
    """Keeps the vectors of those sentences whose words are still the same."""
    if sentences:
        connection.execute(
            text(
                "INSERT INTO sentence_vector (sentence_id, vector) "
                "SELECT id, :vector FROM sentence WHERE id = :id AND words = :words ON CONFLICT DO NOTHING"
            ),
            [
                {"id": each.id, "words": each.words, "vector": vector}
                for each, vector in zip(sentences, vectors, strict=True)
            ],
        )


def nearest(connection: Connection, plan: Plan, asked: "Array", most: int) -> dict[int, float]:
    """The ``most`` sentences whose vectors are nearest to ``asked`` and that meet the filters of ``plan``.

    Returns the likeness, at most 1, of each sentence by its number. All vectors are looked at, so that the time grows
    with the library.
    """
    found: dict[int, float] = {}
    for ids, vectors in _parts(connection, plan):
        likeness = _likeness(vectors, asked)
        best = np.argpartition(-likeness, most)[:most] if len(ids) > most else range(len(ids))
        found.update((ids[at], float(likeness[at])) for at in best)
        if len(found) > most:
            found = dict(sorted(found.items(), key=lambda pair: -pair[1])[:most])
    return found


def likeness_of(connection: Connection, ids: list[int], asked: "Array") -> dict[int, float]:
    """How like to ``asked`` those of the sentences are that have a vector."""
    wanted = text("SELECT sentence_id, vector FROM sentence_vector WHERE sentence_id IN :ids")
    rows = connection.execute(wanted.bindparams(bindparam("ids", expanding=True)), {"ids": ids}).all()
    if not rows:
        return {}
    return {row.sentence_id: float(alike) for row, alike in zip(rows, _likeness(_matrix(rows), asked), strict=True)}


def _parts(connection: Connection, plan: Plan) -> Iterator[tuple[list[int], NDArray[np.int8]]]:
    wanted = [{way.terms[0] for way in group.ways} for group in plan.groups if group.ways[0].is_tag]
    has_filters = bool(wanted or plan.excluded or plan.visits is not None or plan.lowest_place)
    rows = connection.execution_options(yield_per=_PART).execute(_WITH_PLACES if has_filters else _ALL)
    for part in rows.partitions(_PART):
        kept = [row for row in part if _meets(row, plan, wanted)] if has_filters else part
        if kept:
            yield [row.sentence_id for row in kept], _matrix(kept)


def _meets(row: Any, plan: Plan, wanted: list[set[str]]) -> bool:  # noqa: ANN401  a row of the database
    if row.place < plan.lowest_place or (plan.visits is not None and visit_of(row.place) not in plan.visits):
        return False
    tags = set(row.tags.split())
    if not all(tags & group for group in wanted):
        return False
    said = f" {row.words} "
    return not any(f" {' '.join(terms)} " in said for terms in plan.excluded)


def _likeness(vectors: NDArray[np.int8], asked: "Array") -> "Array":
    numbers = vectors.astype(np.float32)
    likeness: Array = numbers @ asked / np.linalg.norm(numbers, axis=1)
    return likeness


def _matrix(rows: Sequence[Any]) -> NDArray[np.int8]:
    return np.frombuffer(b"".join(bytes(row.vector) for row in rows), np.int8).reshape(len(rows), -1)
