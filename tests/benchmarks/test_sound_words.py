"""Words in one form, and critical words that were heard wrong."""

from collections.abc import Sequence
from itertools import pairwise

import pytest
from sound.mistakes import compared
from sound.words import tokens

from vouchbook.models.transcript import Line, Transcript, Word


def transcript(text: str, probabilities: Sequence[float] = (), second: float = 0) -> Transcript:
    """One line, a word a second."""
    words = tuple(
        Word(text=word, start_s=second + n, end_s=second + n + 0.9, probability=p)
        for n, (word, p) in enumerate(zip(text.split(), probabilities or [0.9] * len(text.split()), strict=True))
    )
    if not words:
        return Transcript(duration_s=10)
    end_s = words[-1].end_s
    line = Line(first_word=0, last_word=len(words) - 1, start_s=second, end_s=end_s)
    return Transcript(duration_s=end_s + 1, words=words, lines=(line,))


@pytest.mark.parametrize(
    "same",
    [
        ("a ten mil socket", "a 10mm socket", "a 10 millimeter socket", "a ten-millimetre socket"),
        ("three eighths inch", "3/8 inch", "3\u20448 inch", "three-eighths inch", "\u215c inches"),
        ("two two oh volts", "220 volts", "2-2-0 volt", "220V"),
        ("seven fifty bar", "750 bar", "seven hundred and fifty bar", "7 50 bars"),
        ("two thirteens", "2 13s", "two 13s"),
        ("the ten's for the old one", "the tens for the old one", "the 10s for the old one"),
        ("a three-eighths ratchet", "a 3-8th ratchet", "a 3/8 ratchet"),
        ("the near side, clock wise", "the nearside, clockwise"),
        ("anti-clockwise", "anticlockwise", "anti clock wise"),
        ("T thirty", "T30", "t-30"),
        ("don't cut", "do not cut", "dont cut", "Don\u2019t cut."),
        ("you can't", "you cannot", "You can not"),
        ("twelve hundred", "1200", "1,200"),
        ("two and a half metres", "2 and a half meters"),
        ("two point five tonnes", "2.5 tons"),
    ],
    ids=lambda same: same[0],
)
def test_ways_of_writing_one_thing_are_one(same: tuple[str, ...]) -> None:
    forms = [[token.text for token in tokens(text.split())] for text in same]
    for one, other in pairwise(forms):
        assert one == other


@pytest.mark.parametrize(
    ("text", "senses"),
    [
        ("a ten mil socket", {"10": "size", "mm": "size"}),
        ("a T thirty bit", {"30": "size"}),
        ("wait ten minutes", {"10": "number"}),
        ("the other one", {}),
        ("one litre", {"1": "number"}),
        ("the rear quarter", {"rear": "side"}),
        ("half inch drive", {"1/2": "size", "inch": "size"}),
        ("Right, so the bonnet", {}),
        ("it's on the right.", {"right": "side"}),
        ("right now", {}),
        ("don't cut left", {"not": "negation", "left": "side"}),
        ("nobody goes in", {"nobody": "negation"}),
    ],
    ids=lambda value: value if isinstance(value, str) else "",
)
def test_what_a_word_carries(text: str, senses: dict[str, str]) -> None:
    assert {token.text: token.sense for token in tokens(text.split()) if token.sense} == senses


def test_a_number_knows_the_words_that_write_it() -> None:
    found = [(t.text, t.first, t.last) for t in tokens("so two hundred and ten volts".split())]
    assert found == [("so", 0, 0), ("210", 1, 4), ("v", 5, 5)]


@pytest.mark.parametrize(
    ("said", "heard", "wrong"),
    [
        ("do not cut it", "do not cut it", []),
        ("do not cut it", "do cut it", [("negation", "not", False)]),
        ("do cut it now", "do not cut it now", [("negation", "not", True)]),
        ("a ten mil bolt", "a 10mm bolt", []),
        ("a ten mil bolt", "a tin mil bolt", [("size", "10", False)]),
        ("a ten mil bolt", "a ten meal bolt", [("size", "mm", False)]),
        ("take two bolts", "take to bolts", [("number", "2", False)]),
        ("take to bolts", "take two bolts", [("number", "2", True)]),
        ("ten bolts", "two bolts", [("number", "10", False)]),
        ("on the left side", "on the lift side", [("side", "left", False)]),
    ],
    ids=lambda value: value if isinstance(value, str) else "",
)
def test_critical_words_heard_wrong(said: str, heard: str, wrong: list[tuple[str, str, bool]]) -> None:
    found = compared(transcript(said), transcript(heard))
    assert [(m.sense, m.word, m.is_made_up) for m in found.mistakes] == wrong


def test_a_mistake_has_the_seconds_and_probability_of_the_word_in_its_place() -> None:
    (mistake,) = compared(transcript("take two bolts"), transcript("take to bolts", (0.9, 0.4, 0.3))).mistakes
    assert mistake.at == (1, 1.9)
    assert (mistake.probability, mistake.nearby) == (0.4, 0.3)


def test_a_lost_word_lies_between_its_neighbours() -> None:
    (mistake,) = compared(transcript("do not cut"), transcript("do cut", (0.5, 0.8))).mistakes
    assert mistake.at == (0.9, 1)
    assert mistake.probability == 0.5


def test_nothing_heard_at_all_loses_every_critical_word() -> None:
    found = compared(transcript("do not cut left", second=3), transcript(""))
    assert [m.word for m in found.mistakes] == ["not", "left"]
    assert all(m.at == (3, 6.9) for m in found.mistakes)
    assert (found.said, found.edits) == (4, 4)
