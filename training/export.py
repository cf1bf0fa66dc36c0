"""Writes the trained network as the program runs it: ONNX with 8-bit weights, beside its card and word pieces.

usage: python training/export.py TRAINED ENCODER OUT

TRAINED is the folder that train.py wrote (tagger.pt, card.json), ENCODER the pretrained encoder, OUT the folder of the
tagger (extract/tagger).
"""

import argparse
import tempfile
from pathlib import Path

import torch
from network import Network
from onnxruntime.quantization import QuantType, quantize_dynamic
from talks import speller_of

from vouchbook.extract.tagger.card import Card
from vouchbook.extract.tagger.labels import FEATURES

_NAMES = ("ids", "mask", "firsts", "features")


class Ordered(torch.nn.Module):
    """The network with its answers in the order of the card."""

    def __init__(self, network: Network, card: Card) -> None:
        super().__init__()
        self.network, self._heads = network, tuple(card.heads())

    def forward(self, *fed: torch.Tensor) -> tuple[torch.Tensor, ...]:
        """The scores of each question."""
        out = self.network(*fed)
        return tuple(out[head] for head in self._heads)


def main() -> None:
    """Exports."""
    parser = argparse.ArgumentParser(description="Write the trained network as the program runs it.")
    parser.add_argument("trained", type=Path)
    parser.add_argument("encoder", type=Path)
    parser.add_argument("out", type=Path)
    arguments = parser.parse_args()
    card = Card.model_validate_json((arguments.trained / "card.json").read_text(encoding="utf-8"))
    network = Network(arguments.encoder, card)
    network.load_state_dict(torch.load(arguments.trained / "tagger.pt", map_location="cpu", weights_only=True))
    network = network.float().eval()
    axes = {
        "ids": {0: "windows", 1: "pieces"}, "mask": {0: "windows", 1: "pieces"},
        **{name: {0: "windows", 1: "words"} for name in ("firsts", "features", *card.heads())},
    }  # fmt: skip
    example = (
        torch.ones(2, 12, dtype=torch.long), torch.ones(2, 12, dtype=torch.long),
        torch.arange(1, 9).repeat(2, 1), torch.zeros(2, 8, len(FEATURES), dtype=torch.long),
    )  # fmt: skip

    with tempfile.TemporaryDirectory() as folder:
        whole = Path(folder) / "whole.onnx"
        torch.onnx.export(
            Ordered(network, card), example, str(whole), input_names=list(_NAMES), output_names=list(card.heads()),
            dynamic_axes=axes, opset_version=17, dynamo=False,
        )  # fmt: skip
        out = str(arguments.out / "tagger.onnx")
        # reduced range: the same answers on processors with and without 8-bit dot products
        quantize_dynamic(str(whole), out, weight_type=QuantType.QInt8, per_channel=True, reduce_range=True)
    speller_of(arguments.encoder).save(str(arguments.out / "word_pieces.json"), pretty=False)
    (arguments.out / "card.json").write_text(card.model_dump_json(indent=1) + "\n", encoding="utf-8")
    print(f"{(arguments.out / 'tagger.onnx').stat().st_size / 1e6:.1f} MB")


if __name__ == "__main__":
    main()
