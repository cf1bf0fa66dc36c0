"""Questions and the sentences that answer them, in both databases."""

import math
from collections.abc import Sequence

import pytest
from sqlalchemy import Connection, text

from vouchbook.library.search.find import find
from vouchbook.library.search.query import Filters, parse

ANSWERS = [
    ("3/8", [1]), ("three-eighths", [1]), ("three eighths socket", [1]), ("9.5 mm", [2]), ("9.5mm", [2]),
    ("nine and a half mil", [2]), ("near 9.5 mm", [1, 2]), ("near:9.5mm", [1, 2]), ("10 mm", [6, 7]),
    ("T30", [19]), ("talks thirty", [19]), ("400 volts", [5]), ("10 minutes", [8]), ("11 mm", []),
    ("bonnet", [3]), ("hood", [3]), ("windshield", [9]),
    ("accumlator", [18]), ("invertor", [8]), ("chock", [14]),
    ("hidraulic", [16, 17]), ("brakes", [14]), ("chocking wheels", [14]),
    ('"left of the boom"', [16]), ('"boom left"', []),
    ("hydraulic -boom", [17]), ("touch maker:kestrel", [5, 8]), ("pump maker:kestrel", []), ("kind:warning", [5, 18]),
    ('hazard:"electric shock"', [5]), ("touch is:confirmed", [5]),
    ("plug person:okafor", [12]), ("pump place:canal", [16, 17]),
    ("pump date:2025-02", [16, 17]), ("pump date:2026", []), ("socket years:2019", [1, 2]),
    ("socket years:2024", []),
    ("socket energy:battery", [1, 2]), ("pump subject:crane", [16, 17]), ("the service plug", [12, 13]),
    ("phase:isolation plug", [13]),
]  # fmt: skip


@pytest.mark.parametrize(("typed", "expected"), ANSWERS, ids=[typed for typed, _ in ANSWERS])
def test_a_question_finds_its_sentences_and_no_others(library: Connection, typed: str, expected: list[int]) -> None:
    found = find(library, parse(typed))
    assert sorted(result.sentence_id for result in found.results if not found.is_relaxed) == expected


# How well each sentence answers: 2 is what was meant, 1 helps.
GRADED: list[tuple[str, dict[int, int]]] = [
    ("where is the hydraulic pump", {16: 2, 17: 1}), ("how do i open the bonnet", {3: 2}),
    ("which socket for the bolts, 3/8", {1: 2}), ("how long do i wait, 10 min", {8: 2}),
    ("pull the service plug", {13: 2, 12: 1}), ("high voltage cabels orange", {5: 2}), ("10mm spanner", {7: 2, 6: 1}),
    ("cutting the windshield", {9: 2}), ("where do i find the batery", {10: 2, 12: 1}), ("bleeding pressure", {18: 2}),
    ("chock wheels brakes", {14: 2}), ("t30 screws", {19: 2}),
]  # fmt: skip


def test_answers_rank_better_than_plain_full_text(library: Connection) -> None:
    ours = [_ndcg([r.sentence_id for r in find(library, parse(q), most=10).results], graded) for q, graded in GRADED]
    plain = [_ndcg(_plain(library, q), graded) for q, graded in GRADED]
    assert sum(ours) / len(ours) >= 0.9
    assert sum(ours) > sum(plain) + 0.1 * len(plain)


def _ndcg(found: Sequence[int], graded: dict[int, int]) -> float:
    """nDCG@10 of Järvelin and Kekäläinen (2002)."""
    gain = sum((2 ** graded.get(each, 0) - 1) / math.log2(rank + 2) for rank, each in enumerate(found[:10]))
    best = sum((2**grade - 1) / math.log2(r + 2) for r, grade in enumerate(sorted(graded.values(), reverse=True)))
    return float(gain / best)


def _plain(library: Connection, typed: str) -> list[int]:
    """The database's own full text, any of the words, ranked by its own ranking with its English stemmer."""
    words = ["".join(c for c in word if c.isalnum()) for word in typed.replace("/", " ").split()]
    if library.dialect.name == "sqlite":
        library.execute(text("CREATE VIRTUAL TABLE IF NOT EXISTS temp.plain USING fts5(words, tokenize='porter')"))
        library.execute(text("DELETE FROM temp.plain"))
        library.execute(text("INSERT INTO temp.plain (rowid, words) SELECT id, words FROM sentence"))
        asked = text("SELECT rowid FROM temp.plain WHERE plain MATCH :q ORDER BY rank LIMIT 10")
        return list(library.execute(asked, {"q": " OR ".join(f'"{word}"' for word in words)}).scalars())
    asked = text(
        "SELECT id FROM sentence, to_tsquery('english', :q) AS q WHERE to_tsvector('english', words) @@ q "
        "ORDER BY ts_rank(to_tsvector('english', words), q) DESC LIMIT 10"
    )
    return list(library.execute(asked, {"q": " | ".join(words)}).scalars())


def test_a_result_says_what_to_play_and_which_edition(library: Connection) -> None:
    (result,) = find(library, parse("first responder loop")).results[:1]
    assert (result.sentence_id, result.sha256, result.start_s, result.visit_id) == (4, "aa", 20.0, 1)
    assert (result.edition_id, result.edition_number, result.edition_state) == (1, 1, "published")
    shown = [result.snippet.text[start:end] for start, end in result.snippet.matches]
    assert shown == ["first", "responder", "loop"]
    assert find(library, parse("boom")).results[0].edition_state == "none"


@pytest.mark.parametrize(
    ("change", "state"),
    [
        ("UPDATE edition SET withdrawn_at = '2026-06-01'", "withdrawn"),
        ("INSERT INTO edition VALUES (2, 1, 99, 2, NULL)", "replaced"),
    ],
)
def test_what_is_withdrawn_or_replaced_is_found_and_marked(library: Connection, change: str, state: str) -> None:
    library.execute(text(change))
    assert find(library, parse("first responder loop")).results[0].edition_state == state


def test_a_size_is_marked_as_it_was_said(library: Connection) -> None:
    (result,) = find(library, parse("9.5 mm")).results
    assert [result.snippet.text[start:end] for start, end in result.snippet.matches] == ["nine and a half mil"]


def test_filters_come_as_fields_too(library: Connection) -> None:
    found = find(library, parse("touch", Filters(maker="Kestrel", is_confirmed_only=True)))
    assert [result.sentence_id for result in found.results] == [5]


def test_a_word_that_nobody_said_does_not_hide_the_rest(library: Connection) -> None:
    found = find(library, parse("accumulator zzyzx"))
    assert [result.sentence_id for result in found.results] == [18]
    assert found.is_relaxed


HOSTILE = [
    '" OR words:* NOT (', "a' ; DROP TABLE sentence; --", "NEAR(a b, 2)", "\x00\x1b[2J", "x" * 10_000_000, '"' * 5000,
    "- - -", "tags : k_step", "':*' & !'a' <-> |", "maker:%%% _", "\ud800", "a:b:c:d", "<script>alert(1)</script>",
]  # fmt: skip


@pytest.mark.parametrize("typed", HOSTILE, ids=range(len(HOSTILE)))
def test_a_hostile_question_is_harmless(library: Connection, typed: str) -> None:
    find(library, parse(typed))
    assert library.execute(text("SELECT count(*) FROM sentence")).scalar_one() == 20


@pytest.mark.parametrize(
    ("typed", "subject"),
    [
        ("first responder loop", "Kestrel Dart 2018 to 2022 (battery)"),
        ("handwheel clockwise", "Halvard H7 2005 to (diesel)"),
    ],
)
def test_each_result_says_which_machine_it_is_about(library: Connection, typed: str, subject: str) -> None:
    assert str(find(library, parse(typed)).results[0].subject) == subject
