"""Near meaning: what says the same in other words, beside what was found by its words."""

from typing import TYPE_CHECKING

from sqlalchemy import Connection

from vouchbook.library.search.expand import plan_of
from vouchbook.library.search.find import RANKED, Found, Result, find, results_of, trade_synonyms, without_doubles
from vouchbook.library.search.query import Query
from vouchbook.library.search.vectors import likeness_of, nearest, unlearned_count

if TYPE_CHECKING:
    from vouchbook.library.search.encoder import Encoder

_WORDS_SHARE = 0.3
"""How much the ranking by words still counts beside the likeness of meaning."""
_LEAST = 0.2
"""Less likeness than this says nothing; even above it, most of what is far down the list is chance."""


def find_by_meaning(
    connection: Connection, encoder: "Encoder", query: Query, *, most: int = 20, skip: int = 0
) -> Found:
    """As :func:`find`, with sentences that are near in meaning, in the order of likeness to what was asked.

    Sentences that have no vector yet are found by their words alone; a note says how many they are.
    """
    by_words = find(connection, query, most=RANKED)
    if not query.asked:
        return by_words.model_copy(update={"results": by_words.results[skip : skip + most]})
    plan = plan_of(connection, query, trade_synonyms())
    asked = encoder.vectors([query.asked])[0]
    near = {} if plan.is_impossible else nearest(connection, plan, asked, RANKED)
    known = {result.sentence_id: result for result in by_words.results}
    wanted = [number for number, likeness in near.items() if likeness >= _LEAST and number not in known]
    best = max((result.score for result in by_words.results), default=0.0) or 1.0
    likeness = {**likeness_of(connection, list(known), asked), **near} if known else near
    scored = [
        result.model_copy(
            update={"score": round(likeness.get(result.sentence_id, 0.0) + _WORDS_SHARE * share / best, 4)}
        )
        for result, share in (
            *((result, result.score) for result in by_words.results),
            *((result, 0.0) for result in results_of(connection, plan, wanted)),
        )
    ]
    scored.sort(key=lambda result: (-result.score, result.sentence_id))
    notes = by_words.notes
    if left := unlearned_count(connection):
        notes += (f"{left} sentences are found by their words only, until `vouchbook library learn` has read them.",)
    return by_words.model_copy(
        update={"results": tuple(without_doubles(scored, _where)[skip : skip + most]), "notes": notes}
    )


def _where(result: Result) -> tuple[int, str, float, float]:
    return result.visit_id, result.snippet.text, result.start_s, result.end_s
