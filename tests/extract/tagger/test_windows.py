"""Words to windows: nothing is left out, nothing is too long, and each word is read where most stands around it."""

from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from vouchbook.extract.tagger.windows import CLOSES, LONGEST, OPENS, UNKNOWN, Words, pieces_of, window_from, windows

_TELLS, _ASKS = 1, 2


def talk(lengths: list[int], *, line_length: int = 0, asks: bool = False) -> Words:
    """Words of so many pieces each, in lines of ``line_length`` words (0: all in one); word n has pieces 1000 + n."""
    pieces = pieces_of([[1000 + n] * length for n, length in enumerate(lengths)])
    lines = tuple(n // line_length if line_length else 0 for n in range(len(lengths)))
    return Words(pieces, lines, (asks,) * len(lengths))


LENGTHS = st.builds(
    lambda pattern, times: pattern * times,  # a talk of several windows comes up often this way
    st.lists(st.integers(0, 3), min_size=1, max_size=20),
    st.sampled_from([0, 1, 20]),
)
TALKS = st.builds(
    talk,
    LENGTHS,
    line_length=st.sampled_from([0, 2, 7, 30]),
    asks=st.booleans(),
)


@settings(deadline=None, max_examples=50)
@given(TALKS)
def test_every_word_stands_in_a_window(words: Words) -> None:
    assert {token for window in windows(words) for token in window.tokens} == set(range(len(words.pieces)))


@settings(deadline=None, max_examples=50)
@given(TALKS)
def test_no_window_is_longer_than_the_network_takes(words: Words) -> None:
    for window in windows(words):
        assert len(window.ids) <= LONGEST
        assert (window.ids[0], window.ids[-1]) == (OPENS, CLOSES)
        assert not {OPENS, CLOSES} & set(window.ids[1:-1])


@settings(deadline=None, max_examples=50)
@given(TALKS)
def test_the_words_of_a_window_follow_each_other_each_with_all_its_pieces(words: Words) -> None:
    for window in windows(words):
        assert window.tokens == tuple(range(window.tokens[0], window.tokens[-1] + 1))
        assert len(window.firsts) == len(window.tokens)
        for first, token in zip(window.firsts, window.tokens, strict=True):
            assert window.ids[first : first + len(words.pieces[token])] == words.pieces[token]


@settings(deadline=None, max_examples=50)
@given(TALKS)
def test_windows_overlap_and_go_on(words: Words) -> None:
    for before, after in pairwise(windows(words)):
        assert before.tokens[0] < after.tokens[0] <= before.tokens[-1]
        assert before.tokens[-1] <= after.tokens[-1]


@settings(deadline=None, max_examples=50)
@given(TALKS)
def test_a_line_opens_with_who_speaks_also_where_a_window_begins_inside_it(words: Words) -> None:
    opener = _ASKS if any(words.asks) else _TELLS
    for window in windows(words):
        for place, (first, token) in enumerate(zip(window.firsts, window.tokens, strict=True)):
            is_opened = place == 0 or words.lines[token] != words.lines[token - 1]
            assert (window.ids[first - 1] == opener) is is_opened


def test_every_word_of_ordinary_talk_stands_deep_in_a_window() -> None:
    words = talk([1, 1, 2] * 300, line_length=12)
    every, total = list(windows(words)), len(words.pieces)
    for token in range(total):
        inside = [w for w in every if w.tokens[0] <= token <= w.tokens[-1]]
        assert max(w.depth(token - w.tokens[0], total) for w in inside) >= 24, "well inside of what neighbours share"


def test_words_of_many_pieces_do_not_each_open_a_window() -> None:
    words = talk([8] * 300)
    assert len(list(windows(words))) <= 6 * sum(map(len, words.pieces)) / LONGEST


def test_neighbours_share_so_many_words() -> None:
    first, second, *_ = windows(talk([1] * 600))
    assert len(first.tokens) == LONGEST - 3, "all but the begin, the end and the opener of the line"
    assert first.tokens[-1] + 1 - second.tokens[0] == 64


@pytest.mark.parametrize(
    ("place", "depth"),
    [
        pytest.param(0, 0, id="first-of-the-window"),
        pytest.param(2, 2, id="two-inside"),
        pytest.param(20, 20, id="the-end-of-the-talk-is-far"),
        pytest.param(99, 99, id="last-of-the-talk"),
    ],
)
def test_depth_counts_to_the_next_edge_that_cuts_the_talk(place: int, depth: int) -> None:
    words = talk([1] * 200)
    assert window_from(words, 100).depth(place, 200) == depth


def test_a_window_over_the_whole_talk_has_no_edge() -> None:
    (window,) = windows(talk([1] * 9))
    assert {window.depth(place, 9) for place in range(9)} == {9}


def test_an_empty_talk_has_no_window() -> None:
    assert list(windows(Words((), (), ()))) == []


@pytest.mark.parametrize(
    ("spelled", "pieces"),
    [
        pytest.param([7], (7,), id="one"),
        pytest.param([7, 8], (7, 8), id="two"),
        pytest.param([], (UNKNOWN,), id="nothing-is-spelled"),
        pytest.param(list(range(3000)), tuple(range(8)), id="huge"),
    ],
)
def test_a_word_has_at_least_one_piece_and_not_too_many(spelled: list[int], pieces: tuple[int, ...]) -> None:
    assert pieces_of([spelled]) == (pieces,)


def test_a_huge_word_between_others_hides_none_of_them() -> None:
    (window,) = windows(talk([1, 3000, 1]))
    assert window.tokens == (0, 1, 2)
    assert [window.ids[first] for first in window.firsts] == [1000, 1001, 1002]
