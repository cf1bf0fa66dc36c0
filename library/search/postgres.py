"""Asks the index in PostgreSQL, so that few sentences are fetched: each one costs ten times what it does in SQLite.

What is rare is asked for as it is. What is very common is read in the order of places. What lies between is asked for
in the segments of most worth, as many as should hold enough, then in more of them, until there is enough.
"""

from collections.abc import Iterator

from sqlalchemy import Connection, text

from vouchbook.library.search.places import CONFIRMED, ITEM, REJECTED, SAID, lowest, segments
from vouchbook.library.search.plan import Group, Plan

_RARE = 8_000
"""Matches that are fetched at once; about 30 ms, half of that where they are in memory."""
_MOST_IN_ORDER = 10_000
"""Sentences that are looked at in order before there is enough; about 10 ms."""
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
_OF_VISITS = "AND ((place >> 36) & 16777215) = ANY(:visits)"
_MORE = 4
"""How many times as many sentences each further question to the segments asks."""


def places(connection: Connection, plan: Plan, most: int) -> tuple[list[int], bool]:
    """The highest ``most`` places that match, from the highest down, and whether more may lie behind them."""
    expected, found = plan.expected, list[int]()
    if expected <= _RARE * plan.visits_share:
        found = _by_terms(connection, plan, most)
    elif plan.visits is not None and plan.visits_share < _FEW_VISITS:
        found = _by_visits(connection, plan, plan.visits, most)
    else:
        is_of_items = any(group.is_of_items for group in plan.groups)
        needed = 2 * most * (plan.items if is_of_items else plan.sentences) / expected
        in_order = int(_MOST_IN_ORDER / plan.visits_share**0.5)  # what else is fetched is of all visits
        if needed <= in_order and not is_of_items:
            found = _in_order(connection, plan, most, in_order)
        if len(found) < most:
            found = _by_segments(connection, plan, most, needed)
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


def _by_segments(connection: Connection, plan: Plan, most: int, needed: float) -> list[int]:
    """Asks the segments that should hold ``needed`` sentences, then more and more, until there is enough."""
    found: list[int] = []
    asked: list[str] = []
    held = 0.0
    for segment, sentences in _segments(connection, plan):
        asked.append(segment)
        held += sentences
        if held >= needed:
            found += _by_terms(connection, plan, most - len(found), asked)
            if len(found) == most:
                return found
            asked, held, needed = [], 0.0, needed * _MORE
    return found + _by_terms(connection, plan, most - len(found), asked) if asked else found


def _segments(connection: Connection, plan: Plan) -> Iterator[tuple[str, float]]:
    """The segments from the one of most worth down, each with how many sentences it holds, about."""
    last_visit = connection.execute(text("SELECT max(id) FROM visit")).scalar_one() or 0
    for worth in (CONFIRMED, ITEM, SAID, REJECTED):
        names = segments(worth, last_visit) if lowest(worth) >= plan.lowest_place else []
        for name in names:
            yield name, (plan.sentences - plan.items if worth == SAID else plan.items * _OF_ITEMS[worth]) / len(names)


_OF_ITEMS = {CONFIRMED: 0.6, ITEM: 0.3, REJECTED: 0.1}
"""Which share of all items is of each worth, about."""


def _by_terms(connection: Connection, plan: Plan, most: int, within: list[str] | None = None) -> list[int]:
    match = match_of(plan)
    if within:
        match = f"({match}) & ({' | '.join(within)})"
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
    return " | ".join(f"({_terms(way.terms)})" for way in group.asked)


def _terms(terms: tuple[str, ...]) -> str:
    return " <-> ".join(f"'{term}'" for term in terms)
