"""Asks the index in PostgreSQL, so that few sentences are fetched: each one costs ten times what it does in SQLite.

What is rare is asked for as it is. What is very common is read in the order of places. What lies between is asked for
segment by segment, from the one of most worth down, until there is enough.
"""

from sqlalchemy import Connection, text

from vouchbook.library.search.places import CONFIRMED, ITEM, REJECTED, SAID, lowest, segments
from vouchbook.library.search.plan import Group, Plan

_RARE = 12_000
"""Matches that are fetched at once; about 60 ms."""
_MOST_IN_ORDER = 25_000
"""Sentences that are looked at in order before there is enough; about 25 ms."""
_WIDE_IN_ORDER = 70_000
"""The same for a question with synonyms, which is slow to ask segment by segment."""
_FEW_VISITS = 0.1
"""Below this share of all visits each of them is looked through by itself."""
_IN_ORDER = """
SELECT place FROM (SELECT place, terms FROM sentence_place WHERE place >= :low ORDER BY place DESC LIMIT :looked)
AS looked WHERE terms @@ CAST(:match AS tsquery) {visits} ORDER BY place DESC LIMIT :most
"""
_BY_VISITS = text("""
SELECT found.place FROM unnest(CAST(:visits AS bigint[])) WITH ORDINALITY AS visit (id, position) CROSS JOIN LATERAL (
SELECT place, terms FROM sentence_place
WHERE place BETWEEN :low + (visit.id << 36) AND :low + (visit.id << 36) + 68719476735
ORDER BY place DESC OFFSET 0) AS found WHERE found.terms @@ CAST(:match AS tsquery) LIMIT :most
""")
_BY_TERMS = """
WITH found AS MATERIALIZED (SELECT place FROM sentence_place WHERE terms @@ CAST(:match AS tsquery)
AND place >= :low {visits}) SELECT place FROM found ORDER BY place DESC LIMIT :most
"""
_FEW_ITEMS = 50
"""Matches among the items; where there are fewer, all together are few enough to fetch."""
_OF_VISITS = "AND ((place >> 36) & 16777215) = ANY(:visits)"


def places(connection: Connection, plan: Plan, most: int) -> tuple[list[int], bool]:
    """The highest ``most`` places that match, from the highest down, and whether more may lie behind them."""
    expected, found = plan.expected, list[int]()
    if expected <= _RARE * plan.visits_share:
        found = _by_terms(connection, plan, most)
    elif plan.visits is not None and plan.visits_share < _FEW_VISITS:
        found = _by_visits(connection, plan, plan.visits, most)
    else:
        needed = int(most * plan.sentences / expected)
        is_wide = any(len(group.ways) > 1 for group in plan.groups)  # many terms in each of many segments are slow
        if needed <= (_WIDE_IN_ORDER if is_wide else _MOST_IN_ORDER):
            found = _in_order(connection, plan, most, max(2 * needed, _MOST_IN_ORDER))
        if len(found) < most:
            found = _by_terms(connection, plan, most) if is_wide else _by_segments(connection, plan, most)
    return found, len(found) == most


def _in_order(connection: Connection, plan: Plan, most: int, looked: int) -> list[int]:
    asked: dict[str, object] = {"match": match_of(plan), "low": plan.lowest_place, "most": most, "looked": looked}
    visits = ""
    if plan.visits is not None:
        visits, asked["visits"] = _OF_VISITS, list(plan.visits)
    return list(connection.execute(text(_IN_ORDER.format(visits=visits)), asked).scalars())


def _by_visits(connection: Connection, plan: Plan, visits: frozenset[int], most: int) -> list[int]:
    """Looks through the sentences of each visit, worth by worth and the newest visits first."""
    asked: dict[str, object] = {"match": match_of(plan), "visits": sorted(visits, reverse=True)}
    found: list[int] = []
    for worth in (CONFIRMED, ITEM, SAID, REJECTED):
        if lowest(worth) >= plan.lowest_place and len(found) < most:
            left = {"low": lowest(worth), "most": most - len(found)}
            found += connection.execute(_BY_VISITS, {**asked, **left}).scalars()
    return found


def _by_segments(connection: Connection, plan: Plan, most: int) -> list[int]:
    """Asks one segment after the other until there is enough; what is rarer than expected is asked for as it is."""
    last_visit = connection.execute(text("SELECT max(id) FROM visit")).scalar_one() or 0
    found: list[int] = []
    for worth in (CONFIRMED, ITEM):
        for segment in segments(worth, last_visit):
            found += _by_terms(connection, plan, most - len(found), segment)
            if len(found) == most:
                return found
    if len(found) < _FEW_ITEMS:
        return _by_terms(connection, plan, most)
    for worth in (SAID, REJECTED):
        for segment in segments(worth, last_visit):
            found += _by_terms(connection, plan, most - len(found), segment)
            if len(found) == most:
                return found
    return found


def _by_terms(connection: Connection, plan: Plan, most: int, segment: str | None = None) -> list[int]:
    match = match_of(plan)
    if segment:
        match = f"({match}) & '{segment}'"
    asked: dict[str, object] = {"match": match, "low": plan.lowest_place, "most": most}
    visits = ""
    if plan.visits is not None:
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
