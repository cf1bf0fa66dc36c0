"""Fillers, asides and false starts are set aside; nothing that carries meaning ever is."""

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from vouchbook.extract.read.words import kept_words, plain

NEGATIONS = ["not", "no", "never", "don't", "can't", "mustn't", "won't", "nobody", "nothing", "without", "unless"]

KEPT = [
    # said, kept, why
    ("Um, lift the, er, flap.", "lift the, flap.", "fillers"),
    ("It's, you know, behind the grille.", "It's, behind the grille.", "an aside between commas"),
    ("It sits low, sort of.", "It sits low,", "an aside at the end"),
    ("Basically, pull it.", "pull it.", "an aside at the start"),
    ("Lift the, the flap.", "Lift the flap.", "a word said twice"),
    ("One of a, of a kind.", "One of a kind.", "two words said twice"),
    ("Undo it it it.", "Undo it.", "a word said three times"),
    ("You know by the lamp.", "You know by the lamp.", "no aside without a pause"),
    ("The kind of bolt.", "The kind of bolt.", "no aside without a pause"),
    ("Two two oh volts.", "Two two oh volts.", "digits of one number"),
    ("No no that side.", "No no that side.", "a denial"),
    ("It's off. It's off the hook.", "It's off. It's off the hook.", "a sentence ends between"),
    ("\u2014 Lift it.", "Lift it.", "a dash that stands for nothing"),
    ("", "", "nothing said"),
]


@pytest.mark.parametrize(("said", "kept", "why"), KEPT, ids=[f"{row[2]}: {row[0]}" for row in KEPT])
def test_only_noise_is_set_aside(said: str, kept: str, why: str) -> None:
    words = said.split()
    assert " ".join(words[i] for i in kept_words(words)) == kept, why


@pytest.mark.parametrize(
    ("word", "expected"),
    [("Foot-well,", "footwell"), ("don\u2019t", "don't"), ("LID.", "lid"), ("\u2014", ""), ("10mm", "10mm")],
)
def test_a_plain_word_has_no_capital_and_no_punctuation(word: str, expected: str) -> None:
    assert plain(word) == expected


SPOKEN = st.lists(
    st.sampled_from(
        [*NEGATIONS, "um", "you", "know,", "sort", "of", "lift", "it,", "the", "the,", "flap.", "i", "mean,"]
    )
)


@given(SPOKEN)
def test_kept_words_stand_in_the_order_of_the_talk(words: list[str]) -> None:
    kept = kept_words(words)
    assert all(first < second for first, second in pairwise(kept))
    assert all(0 <= i < len(words) and plain(words[i]) for i in kept)


@given(SPOKEN)
def test_a_negation_is_never_set_aside(words: list[str]) -> None:
    assert {words[i] for i in kept_words(words)} & set(NEGATIONS) == set(words) & set(NEGATIONS)
