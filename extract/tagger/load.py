"""Loads the tagger that comes with the program; the one place that knows onnxruntime and the spelling library."""

import os
from collections.abc import Sequence
from functools import cache
from importlib import resources

import onnxruntime
from tokenizers import Tokenizer

from vouchbook.extract.tagger.card import Card
from vouchbook.extract.tagger.tagger import Tagger
from vouchbook.extract.tagger.weights import Weighing

_HERE = "vouchbook.extract.tagger"
_MOST_THREADS = 2
"""More threads than this speed nothing up; the work comes in small pieces."""


class _Speller:
    """Words to word pieces by the vocabulary of the pretrained encoder."""

    def __init__(self, tokenizer: Tokenizer) -> None:
        self._tokenizer = tokenizer

    def spell(self, words: Sequence[str]) -> list[list[int]]:
        """The numbers of the pieces of each word."""
        encoded = self._tokenizer.encode_batch(list(words), add_special_tokens=False)
        return [list(each.ids) for each in encoded]


@cache  # a second for the first use, and it never changes while the program runs
def load_tagger() -> Tagger:
    """The tagger with its weights and card."""
    folder = resources.files(_HERE)
    card = Card.model_validate_json((folder / "card.json").read_text(encoding="utf-8"))
    speller = _Speller(Tokenizer.from_str((folder / "word_pieces.json").read_text(encoding="utf-8")))
    options = onnxruntime.SessionOptions()
    options.intra_op_num_threads = min(_MOST_THREADS, _processors())
    options.log_severity_level = 3
    weights = (folder / "tagger.onnx").read_bytes()
    session = onnxruntime.InferenceSession(weights, options, providers=["CPUExecutionProvider"])
    weighing = Weighing.model_validate_json((folder / "weighing.json").read_text(encoding="utf-8"))
    return Tagger(session, speller, card, weighing)


def _processors() -> int:
    """How many processors this process may use: two threads on one of them would wait for each other."""
    allowed = getattr(os, "sched_getaffinity", None)
    return len(allowed(0)) if allowed else os.cpu_count() or 1
