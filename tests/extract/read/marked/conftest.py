"""Marks made by hand, as if the tagger had seen them."""

from collections.abc import Callable, Iterable

import numpy as np
import pytest

from vouchbook.extract.read.talk import Talk
from vouchbook.extract.tagger.card import DEED
from vouchbook.extract.tagger.labels import HEADS, SAID
from vouchbook.extract.tagger.marks import Marks

LABELS = {**HEADS, DEED: (SAID, "remove", "open", "turn off")}


def _tokens(talk: Talk, phrase: str, free: Iterable[int]) -> list[int]:
    """The first free tokens that are ``phrase``, letter by letter."""
    letters, open_ = phrase.replace(" ", ""), set(free)
    for start in range(len(talk.doc)):
        said, end = "", start
        while end in open_ and len(said) < len(letters):
            said += talk.doc[end].text
            end += 1
        if said == letters:
            return list(range(start, end))
    raise AssertionError(f"nobody says {phrase!r} (once more)")


@pytest.fixture(scope="session")
def mark() -> Callable[..., Marks]:
    """Marks for a talk: for each question, its phrases with their answers, marked with probability ``sure``.

    ``mark(talk, step={"push": "B-deed", "panel": "B-thing", "in": "I-deed"})``. A phrase of several tokens opens with
    "B-" and goes on with "I-". What is not marked is answered by the first answer there is.
    """

    def marks(talk: Talk, *, sure: float = 0.9, **questions: dict[str, str]) -> Marks:
        total = len(talk.doc)
        tables = {head: np.zeros((total, len(labels)), np.float32) for head, labels in LABELS.items()}
        for table in tables.values():
            table[:, 0] = 1
        for head, phrases in questions.items():
            free = set(range(total))
            for phrase, answer in phrases.items():
                tokens = _tokens(talk, phrase, free)
                free -= set(tokens)
                for n, token in enumerate(tokens):
                    goes_on = answer.replace("B-", "I-", 1) if n and answer.startswith("B-") else answer
                    tables[head][token] = 0
                    tables[head][token, 0] = 1 - sure
                    tables[head][token, LABELS[head].index(goes_on)] += sure
        return Marks(tables, LABELS)

    return marks


@pytest.fixture(scope="session")
def mark_every_word() -> Callable[[Talk, str], Marks]:
    """Marks that give each word of a talk, but no punctuation, one and the same answer to the question of steps."""

    def marks(talk: Talk, answer: str) -> Marks:
        tables = {head: np.zeros((len(talk.doc), len(labels)), np.float32) for head, labels in LABELS.items()}
        for table in tables.values():
            table[:, 0] = 1
        for token in talk.doc:
            if any(character.isalnum() for character in token.text):
                tables["step"][token.i] = 0
                tables["step"][token.i, LABELS["step"].index(answer)] = 1
        return Marks(tables, LABELS)

    return marks
