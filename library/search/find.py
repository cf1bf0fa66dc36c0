"""Finds: from a query to the sentences that answer it best, each with the second to play and its edition."""

from collections.abc import Callable, Iterable, Sequence
from functools import lru_cache
from typing import Any, Literal, TypeVar

from sqlalchemy import Connection, bindparam, text

from vouchbook.extract.packs.load import load_vocabulary
from vouchbook.library.search import postgres, sqlite
from vouchbook.library.search.expand import plan_of
from vouchbook.library.search.places import worth_of
from vouchbook.library.search.plan import Plan
from vouchbook.library.search.query import Query
from vouchbook.library.search.ranking import Match, match
from vouchbook.library.search.sizes import size_token
from vouchbook.library.search.snippets import Snippet, snippet_of
from vouchbook.library.search.synonyms import Synonyms
from vouchbook.models.record import Record
from vouchbook.models.subjects import Subject

RANKED = 100
"""Matches that are ranked: the ones of most worth, newest visits first."""
_ENOUGH = 10
_MOST_RELAXED = 3

One = TypeVar("One")
EditionState = Literal["published", "withdrawn", "replaced", "none"]


class Result(Record):
    """One sentence that answers. ``start_s`` is the second to play in ``sha256`` (None: words without a medium).

    ``edition_state`` is "none" while the visit's draft is not published; ``item_state`` is None for a line of talk.
    """

    sentence_id: int
    visit_id: int
    subject: Subject
    draft_id: int | None
    sha256: str | None
    item_id: int | None
    item_kind: str | None
    item_state: str | None
    start_s: float
    end_s: float
    voice: str | None
    snippet: Snippet
    score: float
    edition_id: int | None
    edition_number: int | None
    edition_state: EditionState


class Found(Record):
    """``results``, the best first. ``may_be_more``: not everything that matches was looked at.

    ``is_relaxed``: too little matched every word, so that some results lack the most common of them. ``notes`` are
    sentences for the person who searches.
    """

    results: tuple[Result, ...]
    may_be_more: bool = False
    is_relaxed: bool = False
    notes: tuple[str, ...] = ()


class _Hit:
    """A sentence with its score."""

    def __init__(self, row: Any, matched: Match) -> None:  # noqa: ANN401  a row of the database
        self.row, self.match = row, matched


def find(
    connection: Connection, query: Query, *, most: int = 20, skip: int = 0, synonyms: Synonyms | None = None
) -> Found:
    """The results ``skip`` to ``skip + most`` of at most 100 that are ranked."""
    if query.is_empty:
        return Found(results=(), notes=(*query.notes, "Type a word, a size or a filter to search for."))
    plan = plan_of(connection, query, synonyms or trade_synonyms())
    if plan.is_impossible:
        return Found(results=(), notes=(*query.notes, "No subject or visit meets these filters."))
    hits, may_be_more = _hits(connection, plan, set())
    relaxed: list[_Hit] = []
    weaker: Plan | None = plan
    for _ in range(_MOST_RELAXED):
        weaker = weaker.without_the_weakest() if weaker and len(hits) + len(relaxed) < _ENOUGH else None
        if weaker is None:
            break
        known = {hit.row["id"] for hit in (*hits, *relaxed)}
        relaxed += _hits(connection, weaker, known)[0]
    chosen = without_doubles([*hits, *relaxed], _where)[skip : skip + most]
    tokens = {size_token(size.normal) for size in query.sizes}
    tokens |= {way.terms[0] for group in plan.groups for way in group.ways if way.terms[0].startswith("z_")}
    return Found(
        results=_results(connection, chosen, tokens),
        may_be_more=may_be_more,
        is_relaxed=bool(relaxed),
        notes=query.notes,
    )


@lru_cache(maxsize=1)
def trade_synonyms() -> Synonyms:
    """The synonyms of the packs that come with the program."""
    return Synonyms(load_vocabulary())


def _hits(connection: Connection, plan: Plan, known: set[int]) -> tuple[list[_Hit], bool]:
    ask = postgres.places if connection.dialect.name == "postgresql" else sqlite.places
    places, may_be_more = ask(connection, plan, RANKED)
    hits = [hit for hit in _matched(connection, plan, places) if hit.row["id"] not in known]
    hits.sort(key=lambda hit: (-round(hit.match.score, 6), -hit.row["place"]))
    return hits, may_be_more


def _matched(connection: Connection, plan: Plan, places: Sequence[int]) -> list[_Hit]:
    return [
        _Hit(row, match(plan, row["indexed"].split(), frozenset(row["tags"].split()), worth_of(row["place"])))
        for row in _rows(connection, places)
    ]


_ROWS = text(
    "SELECT p.place, p.words AS indexed, p.tags, s.id, s.visit_id, s.draft_id, s.sha256, s.item_id, "
    "s.start_s, s.end_s, s.voice, s.words, i.kind AS item_kind, i.state AS item_state "
    "FROM sentence_place p JOIN sentence s ON s.id = p.sentence_id LEFT JOIN item i ON i.id = s.item_id "
    "WHERE p.place IN :places"
).bindparams(bindparam("places", expanding=True))


def _rows(connection: Connection, places: Sequence[int]) -> Sequence[Any]:
    return connection.execute(_ROWS, {"places": list(places)}).mappings().all() if places else ()


def without_doubles(found: Iterable[One], where: Callable[[One], tuple[int, str, float, float]]) -> list[One]:
    """An item's words and the line that they come from are one answer: the one that comes first stays.

    ``where`` gives the visit, the words, and the seconds at which they begin and end.
    """
    seen: dict[tuple[int, str], list[tuple[float, float]]] = {}
    kept = []
    for one in found:
        visit, words, start_s, end_s = where(one)
        spans = seen.setdefault((visit, words), [])
        if not any(start_s <= end and start <= end_s for start, end in spans):
            spans.append((start_s, end_s))
            kept.append(one)
    return kept


def _where(hit: _Hit) -> tuple[int, str, float, float]:
    row = hit.row
    return row["visit_id"], row["indexed"], row["start_s"], row["end_s"]


_EDITIONS = text(
    "SELECT e.id, e.draft_id, e.number, e.withdrawn_at, "
    "(SELECT count(*) FROM edition n WHERE n.subject_id = e.subject_id AND n.number > e.number "
    "AND n.withdrawn_at IS NULL) AS newer "
    "FROM edition e WHERE e.draft_id IN :drafts ORDER BY e.number"
).bindparams(bindparam("drafts", expanding=True))


def _editions(connection: Connection, drafts: Sequence[int]) -> dict[int, tuple[int, int, EditionState]]:
    """For each draft its last edition: id, number, state."""
    if not drafts:
        return {}
    found: dict[int, tuple[int, int, EditionState]] = {}
    for row in connection.execute(_EDITIONS, {"drafts": drafts}):
        state: EditionState = "withdrawn" if row.withdrawn_at else "replaced" if row.newer else "published"
        found[row.draft_id] = (row.id, row.number, state)
    return found


def results_of(connection: Connection, plan: Plan, sentence_ids: Sequence[int]) -> tuple[Result, ...]:
    """These sentences as results, each with what of ``plan`` stands in it, in no order."""
    asked = text("SELECT place FROM sentence_place WHERE sentence_id IN :ids")
    places = connection.execute(asked.bindparams(bindparam("ids", expanding=True)), {"ids": list(sentence_ids)})
    return _results(connection, _matched(connection, plan, places.scalars().all()), set())


def _results(connection: Connection, hits: Sequence[_Hit], tokens: set[str]) -> tuple[Result, ...]:
    states = _editions(connection, sorted({h.row["draft_id"] for h in hits if h.row["draft_id"] is not None}))
    subjects = _subjects(connection, sorted({hit.row["visit_id"] for hit in hits}))
    return tuple(_result(hit, tokens, states, subjects) for hit in hits)


_SUBJECTS = text(
    "SELECT v.id AS visit_id, u.kind, u.maker, u.model, u.years_from, u.years_to, u.energy "
    "FROM visit v JOIN subject u ON u.id = v.subject_id WHERE v.id IN :visits"
).bindparams(bindparam("visits", expanding=True))


def _subjects(connection: Connection, visits: Sequence[int]) -> dict[int, Subject]:
    """For each visit what it was about."""
    rows = connection.execute(_SUBJECTS, {"visits": visits}).mappings() if visits else ()
    return {row["visit_id"]: Subject(**{name: row[name] for name in Subject.model_fields}) for row in rows}


def _result(
    hit: _Hit, tokens: set[str], editions: dict[int, tuple[int, int, EditionState]], subjects: dict[int, Subject]
) -> Result:
    row = hit.row
    not_published: tuple[None, None, EditionState] = (None, None, "none")
    edition_id, number, state = editions.get(row["draft_id"], not_published)
    return Result(
        **{name: row[name] for name in _SAME},
        sentence_id=row["id"],
        subject=subjects[row["visit_id"]],
        snippet=snippet_of(row["words"], hit.match.positions, frozenset(tokens & set(row["tags"].split()))),
        score=round(hit.match.score, 4),
        edition_id=edition_id,
        edition_number=number,
        edition_state=state,
    )


_SAME = (
    "visit_id", "draft_id", "sha256", "item_id", "item_kind", "item_state", "start_s", "end_s", "voice",
)  # fmt: skip
