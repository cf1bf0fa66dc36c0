"""However PostgreSQL is asked, and however many visits a filter leaves, the answer is the same."""

import pytest
from sqlalchemy import Connection

from vouchbook.library.search import expand, postgres, sqlite
from vouchbook.library.search.expand import plan_of
from vouchbook.library.search.find import trade_synonyms
from vouchbook.library.search.query import parse

TYPED = [
    "touch", "the plug", "hydraulic -boom", "10 mm", "touch kind:warning", '"boot floor"', "touch is:confirmed",
    "pump place:canal",
]  # fmt: skip
WAYS: dict[str, dict[str, float]] = {
    "by terms": {"_RARE": 10**9},
    "in order": {"_RARE": -1, "_MOST_IN_ORDER": 10**9, "_FEW_VISITS": 0.0},
    "by segments": {"_RARE": -1, "_MOST_IN_ORDER": -1, "_FEW_VISITS": 0.0},
    "by segments, one after the other": {"_RARE": -1, "_MOST_IN_ORDER": -1, "_FEW_VISITS": 0.0, "_MORE": 0},
    "by visits": {"_RARE": -1, "_FEW_VISITS": 2.0},
}


@pytest.mark.parametrize("by_term", [0, 100], ids=["visits looked up", "visits as terms"])
@pytest.mark.parametrize("way", WAYS)
@pytest.mark.parametrize("typed", TYPED)
def test_every_way_gives_the_same_places(
    library: Connection, monkeypatch: pytest.MonkeyPatch, typed: str, way: str, by_term: int
) -> None:
    plain = _places(library, typed)
    assert plain
    monkeypatch.setattr(expand, "_MOST_BY_TERM", {"sqlite": by_term, "postgresql": by_term})
    for name, value in WAYS[way].items():
        monkeypatch.setattr(postgres, name, value)
    assert _places(library, typed) == plain


@pytest.mark.parametrize("typed", TYPED)
def test_the_first_places_are_the_highest(library: Connection, typed: str) -> None:
    found = _places(library, typed)
    assert found == sorted(found, reverse=True)
    assert _places(library, typed, most=1) == found[:1]


def _places(library: Connection, typed: str, most: int = 100) -> list[int]:
    plan = plan_of(library, parse(typed), trade_synonyms())
    ask = postgres.places if library.dialect.name == "postgresql" else sqlite.places
    return ask(library, plan, most)[0]
