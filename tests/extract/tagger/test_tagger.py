"""The tagger around a stand-in network: what is fed arrives there, and its answers arrive at their words."""

from collections.abc import Sequence
from typing import Any

import numpy as np
import numpy.typing as npt
import pytest

from vouchbook.extract.tagger.card import Card
from vouchbook.extract.tagger.labels import FEATURES, SAID
from vouchbook.extract.tagger.marks import Marks
from vouchbook.extract.tagger.tagger import Tagger
from vouchbook.extract.tagger.weights import Weighing
from vouchbook.extract.tagger.windows import Words, pieces_of, windows

Numbers = npt.NDArray[np.int64]
CARD = Card(
    name="stand-in",
    feature_values=dict.fromkeys(FEATURES, ("one", "two", "three")),
    deeds=(SAID, "remove", "open"),
    trained_on="nothing",
    measured="nothing",
    limits="answers by rote",
)
_FIRST = 1000
"""The word piece of the word "0"."""


class Speller:
    """Spells the word "17" with one piece, and "17 17 17" with three."""

    def __init__(self) -> None:
        self.asked: list[str] = []

    def spell(self, words: Sequence[str]) -> list[list[int]]:
        self.asked += words
        return [[_FIRST + int(part) for part in word.split() if part.isdigit()] for word in words]


class Network:
    """Answers each question for a word by the number of its first piece, or by the number of the window."""

    def __init__(self, by: str = "piece") -> None:
        self._by = by
        self.fed: list[dict[str, Numbers]] = []
        self._windows = 0

    def run(self, names: None, fed: dict[str, Numbers]) -> list[npt.NDArray[np.float32]]:
        assert names is None
        self.fed.append(fed)
        number = np.take_along_axis(fed["ids"], fed["firsts"], axis=1) - _FIRST
        if self._by == "window":
            number = np.zeros_like(number) + self._windows + np.arange(len(number))[:, None]
            self._windows += len(number)
        sizes = [len(labels) for labels in CARD.heads().values()]
        return [30 * np.eye(size, dtype=np.float32)[number % size] for size in sizes]


def mark(words: Sequence[str], network: Network, *, speller: Speller | None = None, value: str = "one") -> Marks:
    """Marks over lines of five words; the asker has each second line."""
    tagger = Tagger(network, speller or Speller(), CARD, Weighing(evidence=(), kinds={}))
    lines = [n // 5 for n in range(len(words))]
    return tagger.mark(words, lines, [line % 2 == 1 for line in lines], [[value] * len(FEATURES) for _ in words])


@pytest.mark.parametrize("length", [1, 2, 5, 250, 251, 252, 700, 2500])
def test_each_answer_arrives_at_its_word(length: int) -> None:
    marks = mark([str(n) for n in range(length)], Network())
    for head, labels in CARD.heads().items():
        assert marks.tables[head].argmax(axis=1).tolist() == [n % len(labels) for n in range(length)], head
        assert marks.labels[head] == labels


def test_words_of_several_pieces_and_of_none_keep_their_place() -> None:
    words = ["0 9 9", "1", "2 9 9 9 9 9 9 9 9 9 9 9", "3 9", "4"]
    marks = mark(words, Network())
    assert marks.tables["phase"].argmax(axis=1).tolist() == [0, 1, 2, 3, 4]
    assert mark(["no number", "1"], Network()).tables["phase"].shape == (2, 9)


def test_answers_are_probabilities() -> None:
    marks = mark([str(n) for n in range(300)], Network())
    for table in marks.tables.values():
        assert table.sum(axis=1) == pytest.approx(np.ones(300), abs=1e-5)
        assert table.min() >= 0


def test_each_word_is_answered_from_the_window_in_which_it_stands_deepest() -> None:
    total = 1100
    every = list(windows(Words(pieces_of([[1]] * total), tuple(n // 5 for n in range(total)), (False,) * total)))
    assert 4 < len(every) <= len(CARD.heads()["phase"]), "more than one batch, and each window has an answer"

    def depth(window: range, token: int) -> int:
        ends = [token - window[0]] * (window[0] > 0) + [window[-1] - token] * (window[-1] < total - 1)
        return min(ends, default=total)

    spans = [range(window.tokens[0], window.tokens[-1] + 1) for window in every]
    expected = [max((n for n, s in enumerate(spans) if t in s), key=lambda n: depth(spans[n], t)) for t in range(total)]
    answered = mark([str(n) for n in range(total)], Network("window")).tables["phase"].argmax(axis=1).tolist()
    assert answered == expected


def test_an_empty_talk_gives_empty_tables_and_asks_the_network_nothing() -> None:
    network = Network()
    marks = mark([], network)
    assert network.fed == []
    assert {head: table.shape for head, table in marks.tables.items()} == {
        head: (0, len(labels)) for head, labels in CARD.heads().items()
    }


def test_the_network_is_fed_windows_filled_up_with_nothing() -> None:
    network = Network()
    mark([str(n) for n in range(2500)], network)
    for fed in network.fed:
        assert fed["ids"].shape == fed["mask"].shape
        assert fed["features"].shape == (*fed["firsts"].shape, len(FEATURES))
        assert ((fed["ids"] != 0) == (fed["mask"] == 1)).all()
        assert {array.dtype.name for array in fed.values()} == {"int64"}
    assert len(network.fed) > 1


@pytest.mark.parametrize(
    ("value", "number"), [("one", 1), ("three", 3), pytest.param("never heard of", 0, id="unknown-is-nought")]
)
def test_a_value_of_a_feature_is_fed_by_its_number(value: str, number: int) -> None:
    network = Network()
    mark(["0", "1"], network, value=value)
    (fed,) = network.fed
    assert fed["features"].tolist() == [[[number] * len(FEATURES)] * 2]


def test_features_stand_beside_their_own_word() -> None:
    network = Network()
    rows = [[("one", "two", "three")[n % 3]] * len(FEATURES) for n in range(600)]
    tagger = Tagger(network, Speller(), CARD, Weighing(evidence=(), kinds={}))
    tagger.mark([str(n) for n in range(600)], [0] * 600, [False] * 600, rows)
    for fed in network.fed:
        words = np.take_along_axis(fed["ids"], fed["firsts"], axis=1) - _FIRST
        is_filled = fed["firsts"] > 0
        assert (fed["features"][..., 0][is_filled] == words[is_filled] % 3 + 1).all()


def test_a_row_of_features_that_is_too_short_is_refused() -> None:
    tagger = Tagger(Network(), Speller(), CARD, Weighing(evidence=(), kinds={}))
    with pytest.raises(ValueError, match="is shorter"):
        tagger.mark(["0"], [0], [False], [["one"]])


def test_words_are_spelled_without_capitals() -> None:
    speller = Speller()
    mark(["LIFT", "It"], Network(), speller=speller)
    assert speller.asked == ["lift", "it"]


def test_the_line_of_the_asker_opens_otherwise() -> None:
    network = Network()
    mark([str(n) for n in range(10)], network)
    ids: Any = network.fed[0]["ids"][0].tolist()
    assert ids == [101, 1, 1000, 1001, 1002, 1003, 1004, 2, 1005, 1006, 1007, 1008, 1009, 102]
