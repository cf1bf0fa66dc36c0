"""Writes the index: each sentence's words, tags and place, in the transaction that changes the sentence."""

import re
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from itertools import islice
from typing import Any

from sqlalchemy import Connection, bindparam, text

from vouchbook.library.search.places import CONFIRMED, ITEM, REJECTED, SAID, place_of, row_of, segment_of
from vouchbook.library.search.sizes import Spot, millimetres, size_token, spots
from vouchbook.library.search.words import sound_key, words_of

_PART = 500
_MOST_POSITIONS = 16_000
"""A tsvector of PostgreSQL counts positions to 16,383."""
_SOURCE = """
SELECT s.id, s.visit_id, s.voice, s.words, v.subject_id, i.kind, i.phase, i.hazard, i.state, i.record
FROM sentence s JOIN visit v ON v.id = s.visit_id LEFT JOIN item i ON i.id = s.item_id
"""


def index_sentences(connection: Connection, sentence_ids: Iterable[int]) -> int:
    """Indexes these sentences, anew if they were indexed before; returns how many there are.

    Call it in the same transaction after sentences were added, or after an item of theirs was decided or amended.
    A sentence that is gone leaves the index.
    """
    done = 0
    for ids in _parts(sentence_ids):
        _remove(connection, ids)
        rows = connection.execute(text(_SOURCE + "WHERE s.id IN :ids").bindparams(_ids("ids")), {"ids": ids}).mappings()
        done += add_rows(connection, list(rows))
    return done


def index_item(connection: Connection, item_id: int) -> int:
    """Indexes the sentences of one item anew: its state, kind or words have changed."""
    ids = connection.execute(text("SELECT id FROM sentence WHERE item_id = :item"), {"item": item_id}).scalars().all()
    return index_sentences(connection, ids)


def remove_sentences(connection: Connection, sentence_ids: Iterable[int]) -> None:
    """Takes sentences out of the index, before or after they are deleted."""
    for ids in _parts(sentence_ids):
        _remove(connection, ids)


def rebuild(connection: Connection) -> int:
    """Makes the whole index anew from the sentences; returns how many."""
    for table in ("sentence_place", "search_term", "search_size"):
        connection.execute(text(f"DELETE FROM {table}"))  # noqa: S608  a fixed list
    if connection.dialect.name == "sqlite":
        connection.execute(text("INSERT INTO sentence_search(sentence_search) VALUES ('delete-all')"))
    done, last = 0, 0
    following = text(_SOURCE + "WHERE s.id > :last ORDER BY s.id LIMIT :part")
    while rows := connection.execute(following, {"last": last, "part": 5 * _PART}).mappings().all():
        done += add_rows(connection, rows)
        last = rows[-1]["id"]
    optimise(connection)
    return done


def optimise(connection: Connection) -> None:
    """Packs the index after much was added; slow, changes no result."""
    if connection.dialect.name == "sqlite":
        connection.execute(text("INSERT INTO sentence_search(sentence_search) VALUES ('optimize')"))


def add_rows(connection: Connection, rows: Sequence[Any]) -> int:
    """Indexes rows of sentences that are not in the index yet; returns how many.

    A row has id, visit_id, subject_id, voice, words, and kind, phase, hazard, state and record of its item (None for a
    line of talk).
    """
    entries, counted, sizes = [], Counter[str](), dict[str, Spot]()
    for row in rows:
        found = spots(row["words"])
        sizes.update({spot.normal: spot for spot in found})
        forms = [word.form for word in words_of(row["words"])]
        tags = tags_of(row, [spot.normal for spot in found])
        entry: dict[str, Any] = {
            "place": place_of(_worth(row["kind"], row["state"]), row["visit_id"], row["id"]),
            "sentence_id": row["id"],
            "words": " ".join(forms),
            "tags": " ".join(tags),
        }
        counted.update(_counted(entry))
        entries.append(entry)
    _insert(connection, entries)
    _count(connection, counted)
    _note_sizes(connection, sizes.values())
    return len(entries)


def tags_of(row: Any, normals: Iterable[str]) -> list[str]:  # noqa: ANN401  a row of the database
    """The index terms of all that can be filtered by, each once."""
    record = row["record"] if isinstance(row["record"], dict) else {}
    is_as_read = row["state"] != "amended"  # else the sizes are those of the new words alone
    values = [record.get(key) for key in ("size_said", "count_said")] if is_as_read else []
    said = [value["normal"] for value in values if isinstance(value, dict)]
    tags = [f"v_{row['visit_id']}", f"s_{row['subject_id']}", f"k_{row['kind'] or 'said'}"]
    for letter, value in (("p", row["phase"]), ("h", row["hazard"]), ("n", row["voice"])):
        tags.extend(f"{letter}_{word.form}" for word in words_of(value or ""))
    tags.extend(size_token(normal) for normal in (*normals, *said))
    return list(dict.fromkeys(tags))


def _worth(kind: str | None, state: str | None) -> int:
    if kind is None:
        return SAID
    return {"confirmed": CONFIRMED, "amended": CONFIRMED, "rejected": REJECTED}.get(state or "", ITEM)


def _counted(entry: Any) -> set[str]:  # noqa: ANN401  a row of the database or one to be
    """The terms of a sentence that are counted: all but the visit's."""
    return {*entry["words"].split(), *(tag for tag in entry["tags"].split() if not tag.startswith("v_"))}


def _insert(connection: Connection, entries: list[dict[str, Any]]) -> None:
    if not entries:
        return
    if connection.dialect.name == "postgresql":
        for entry in entries:
            entry["terms"] = _vector(entry["words"], f"{entry['tags']} {segment_of(entry['place'])}")
        connection.execute(
            text(
                "INSERT INTO sentence_place (place, sentence_id, words, tags, terms) "
                "VALUES (:place, :sentence_id, :words, :tags, CAST(:terms AS tsvector))"
            ),
            entries,
        )
        return
    connection.execute(
        text(
            "INSERT INTO sentence_place (place, sentence_id, words, tags) VALUES (:place, :sentence_id, :words, :tags)"
        ),
        entries,
    )
    connection.execute(
        text("INSERT INTO sentence_search (rowid, words, tags) VALUES (:row, :words, :tags)"), _rows(entries)
    )


def _rows(entries: Iterable[Any]) -> list[dict[str, Any]]:
    return [{"row": row_of(each["place"]), "words": each["words"], "tags": each["tags"]} for each in entries]


def _vector(words: str, tags: str) -> str:
    """A tsvector in text form; words with their positions, tags without."""
    at: dict[str, list[int]] = {}
    for position, word in enumerate(words.split()[:_MOST_POSITIONS], 1):
        at.setdefault(word, []).append(position)
    parts = [f"'{word}':{','.join(map(str, places[:255]))}" for word, places in at.items()]
    return " ".join([*parts, *(f"'{tag}'" for tag in tags.split())])


def _remove(connection: Connection, ids: list[int]) -> None:
    vectors = text("DELETE FROM sentence_vector WHERE sentence_id IN :ids").bindparams(_ids("ids"))
    connection.execute(vectors, {"ids": ids})  # of words that may have changed, or go
    rows = (
        connection.execute(
            text("SELECT place, words, tags FROM sentence_place WHERE sentence_id IN :ids").bindparams(_ids("ids")),
            {"ids": ids},
        )
        .mappings()
        .all()
    )
    if not rows:
        return
    counted = Counter[str]()
    for row in rows:
        counted.update(_counted(row))
    if connection.dialect.name == "sqlite":
        connection.execute(
            text(
                "INSERT INTO sentence_search (sentence_search, rowid, words, tags) "
                "VALUES ('delete', :row, :words, :tags)"
            ),
            _rows(rows),
        )
    connection.execute(
        text("DELETE FROM sentence_place WHERE place IN :places").bindparams(_ids("places")),
        {"places": [row["place"] for row in rows]},
    )
    _count(connection, counted, sign=-1)


def _count(connection: Connection, counted: Counter[str], sign: int = 1) -> None:
    """Adds to how many sentences hold each term; in the order of the terms, so that two writers never deadlock."""
    if not counted:
        return
    connection.execute(
        text(
            "INSERT INTO search_term (term, sentences, sound) VALUES (:term, :n, :sound) "
            "ON CONFLICT (term) DO UPDATE SET sentences = search_term.sentences + excluded.sentences"
        ),
        [
            {"term": term, "n": sign * n, "sound": None if re.search(r"[_\d]", term) else sound_key(term)}
            for term, n in sorted(counted.items())
        ],
    )


def _note_sizes(connection: Connection, found: Iterable[Spot]) -> None:
    rows = [
        {
            "normal": spot.normal,
            "dimension": spot.quantity.dimension,
            "value": spot.quantity.value,
            "mm": millimetres(spot.quantity.value, spot.quantity.unit),
        }
        for spot in sorted(found, key=lambda spot: spot.normal)
    ]
    if rows:
        connection.execute(
            text(
                "INSERT INTO search_size (normal, dimension, value, millimetres) "
                "VALUES (:normal, :dimension, :value, :mm) ON CONFLICT (normal) DO NOTHING"
            ),
            rows,
        )


def _parts(ids: Iterable[int]) -> Iterator[list[int]]:
    left = iter(sorted(set(ids)))
    while part := list(islice(left, _PART)):
        yield part


def _ids(name: str) -> Any:  # noqa: ANN401  SQLAlchemy gives it no narrower type
    return bindparam(name, expanding=True)
