"""Makes ``extract/listen/voice_weights.npz`` from the weights that the package Resemblyzer 0.1.4 carries.

    pip download --no-deps --dest /tmp Resemblyzer==0.1.4
    unzip -j -d /tmp /tmp/Resemblyzer-0.1.4-py3-none-any.whl resemblyzer/pretrained.pt
    python benchmarks/make_voice_weights.py /tmp/pretrained.pt extract/listen/voice_weights.npz

PyTorch is not needed: its older file format is a row of pickles with plain arrays behind them, and the unpickler here
refuses everything but those. Weights are stored as float16; the optimiser's state, most of the original, is left out.
"""

import argparse
import pickle
import sys
from collections import OrderedDict
from collections.abc import Callable
from hashlib import sha256
from pathlib import Path
from typing import Any, BinaryIO

import numpy as np
import numpy.typing as npt

ORIGINAL_SHA256 = "39373b86598fa3da9fcddee6142382efe09777e8d37dc9c0561f41f0070f134e"
_FORMAT_MAGIC = 0x1950A86A20F9469CFC6C
_NAMES = {
    **{
        f"lstm.{part}_l{layer}": f"{part}_{layer}"
        for layer in range(3)
        for part in ("weight_ih", "weight_hh", "bias_ih", "bias_hh")
    },
    "linear.weight": "linear_weight",
    "linear.bias": "linear_bias",
}
Shape = tuple[str, int, tuple[int, ...]]
"""Key of the storage, offset in it, and shape of an array whose numbers come later in the file."""


def _tensor(storage: str, offset: int, shape: tuple[int, ...], *_more: object) -> Shape:
    return storage, offset, shape


def _parameter(tensor: Shape, *_more: object) -> Shape:
    return tensor


class _Unpickler(pickle.Unpickler):
    """Knows dictionaries and arrays of 32-bit floats, and refuses every other class."""

    _KNOWN: dict[tuple[str, str], Callable[..., Any] | str] = {  # noqa: RUF012  pickle wants no instance state
        ("collections", "OrderedDict"): OrderedDict,
        ("torch._utils", "_rebuild_tensor_v2"): _tensor,
        ("torch._utils", "_rebuild_parameter"): _parameter,
        ("torch", "FloatStorage"): "float32",
    }

    def find_class(self, module: str, name: str) -> Any:  # noqa: ANN401  as the base class says
        try:
            return self._KNOWN[module, name]
        except KeyError:
            raise pickle.UnpicklingError(f"unexpected class {module}.{name}") from None

    def persistent_load(self, pid: tuple[object, ...]) -> str:
        kind, dtype, key = pid[0], pid[1], pid[2]
        if kind != "storage" or dtype != "float32":
            raise pickle.UnpicklingError(f"unexpected storage {kind} {dtype}")
        return str(key)


def read_arrays(file: BinaryIO) -> dict[str, npt.NDArray[np.float32]]:
    """The arrays of the model in a file of the older format, by their names in it."""
    if _Unpickler(file).load() != _FORMAT_MAGIC:
        raise pickle.UnpicklingError("not a file of the older PyTorch format")
    _Unpickler(file).load()  # protocol version
    _Unpickler(file).load()  # sizes of numbers on the machine that wrote it
    checkpoint = _Unpickler(file).load()
    keys: list[str] = _Unpickler(file).load()
    storages: dict[str, npt.NDArray[np.float32]] = {}
    for key in keys:
        size = int.from_bytes(file.read(8), "little")
        storages[key] = np.frombuffer(file.read(4 * size), dtype="<f4")
    arrays = {}
    for name, (key, offset, shape) in checkpoint["model_state"].items():
        arrays[name] = storages[key][offset : offset + int(np.prod(shape))].reshape(shape)
    return arrays


def main() -> int:
    """Writes the weights; returns the exit status."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("pretrained", type=Path)
    parser.add_argument("out", type=Path)
    arguments = parser.parse_args()
    if sha256(arguments.pretrained.read_bytes()).hexdigest() != ORIGINAL_SHA256:
        print(f"{arguments.pretrained}: not the weights of Resemblyzer 0.1.4", file=sys.stderr)
        return 2
    with arguments.pretrained.open("rb") as file:
        arrays = read_arrays(file)
    weights: dict[str, Any] = {ours: arrays[theirs].astype(np.float16) for theirs, ours in _NAMES.items()}
    np.savez_compressed(arguments.out, **weights)
    print(arguments.out, arguments.out.stat().st_size, "bytes", sha256(arguments.out.read_bytes()).hexdigest())
    return 0


if __name__ == "__main__":
    sys.exit(main())
