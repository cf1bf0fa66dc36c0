"""The index follows the sentences."""

from datetime import UTC, datetime

import pytest
from search_tables import drop_index
from sqlalchemy import Connection, inspect, text

from vouchbook.library.search.find import find
from vouchbook.library.search.query import Filters, parse
from vouchbook.library.search.saved import SavedSearch, forget_search, save_search, saved_searches
from vouchbook.library.search.sentences import index_item, index_sentences, rebuild, remove_sentences
from vouchbook.models.errors import SettingError


def _found(library: Connection, typed: str) -> list[int]:
    return sorted(result.sentence_id for result in find(library, parse(typed)).results)


def test_a_decision_moves_an_item_among_the_confirmed(library: Connection) -> None:
    assert _found(library, "straight is:confirmed") == []
    library.execute(text("UPDATE item SET state = 'confirmed' WHERE id = 13"))
    assert index_item(library, 13) == 1
    assert _found(library, "straight is:confirmed") == [13]
    assert _found(library, "straight") == [13]


def test_new_words_replace_the_old(library: Connection) -> None:
    library.execute(text("UPDATE sentence SET words = 'Crank the winch, twelve mil.' WHERE id = 13"))
    index_sentences(library, [13])
    assert _found(library, "straight") == []
    assert _found(library, "winch 12 mm") == [13]


def test_what_is_removed_is_not_found(library: Connection) -> None:
    remove_sentences(library, [13])
    library.execute(text("DELETE FROM sentence WHERE id = 13"))
    assert _found(library, "straight") == []


def test_counts_of_terms_are_those_of_a_rebuild(library: Connection) -> None:
    counts = text("SELECT term, sentences FROM search_term WHERE sentences > 0 ORDER BY term")
    library.execute(text("UPDATE sentence SET words = 'Something else' WHERE id < 9"))
    index_sentences(library, range(1, 9))
    stepwise = library.execute(counts).all()
    assert rebuild(library) == 20
    assert library.execute(counts).all() == stepwise


def test_hostile_captions_are_indexed_harmlessly(library: Connection) -> None:
    words = "<script>' \" \\ \x01 NOT tags: ' " + "galore " * 30_000 + "z" * 100_000
    library.execute(text("UPDATE sentence SET words = :words WHERE id = 13"), {"words": words})
    index_sentences(library, [13])
    (result,) = find(library, parse("galore")).results
    assert len(result.snippet.text) <= 240


def test_the_index_can_be_undone_and_made_again(library: Connection) -> None:
    drop_index(library)
    assert {"sentence_place", "search_term", "search_size"}.isdisjoint(inspect(library).get_table_names())
    assert library.execute(text("SELECT count(*) FROM sentence")).scalar_one() == 20


def test_a_search_is_saved_under_a_name(library: Connection) -> None:
    at = datetime(2026, 5, 1, tzinfo=UTC)
    first = SavedSearch(name="loops", typed="cut loop", filters=Filters(maker="Kestrel"))
    save_search(library, 1, first, at)
    save_search(library, 1, first.model_copy(update={"typed": "loop"}), at)
    save_search(library, 2, first, at)
    (kept,) = saved_searches(library, 1)
    assert (kept.typed, kept.query.words, kept.query.filters.maker) == ("loop", ("loop",), "Kestrel")
    assert forget_search(library, 1, "loops")
    assert not forget_search(library, 1, "loops")
    assert len(saved_searches(library, 2)) == 1
    with pytest.raises(SettingError, match="Give another name"):
        save_search(library, 1, first.model_copy(update={"name": "a\nb"}), at)
