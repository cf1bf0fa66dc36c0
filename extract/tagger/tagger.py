"""The network, run over a talk: words and what the rules know of them in, marks out."""

from collections.abc import Mapping, Sequence
from typing import Any, Protocol

import numpy as np

from vouchbook.extract.tagger.card import Card
from vouchbook.extract.tagger.labels import FEATURES
from vouchbook.extract.tagger.marks import Marks, Table
from vouchbook.extract.tagger.weights import Weighing
from vouchbook.extract.tagger.windows import Window, Words, pieces_of, windows

_BATCH = 4
"""Windows that are run together."""

Run = Any  # an onnxruntime session; the library has no types


class Spells(Protocol):
    """What splits words into word pieces."""

    def spell(self, words: Sequence[str]) -> list[list[int]]:
        """The numbers of the pieces of each word."""


class Tagger:
    """The trained network with its card, made ready once for any number of talks."""

    def __init__(self, session: Run, speller: Spells, card: Card, weighing: Weighing) -> None:
        self._session, self._speller, self.card, self.weighing = session, speller, card, weighing
        self._numbers, self._heads = card.numbers(), card.heads()

    def mark(
        self, words: Sequence[str], lines: Sequence[int], asks: Sequence[bool], features: Sequence[Sequence[str]]
    ) -> Marks:
        """The answers for each of ``words``.

        ``lines`` numbers the line of each word, ``asks`` tells whether that is a line of the one who asks, and
        ``features`` has a row for each word with a value for each of ``FEATURES``.
        """
        total = len(words)
        tables = {head: np.zeros((total, len(labels)), np.float32) for head, labels in self._heads.items()}
        depth = np.full(total, -1)
        pieces = pieces_of(self._speller.spell([word.lower() for word in words]))
        said = Words(pieces, tuple(lines), tuple(asks))
        rows = self._rows(features)
        every = list(windows(said))
        for begin in range(0, len(every), _BATCH):
            batch = every[begin : begin + _BATCH]
            answers = self._answers(batch, rows)
            for n, window in enumerate(batch):
                for place, token in enumerate(window.tokens):
                    if (deep := window.depth(place, total)) > depth[token]:
                        depth[token] = deep
                        for head, table in tables.items():
                            table[token] = answers[head][n, place]
        return Marks(tables, self._heads)

    def _rows(self, features: Sequence[Sequence[str]]) -> Any:  # noqa: ANN401  an integer array
        numbers = [[known.get(value, 0) for known, value in zip(self._numbers, row, strict=True)] for row in features]
        return np.array(numbers, np.int64).reshape(len(features), len(FEATURES))

    def _answers(self, batch: Sequence[Window], rows: Any) -> Mapping[str, Table]:  # noqa: ANN401
        """For each question an array of windows, words, answers: probabilities."""
        longest = max(len(window.ids) for window in batch)
        most = max(len(window.tokens) for window in batch)
        shape = (len(batch), longest)
        ids, mask = np.zeros(shape, np.int64), np.zeros(shape, np.int64)
        firsts = np.zeros((len(batch), most), np.int64)
        known = np.zeros((len(batch), most, len(FEATURES)), np.int64)
        for n, window in enumerate(batch):
            ids[n, : len(window.ids)] = window.ids
            mask[n, : len(window.ids)] = 1
            firsts[n, : len(window.firsts)] = window.firsts
            known[n, : len(window.tokens)] = rows[list(window.tokens)]
        out = self._session.run(None, {"ids": ids, "mask": mask, "firsts": firsts, "features": known})
        return {head: _softmax(scores) for head, scores in zip(self._heads, out, strict=True)}


def _softmax(scores: Table) -> Table:
    powers = np.exp(scores - scores.max(axis=-1, keepdims=True))
    shares: Table = powers / powers.sum(axis=-1, keepdims=True)
    return shares
