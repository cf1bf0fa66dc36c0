"""What was typed, taken apart."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from vouchbook.library.search.plan import Group, Plan, Way
from vouchbook.library.search.query import Filters, parse
from vouchbook.library.search.sqlite import match_of
from vouchbook.library.search.words import indexed_form, words_of

READ = [
    ("open the bonnets", {"words": ("open", "bonnet")}),
    ('"cut loop" orange', {"words": ("orang",), "phrases": (("cut", "loop"),)}),
    ("hood -plastic", {"words": ("hood",), "excluded": (("plastic",),)}),
    ('hood -"left side"', {"words": ("hood",), "excluded": (("left", "side"),)}),
    ("the", {"words": ("the",)}),
    ("first-responder loop", {"words": ("first", "responder", "loop")}),
    ("maker:Kestrel", {"filters": {"maker": "Kestrel"}}),
    ('hazard:"electric shock"', {"filters": {"hazard": "electric shock"}}),
    ("years:2018-2020", {"filters": {"years_from": 2018, "years_to": 2020}}),
    ("years:2018-", {"filters": {"years_from": 2018, "years_to": None}}),
    ("date:2024-02", {"filters": {"held_from": date(2024, 2, 1), "held_to": date(2024, 2, 29)}}),
    ("from:2026 until:2026-05-17", {"filters": {"held_from": date(2026, 1, 1), "held_to": date(2026, 5, 17)}}),
    ("kind:steps is:confirmed", {"filters": {"kind": "step", "is_confirmed_only": True}}),
]


@pytest.mark.parametrize(("typed", "expected"), READ, ids=[typed for typed, _ in READ])
def test_typed_text_is_read(typed: str, expected: dict[str, object]) -> None:
    read = parse(typed)
    assert {name: getattr(read, name) for name in ("words", "phrases", "excluded")} == {
        name: expected.get(name, ()) for name in ("words", "phrases", "excluded")
    }
    assert read.filters == Filters.model_validate(expected.get("filters", {}))


SIZES = [
    ("3/8", "3/8 in"), ("three-eighths", "3/8 in"), ('"three eighths"', "3/8 in"), ("9.5 mm", "9.5 mm"),
    ("nine and a half mil", "9.5 mm"), ("T30", "T30"), ("tee thirty", "T30"), ("13", "13"),
    ("about 400 volts", "400 V"),
]  # fmt: skip


@pytest.mark.parametrize(("typed", "normal"), SIZES, ids=[typed for typed, _ in SIZES])
def test_every_form_of_a_size_is_one(typed: str, normal: str) -> None:
    read = parse(typed)
    assert ([size.normal for size in read.sizes], read.words) == ([normal], ())


@pytest.mark.parametrize("typed", ["years:abc", "from:2026-13", "date:2026-02-30", "kind:poem", "years:2020-2018"])
def test_a_filter_that_cannot_be_read_is_told(typed: str) -> None:
    read = parse(typed)
    assert read.filters == Filters()
    assert len(read.notes) == 1


@pytest.mark.parametrize(
    ("given", "kind", "notes"), [(None, None, 0), ("step", "step", 0), ("Warnings", "warning", 0), ("zzz", None, 1)]
)
def test_a_kind_that_is_set_beside_the_words_is_read_as_a_typed_one(
    given: str | None, kind: str | None, notes: int
) -> None:
    read = parse("hood", Filters(kind=given))
    assert (read.filters.kind, len(read.notes)) == (kind, notes)


@pytest.mark.parametrize("words", ["bolt bolts bolted bolting", "cover covers covered covering", "battery batteries"])
def test_endings_do_not_hide_a_word(words: str) -> None:
    assert len({indexed_form(word) for word in words.split()}) == 1


@given(st.text(max_size=300))
def test_anything_typed_is_a_query_of_plain_terms(typed: str) -> None:
    read = parse(typed)
    for term in (*read.words, *(form for phrase in (*read.phrases, *read.excluded) for form in phrase)):
        assert term.isalnum()


@given(st.text(max_size=300))
def test_words_stand_where_they_say(text: str) -> None:
    for word in words_of(text):
        assert indexed_form(text[word.start : word.end]) == word.form


def test_terms_are_quoted_for_the_database() -> None:
    plan = Plan(groups=(Group(ways=(Way(terms=("cut", "loop")), Way(terms=("k_step",)))),), excluded=(("x",),))
    assert match_of(plan) == '((words : "cut loop" OR tags : "k_step")) NOT words : "x"'
