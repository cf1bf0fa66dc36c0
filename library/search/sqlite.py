"""Asks the index in SQLite (FTS5): places from the highest down, as many as are ranked and no more."""

from sqlalchemy import Connection, text

from vouchbook.library.search.places import row_of, visit_of
from vouchbook.library.search.plan import Group, Plan, Way

_MOST_LOOKED_AT = 60_000
"""Matches that are looked at for a filter by many visits; about 40 ms."""
_ASK = text("SELECT rowid FROM sentence_search WHERE sentence_search MATCH :match AND rowid <= :last ORDER BY rowid")
_ASK_FIRST = text(_ASK.text + " LIMIT :most")


def places(connection: Connection, plan: Plan, most: int) -> tuple[list[int], bool]:
    """The highest ``most`` places that match, from the highest down, and whether more may lie behind them."""
    asked = {"match": match_of(plan), "last": row_of(plan.lowest_place)}
    if plan.visits is None:
        found = [row_of(row) for row in connection.execute(_ASK_FIRST, {**asked, "most": most}).scalars()]
        return found, len(found) == most
    found = []
    rows = connection.execute(_ASK, asked)
    for looked_at, row in enumerate(rows.scalars(), 1):
        place = row_of(row)
        if visit_of(place) in plan.visits:
            found.append(place)
        if len(found) == most or looked_at == _MOST_LOOKED_AT:
            rows.close()
            return found, True
    return found, False


def match_of(plan: Plan) -> str:
    """``plan`` in the language of FTS5. Terms hold letters, figures and underscores only, and each is quoted."""
    wanted = " AND ".join(f"({_group(group)})" for group in plan.groups) or 'tags : ("k_said" OR "k_step" OR "k_tool" '
    if not plan.groups:
        wanted += 'OR "k_location" OR "k_warning" OR "k_cue")'
    excluded = "".join(f" NOT {_way(Way(terms=terms))}" for terms in plan.excluded)
    return f"({wanted}){excluded}"


def _group(group: Group) -> str:
    return " OR ".join(_way(way) for way in group.asked)


def _way(way: Way) -> str:
    return f'{"tags" if way.is_tag else "words"} : "{" ".join(way.terms)}"'
