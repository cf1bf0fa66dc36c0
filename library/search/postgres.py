"""Asks the index in PostgreSQL, so that few sentences are fetched: each one costs ten times what it does in SQLite.

What is rare is asked for as it is. What is very common is read in the order of places. What lies between is asked for
segment by segment, from the one of most worth down, until there is enough.
"""

from collections.abc import Iterator, Sequence

from sqlalchemy import Connection, bindparam, text

from vouchbook.library.search.places import lowest, segment_of, segment_token
from vouchbook.library.search.plan import Group, Plan

_RARE = 1500
"""Matches that are fetched at once; about 10 ms."""
_MOST_IN_ORDER = 5000
"""Sentences that are looked at in order; about 5 ms."""
_SPARE = 1.5
_GROWTH = 4
_FEW_VISITS = 0.1
"""Below this share of all visits their terms are asked for instead of the segments'."""
_IN_ORDER = text("""
SELECT place
FROM (SELECT place, terms FROM sentence_place WHERE place >= :low ORDER BY place DESC LIMIT :looked) AS looked
WHERE terms @@ CAST(:match AS tsquery) ORDER BY place DESC LIMIT :most
""")
_BY_TERMS = """
WITH found AS MATERIALIZED (SELECT place FROM sentence_place WHERE terms @@ CAST(:match AS tsquery)
AND place >= :low {visits}) SELECT place FROM found ORDER BY place DESC LIMIT :most
"""
_OF_VISITS = "AND ((place >> 36) & 16777215) = ANY(:visits)"


def places(connection: Connection, plan: Plan, most: int) -> tuple[list[int], bool]:
    """The highest ``most`` places that match, from the highest down, and whether more may lie behind them.

    Of a filter that few of many visits meet, the newest visits come first, each from its highest place down.
    """
    expected = plan.expected
    if expected > _RARE:
        needed = most * plan.sentences / expected
        if plan.visits is None and needed <= _MOST_IN_ORDER:
            asked = {"match": match_of(plan), "low": plan.lowest_place, "most": most, "looked": 2 * _MOST_IN_ORDER}
            found = list(connection.execute(_IN_ORDER, asked).scalars())
            if len(found) == most:
                return found, True
        return _by_parts(connection, plan, most, needed * _SPARE)
    if plan.visits is not None and plan.visits_share < _FEW_VISITS:
        return _by_parts(connection, plan, most, float("inf"))
    found = _by_terms(connection, plan, most, ())
    return found, len(found) == most


def _by_parts(connection: Connection, plan: Plan, most: int, wanted: float) -> tuple[list[int], bool]:
    """Asks ever more parts until there is enough; ``wanted`` is how many sentences the first ones should hold."""
    found: list[int] = []
    parts, held = list[str](), 0.0
    for token, sentences in _parts(connection, plan):
        parts.append(token)
        held += sentences
        if held >= wanted:
            found += _by_terms(connection, plan, most - len(found), parts)
            if len(found) == most:
                return found, True
            parts, held, wanted = [], 0.0, wanted * _GROWTH
    if parts:
        found += _by_terms(connection, plan, most - len(found), parts)
    return found, len(found) == most


def _parts(connection: Connection, plan: Plan) -> Iterator[tuple[str, float]]:
    """The terms of visits or segments from the best down, and how many sentences each holds."""
    if plan.visits is not None and plan.visits_share < _FEW_VISITS:
        usual = plan.sentences * plan.visits_share / len(plan.visits)
        yield from ((f"v_{visit}", usual) for visit in sorted(plan.visits, reverse=True))
        return
    tokens = [segment_token(segment) for segment in _segments(connection)]
    asked = text("SELECT term, sentences FROM search_term WHERE term IN :terms AND sentences > 0").bindparams(
        bindparam("terms", expanding=True)
    )
    held = {row.term: row.sentences for row in connection.execute(asked, {"terms": tokens})}
    yield from ((token, float(held[token])) for token in tokens if token in held)


def _segments(connection: Connection) -> Iterator[int]:
    """The segments that there may be, from the highest down."""
    highest = text("SELECT max(place) FROM sentence_place WHERE place >= :low AND place < :after")
    for worth in (3, 2, 1, 0):
        low, after = lowest(worth), lowest(worth + 1)
        top = connection.execute(highest, {"low": low, "after": after}).scalar_one()
        if top is not None:
            yield from range(segment_of(top), segment_of(low) - 1, -1)


def _by_terms(connection: Connection, plan: Plan, most: int, parts: Sequence[str]) -> list[int]:
    match = match_of(plan)
    if parts:
        match = f"({match}) & ({' | '.join(parts)})"
    asked: dict[str, object] = {"match": match, "low": plan.lowest_place, "most": most}
    visits = ""
    if plan.visits is not None and not (parts and parts[0].startswith("v_")):
        visits, asked["visits"] = _OF_VISITS, list(plan.visits)
    return list(connection.execute(text(_BY_TERMS.format(visits=visits)), asked).scalars())


def match_of(plan: Plan) -> str:
    """``plan`` as a tsquery. Terms hold letters, figures and underscores only, and each is quoted."""
    kinds = "'k_said' | 'k_step' | 'k_tool' | 'k_location' | 'k_warning' | 'k_cue'"
    wanted = " & ".join(f"({_group(group)})" for group in plan.groups) or f"({kinds})"
    return wanted + "".join(f" & !({_terms(terms)})" for terms in plan.excluded)


def _group(group: Group) -> str:
    return " | ".join(f"({_terms(way.terms)})" for way in group.ways)


def _terms(terms: tuple[str, ...]) -> str:
    return " <-> ".join(f"'{term}'" for term in terms)
