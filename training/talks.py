"""The examples, made ready for the network: numbers for words, features and answers."""

import gzip
import json
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt
from tokenizers import Tokenizer

from vouchbook.extract.tagger.card import DEED, Card
from vouchbook.extract.tagger.labels import FEATURES, SAID
from vouchbook.extract.tagger.windows import Words, pieces_of

Example = dict[str, Any]
IGNORED = -100
"""The number of an answer that is not learned."""
_FEWEST = 3
"""Steps in which a plain deed has to be implied before it is learned as one."""


def load(path: Path) -> list[Example]:
    """The examples in a file that ``examples.py`` wrote."""
    with gzip.open(path, "rt", encoding="utf-8") as file:
        records: list[Example] = json.load(file)
    return records


def speller_of(encoder: Path) -> Tokenizer:
    """What splits words into the word pieces of ``encoder``, neither filling up nor cutting off."""
    speller = Tokenizer.from_file(str(encoder / "tokenizer.json"))
    speller.no_padding()
    speller.no_truncation()
    return speller


def make_card(examples: Sequence[Example], name: str) -> Card:
    """A card with the values and deeds of ``examples``; what was measured is written in later."""
    values = {f: tuple(sorted({value for e in examples for value in e["features"][f]})) for f in FEATURES}
    deeds: Counter[str] = Counter()
    for example in examples:
        before = ""
        for deed in example["labels"][DEED]:
            deeds[deed] += deed not in {before, SAID, "-"}
            before = deed
    common = tuple(deed for deed, times in sorted(deeds.items(), key=lambda d: (-d[1], d[0])) if times >= _FEWEST)
    trained_on = f"{len(examples)} walk-throughs, invented and annotated"
    return Card(name=name, feature_values=values, deeds=(SAID, *common), trained_on=trained_on, measured="", limits="")


@dataclass(frozen=True)
class Talk:
    """One talk: its words, a row of feature numbers for each, the answer to each question; and it in other words."""

    name: str
    words: Words
    is_word: tuple[bool, ...]
    features: npt.NDArray[np.int64]
    answers: dict[str, npt.NDArray[np.int64]]

    variants: tuple["Talk", ...] = ()

    def without_punctuation(self) -> "Talk":
        """The same talk as a recogniser prints it that writes none."""
        kept = [n for n, is_word in enumerate(self.is_word) if is_word]
        words = Words(
            tuple(self.words.pieces[n] for n in kept),
            tuple(self.words.lines[n] for n in kept),
            tuple(self.words.asks[n] for n in kept),
        )
        answers = {head: column[kept] for head, column in self.answers.items()}
        return Talk(self.name, words, (True,) * len(kept), self.features[kept], answers)


def ready(examples: Iterable[Example], card: Card, speller: Tokenizer) -> list[Talk]:
    """The examples as numbers."""
    return [_ready(example, card, speller) for example in examples]


def _ready(example: Example, card: Card, speller: Tokenizer) -> Talk:
    own = _talk(example, card, speller)
    others = (_talk(_varied(example, variant), card, speller) for variant in example["variants"])
    return replace(own, variants=tuple(others))


def _talk(example: Example, card: Card, speller: Tokenizer) -> Talk:
    spelled = speller.encode_batch([word.lower() for word in example["words"]], add_special_tokens=False)
    words = Words(pieces_of([each.ids for each in spelled]), tuple(example["lines"]), tuple(example["asks"]))
    known_values = zip(FEATURES, card.numbers(), strict=True)
    columns = [[known.get(v, 0) for v in example["features"][f]] for f, known in known_values]
    answers = {}
    for head, labels in card.heads().items():
        number = {label: n for n, label in enumerate(labels)}
        unknown = 0 if head == DEED else IGNORED  # a rare plain deed is learned as one that is said
        column = [IGNORED if a == "-" else number.get(a, unknown) for a in example["labels"][head]]
        answers[head] = np.array(column, np.int64)
    is_word = tuple(any(c.isalnum() for c in word) for word in example["words"])
    return Talk(example["name"], words, is_word, np.array(columns, np.int64).T, answers)


def _varied(example: Example, variant: dict[str, Any]) -> Example:
    """The example in the words and the order of ``variant``."""
    order = variant["order"]
    columns = {name: [example[name][n] for n in order] for name in ("lines", "asks")}
    features = {name: [column[n] for n in order] for name, column in example["features"].items()}
    labels = {head: moved(column, order) for head, column in example["labels"].items()}
    return {**example, **columns, "words": variant["words"], "features": features, "labels": labels}


def moved(labels: Sequence[str], order: Sequence[int]) -> list[str]:
    """The labels of words in another ``order``; a stretch whose words were parted opens again, joined ones do not."""
    stretch, count = [], 0
    for label in labels:
        count += not label.startswith("I-")
        stretch.append(count)
    out: list[str] = []
    for place, n in enumerate(order):
        label = labels[n]
        if label[:2] in {"B-", "I-"}:
            is_inside = place > 0 and stretch[order[place - 1]] == stretch[n]
            label = ("I-" if is_inside else "B-") + label[2:]
        out.append(label)
    return out
