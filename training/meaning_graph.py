"""Writes the graph of the sentence model that onnxruntime runs for near meaning; the weights stay in their package.

usage: python training/meaning_graph.py library/search/meaning.onnx

The graph is BERT (Devlin and others 2019) of six layers with the mean of the word pieces as the sentence's vector
(Reimers and Gurevych 2019), as all-MiniLM-L6-v2 has it. Its tensors are named as in the package's safetensors file and
marked as external: whoever loads the graph hands them over.
"""

import argparse
from collections.abc import Iterator
from pathlib import Path

import onnx
from onnx import TensorProto, helper

_LAYERS, _HEADS, _HIDDEN, _INNER, _PIECES, _POSITIONS = 6, 12, 384, 1536, 30522, 512
_EPSILON = 1e-12
_OPSET = 20
"""The first with Gelu."""
_LEFT_OUT = -10_000.0
"""Added to the score of a piece that only fills up a line."""


class _Graph:
    """Nodes in their order, and the tensors that they want."""

    def __init__(self) -> None:
        self.nodes: list[onnx.NodeProto] = []
        self.outside: dict[str, tuple[int, ...]] = {}
        self.constants: list[onnx.TensorProto] = []

    def add(self, kind: str, *inputs: str, **attributes: object) -> str:
        """The name of what ``kind`` makes of ``inputs``."""
        name = f"{kind}_{len(self.nodes)}"
        self.nodes.append(helper.make_node(kind, list(inputs), [name], **attributes))
        return name

    def weight(self, name: str, *shape: int) -> str:
        """A tensor of the package."""
        self.outside[name] = shape
        return name

    def constant(self, values: list[int] | list[float], *, is_whole: bool = False) -> str:
        """Numbers of the graph itself."""
        name = f"constant_{len(self.constants)}"
        kind = TensorProto.INT64 if is_whole else TensorProto.FLOAT
        self.constants.append(helper.make_tensor(name, kind, [len(values)], values))
        return name

    def dense(self, state: str, name: str, into: int, out: int) -> str:
        """A linear layer; the package keeps its weights the other way round."""
        turned = self.add("Transpose", self.weight(f"{name}.weight", out, into), perm=[1, 0])
        return self.add("Add", self.add("MatMul", state, turned), self.weight(f"{name}.bias", out))

    def level(self, state: str, name: str) -> str:
        """Layer normalisation."""
        weights = (self.weight(f"{name}.weight", _HIDDEN), self.weight(f"{name}.bias", _HIDDEN))
        return self.add("LayerNormalization", state, *weights, axis=-1, epsilon=_EPSILON)


def _layer(graph: _Graph, state: str, left_out: str, name: str) -> str:
    apart, together = (graph.constant(s, is_whole=True) for s in ([0, 0, _HEADS, -1], [0, 0, _HIDDEN]))

    def heads(part: str, order: list[int]) -> str:
        told = graph.dense(state, f"{name}.attention.self.{part}", _HIDDEN, _HIDDEN)
        return graph.add("Transpose", graph.add("Reshape", told, apart), perm=order)

    scores = graph.add("MatMul", heads("query", [0, 2, 1, 3]), heads("key", [0, 2, 3, 1]))
    scale = graph.constant([(_HIDDEN / _HEADS) ** -0.5])
    shares = graph.add("Softmax", graph.add("Add", graph.add("Mul", scores, scale), left_out), axis=-1)
    heard = graph.add("Transpose", graph.add("MatMul", shares, heads("value", [0, 2, 1, 3])), perm=[0, 2, 1, 3])
    heard = graph.dense(graph.add("Reshape", heard, together), f"{name}.attention.output.dense", _HIDDEN, _HIDDEN)
    state = graph.level(graph.add("Add", state, heard), f"{name}.attention.output.LayerNorm")
    inner = graph.add("Gelu", graph.dense(state, f"{name}.intermediate.dense", _HIDDEN, _INNER))
    inner = graph.dense(inner, f"{name}.output.dense", _INNER, _HIDDEN)
    return graph.level(graph.add("Add", state, inner), f"{name}.output.LayerNorm")


def _embedded(graph: _Graph) -> str:
    """What each piece is, where it stands, and that all are of one text."""
    pieces = graph.add("Gather", graph.weight("embeddings.word_embeddings.weight", _PIECES, _HIDDEN), "ids")
    places = graph.weight("embeddings.position_embeddings.weight", _POSITIONS, _HIDDEN)
    length = graph.add("Shape", "ids", start=1, end=2)
    zero = graph.constant([0], is_whole=True)
    state = graph.add("Add", pieces, graph.add("Slice", places, zero, length, zero))
    kinds = graph.weight("embeddings.token_type_embeddings.weight", 2, _HIDDEN)
    first = graph.add("Slice", kinds, zero, graph.constant([1], is_whole=True), zero)
    return graph.level(graph.add("Add", state, first), "embeddings.LayerNorm")


def _mean(graph: _Graph, state: str) -> None:
    """The mean over the pieces that stand there, brought to length 1."""
    one, two = graph.constant([1], is_whole=True), graph.constant([2], is_whole=True)
    mask = graph.add("Unsqueeze", "mask", two)
    total = graph.add("ReduceSum", graph.add("Mul", state, mask), one, keepdims=0)
    mean = graph.add("Div", total, graph.add("ReduceSum", mask, one, keepdims=0))
    length = graph.add("ReduceL2", mean, one, keepdims=1)
    graph.nodes.append(helper.make_node("Div", [mean, length], ["vectors"]))


def _outside(shapes: dict[str, tuple[int, ...]]) -> Iterator[onnx.TensorProto]:
    for name, shape in shapes.items():
        tensor = TensorProto(name=name, data_type=TensorProto.FLOAT, dims=shape)
        tensor.data_location = TensorProto.EXTERNAL
        tensor.external_data.add(key="location", value="model.safetensors")
        yield tensor


def main() -> None:
    """Writes the file."""
    parser = argparse.ArgumentParser(description="Write the graph of the sentence model.")
    parser.add_argument("out", type=Path)
    arguments = parser.parse_args()
    graph = _Graph()
    one, two = graph.constant([1], is_whole=True), graph.constant([2], is_whole=True)
    absent = graph.add("Sub", graph.constant([1.0]), "mask")
    left_out = graph.add("Mul", graph.add("Unsqueeze", graph.add("Unsqueeze", absent, one), two),
                         graph.constant([_LEFT_OUT]))  # fmt: skip
    state = _embedded(graph)
    for number in range(_LAYERS):
        state = _layer(graph, state, left_out, f"encoder.layer.{number}")
    _mean(graph, state)
    lines = ["texts", "pieces"]
    made = helper.make_graph(
        graph.nodes, "meaning",
        [helper.make_tensor_value_info("ids", TensorProto.INT64, lines),
         helper.make_tensor_value_info("mask", TensorProto.FLOAT, lines)],
        [helper.make_tensor_value_info("vectors", TensorProto.FLOAT, ["texts", _HIDDEN])],
        [*graph.constants, *_outside(graph.outside)],
    )  # fmt: skip
    model = helper.make_model(made, opset_imports=[helper.make_opsetid("", _OPSET)], ir_version=9)
    arguments.out.write_bytes(model.SerializeToString())


if __name__ == "__main__":
    main()
