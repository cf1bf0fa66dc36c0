"""Trains the tagger.

usage: python training/train.py EXAMPLES ENCODER OUT [--kinds FILE [--only N]] [--epochs N]

EXAMPLES is what examples.py wrote, ENCODER a folder with the pretrained encoder. With ``--kinds`` each talk is marked
by a network that was trained without any machine of its kind (FILE names the talks of each kind), and OUT gets these
marks (held_out.npz), which weigh.py needs; without, OUT gets the weights of a network trained on all talks (tagger.pt)
and its card. Seeds are fixed: one kind of device gives the same weights again.
"""

import argparse
import json
import math
import random
import time
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt
import torch
from folds import FOLDS, folds_of
from network import Network
from talks import IGNORED, Talk, load, make_card, ready, speller_of
from torch.nn import functional

from vouchbook.extract.tagger.card import Card
from vouchbook.extract.tagger.windows import Window, window_from, windows

_LEARNS = {
    "step": 1.5, "phase": 0.5, "hazard": 0.2, "signal": 0.3, "deed": 0.4,
    "chatter": 0.3, "pointer": 0.2, "borrowed": 0.2,
}  # fmt: skip
"""How much a question counts, where it is not 1."""
_ENCODER_RATE, _RATE, _WARM_UP, _LOWEST = 1.5e-4, 1e-3, 0.1, 0.02
_BATCH = 16
_SEED = 1
_UNHEARD, _UNKNOWN, _NO_PUNCTUATION = 0.05, 0.1, 0.25
"""Share of words that are hidden, of features that are, and of talks without punctuation: so that none is relied on."""
_VARIED = 0.5
"""Share of the talks that are learned in other words (variants.py)."""
_HIDDEN_PIECE = 103
_BACK = 20
"""Words that the next training window shares with the one before at least."""

Piece = tuple[Talk, Window]
Answers = npt.NDArray[np.uint8]


def train(talks: Sequence[Talk], encoder: Path, card: Card, epochs: int, device: torch.device) -> Network:
    """A network trained on ``talks``."""
    torch.manual_seed(_SEED)
    network = Network(encoder, card)
    network.to(device)
    chance = random.Random(_SEED)
    own = [p for name, p in network.named_parameters() if not name.startswith("encoder.")]
    groups = [{"params": network.encoder.parameters(), "lr": _ENCODER_RATE}, {"params": own, "lr": _RATE}]
    optimizer = torch.optim.AdamW(groups, weight_decay=0.01)
    steps = epochs * math.ceil(len(list(_pieces(talks, random.Random(_SEED)))) / _BATCH)
    schedule = torch.optim.lr_scheduler.LambdaLR(
        optimizer, lambda n: min(1.0, (n + 1) / (_WARM_UP * steps)) * max(_LOWEST, 1 - n / steps)
    )
    network.train()
    for _ in range(epochs):
        pieces = list(_pieces(talks, chance))
        chance.shuffle(pieces)
        for begin in range(0, len(pieces), _BATCH):
            batch = pieces[begin : begin + _BATCH]
            loss = _loss(network, batch, card, chance, device)
            optimizer.zero_grad()
            loss.backward()
            torch.nn.utils.clip_grad_norm_(network.parameters(), 1.0)
            optimizer.step()
            schedule.step()
    return network


def mark(network: Network, talk: Talk, card: Card, device: torch.device) -> dict[str, Answers]:
    """The answers of ``network`` for each word of ``talk``, from the window in which it stands deepest.

    Probabilities in steps of 1/255: small to keep, and more exact than they are right.
    """
    network.eval()
    total = len(talk.words.pieces)
    scores = {head: np.zeros((total, len(labels)), np.uint8) for head, labels in card.heads().items()}
    depth = np.full(total, -1)
    for window in windows(talk.words):
        with torch.no_grad():
            out = network(*_fed([(talk, window)], device))
        answers = {head: (255 * each[0].softmax(-1)).round().cpu().numpy() for head, each in out.items()}
        for place, token in enumerate(window.tokens):
            if (deep := window.depth(place, total)) > depth[token]:
                depth[token] = deep
                for head, table in scores.items():
                    table[token] = answers[head][place]
    return scores


def _pieces(talks: Sequence[Talk], chance: random.Random) -> Iterator[Piece]:
    """Windows over all talks, cut at other lines each time."""
    for told in talks:
        whole = chance.choice(told.variants) if told.variants and chance.random() < _VARIED else told
        talk = whole.without_punctuation() if chance.random() < _NO_PUNCTUATION else whole
        lines = talk.words.lines
        starts = [n for n in range(len(lines)) if n == 0 or lines[n] != lines[n - 1]]
        start = chance.choice(starts[: max(1, len(starts) // 8)])
        if start:
            yield talk, window_from(talk.words, 0)
        while True:
            window = window_from(talk.words, start)
            yield talk, window
            end = window.tokens[-1] + 1
            if end >= len(lines):
                break
            start = max((n for n in starts if start < n <= end - _BACK), default=end)


def _fed(batch: Sequence[Piece], device: torch.device) -> tuple[torch.Tensor, ...]:
    longest, most = max(len(w.ids) for _, w in batch), max(len(w.tokens) for _, w in batch)
    ids, mask = (torch.zeros(len(batch), longest, dtype=torch.long) for _ in range(2))
    firsts = torch.zeros(len(batch), most, dtype=torch.long)
    features = torch.zeros(len(batch), most, batch[0][0].features.shape[1], dtype=torch.long)
    for n, (talk, window) in enumerate(batch):
        ids[n, : len(window.ids)] = torch.tensor(window.ids)
        mask[n, : len(window.ids)] = 1
        firsts[n, : len(window.firsts)] = torch.tensor(window.firsts)
        features[n, : len(window.tokens)] = torch.from_numpy(talk.features[list(window.tokens)])
    return ids.to(device), mask.to(device), firsts.to(device), features.to(device)


def _loss(
    network: Network, batch: Sequence[Piece], card: Card, chance: random.Random, device: torch.device
) -> torch.Tensor:
    ids, mask, firsts, features = _fed([(talk, _with_hidden(window, chance)) for talk, window in batch], device)
    features = features * (torch.rand(features.shape, device=device) > _UNKNOWN)
    out = network(ids, mask, firsts, features)
    total = torch.zeros((), device=device)
    for head in card.heads():
        wanted = torch.full(features.shape[:2], IGNORED, dtype=torch.long)
        for n, (talk, window) in enumerate(batch):
            wanted[n, : len(window.tokens)] = torch.from_numpy(talk.answers[head][list(window.tokens)])
        if (wanted != IGNORED).any():
            scores = out[head].flatten(0, 1).float()
            loss = functional.cross_entropy(scores, wanted.flatten().to(device), ignore_index=IGNORED)
            total = total + _LEARNS.get(head, 1.0) * loss
    return total


def _with_hidden(window: Window, chance: random.Random) -> Window:
    """``window`` with the first piece of some words hidden, as a word that was not understood."""
    ids = list(window.ids)
    for first in window.firsts:
        if chance.random() < _UNHEARD:
            ids[first] = _HIDDEN_PIECE
    return Window(tuple(ids), window.firsts, window.tokens)


def main() -> None:
    """Trains, and writes what the file's docstring says."""
    parser = argparse.ArgumentParser(description="Train the tagger.")
    parser.add_argument("examples", type=Path)
    parser.add_argument("encoder", type=Path)
    parser.add_argument("out", type=Path)
    parser.add_argument("--kinds", type=Path, help="mark each talk by a network that saw no machine of its kind")
    parser.add_argument("--only", type=int, help="only this fold of the kinds, from 0 on")
    parser.add_argument("--epochs", type=int, default=20)
    arguments = parser.parse_args()
    examples = load(arguments.examples)
    card = make_card(examples, "tagger")
    device = torch.device("cuda" if torch.cuda.is_available() else "cpu")
    talks = ready(examples, card, speller_of(arguments.encoder))
    arguments.out.mkdir(parents=True, exist_ok=True)
    (arguments.out / "card.json").write_text(card.model_dump_json(indent=1) + "\n", encoding="utf-8")
    started = time.perf_counter()

    def trained(inside: Sequence[Talk]) -> Network:
        return train(inside, arguments.encoder, card, arguments.epochs, device)

    if not arguments.kinds:
        torch.save(trained(talks).half().state_dict(), arguments.out / "tagger.pt")
        print(f"{len(talks)} talks, {time.perf_counter() - started:.0f} s")
        return
    folds = folds_of([talk.name for talk in talks], json.loads(arguments.kinds.read_text(encoding="utf-8")))
    held_out: dict[str, Answers] = {}
    for fold in range(FOLDS) if arguments.only is None else [arguments.only]:
        network = trained([talk for talk in talks if talk.name not in folds[fold]])
        for talk in talks:
            if talk.name in folds[fold]:
                for head, answers in mark(network, talk, card, device).items():
                    held_out[f"{talk.name}/{head}"] = answers
        print(f"fold {fold + 1} of {FOLDS}, {time.perf_counter() - started:.0f} s", flush=True)
    name = "held_out.npz" if arguments.only is None else f"held_out_{arguments.only}.npz"
    keep: dict[str, Any] = {**held_out}
    np.savez_compressed(arguments.out / name, **keep)


if __name__ == "__main__":
    main()
