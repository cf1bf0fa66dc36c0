"""Fits how much each piece of evidence weighs for an item, on talks that the tagger was not trained on.

usage: python training/weigh.py MARKS CARD OUT GOLD_DIR [GOLD_DIR ...]

MARKS are the held-out marks that train.py wrote (one file, or a folder of held_out*.npz), CARD the card beside them;
OUT is the weighing.json to write. Prints, for talks left out of the fit in turn, how well the chosen items find the
gold, and how the probabilities agree with what was right.
"""

import argparse
import json
import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt
from examples import understood
from scoring import CLOSE, KINDS, overlap, pairs, seconds, similarity
from sklearn.linear_model import LogisticRegression
from sklearn.preprocessing import StandardScaler

from vouchbook.extract.read.items.steps import forbidden_clauses
from vouchbook.extract.read.marked.candidate import Candidate
from vouchbook.extract.read.marked.chosen import safe_candidates
from vouchbook.extract.read.marked.weighing import EVIDENCE, Scales, chosen_of
from vouchbook.extract.read.pipeline import by_rules
from vouchbook.extract.read.talk import Talk
from vouchbook.extract.tagger.card import Card
from vouchbook.extract.tagger.marks import Marks
from vouchbook.extract.tagger.weights import Weighing, Weights

Item = dict[str, Any]
Numbers = npt.NDArray[np.float64]
_FOLDS = 8
_STRENGTH = 0.3
"""How freely the weights may grow: the inverse of the penalty on their squares."""
_LEASTS = tuple(n / 100 for n in range(20, 70, 5))
_COSTS_LESS = 0.01
"""F1 that a warning more is worth: one that is missed can cost a life, one too many a reviewer's minute."""
_BIN = 0.1


@dataclass(frozen=True)
class Case:
    """A gold talk with its candidates by kind, their evidence, and whether each finds an item of the gold."""

    name: str
    gold: Sequence[Item]
    candidates: Mapping[str, Sequence[Candidate]]
    items: Mapping[str, Sequence[Item]]
    evidence: Mapping[str, Numbers]
    is_right: Mapping[str, Numbers]


def as_item(talk: Talk, candidate: Candidate) -> Item:
    """A candidate as the scorer reads items."""
    found, words = candidate.found, talk.transcript.words
    first, last = talk.word(found.start), talk.word(found.end - 1)
    return {
        "kind": found.kind, **found.fields, "start": words[first].start_s, "end": words[last].end_s,
        "quote": talk.transcript.text(first, last), "size": found.size.quantity.normal if found.size else None,
    }  # fmt: skip


def case(captions: Path, marks: Marks) -> Case:
    """The candidates of one talk, weighed against its gold."""
    talk = understood(captions)
    gold = json.loads(captions.with_suffix(".gold.json").read_text(encoding="utf-8"))["items"]
    forbidden = forbidden_clauses(talk)
    scales = Scales(talk, marks, forbidden)
    every = safe_candidates(talk, marks, by_rules(talk), forbidden)
    items = {kind: [as_item(talk, c) for c in of_kind] for kind, of_kind in every.items()}
    evidence = {
        kind: np.array([scales.evidence(c, of_kind) for c in of_kind]).reshape(len(of_kind), len(EVIDENCE))
        for kind, of_kind in every.items()
    }
    is_right = {kind: np.array([_finds(gold, item) for item in of_kind], float) for kind, of_kind in items.items()}
    return Case(captions.stem, gold, every, items, evidence, is_right)


def _finds(gold: Iterable[Item], item: Item) -> bool:
    return any(
        g["kind"] == item["kind"] and overlap(seconds(g), seconds(item)) and similarity(g, item) >= CLOSE[g["kind"]]
        for g in gold
    )


def fitted(cases: Sequence[Case], kind: str) -> Weights:
    """A logistic model of whether a candidate is right; penalised on a common scale, told on the evidence's own."""
    evidence = np.concatenate([c.evidence[kind] for c in cases])
    is_right = np.concatenate([c.is_right[kind] for c in cases])
    scaler = StandardScaler().fit(evidence)
    model = LogisticRegression(C=_STRENGTH, max_iter=5000).fit(scaler.transform(evidence), is_right)
    factors = model.coef_[0] / scaler.scale_
    offset = float(model.intercept_[0] - (factors * scaler.mean_).sum())
    return Weights(offset=round(offset, 4), factors=tuple(round(float(f), 4) for f in factors), least=0.5)


def kept(each: Case, kind: str, weights: Weights, least: float) -> list[tuple[int, float]]:
    """The places of the chosen candidates of one talk, with their probabilities."""
    evidence: list[list[float]] = each.evidence[kind].tolist()
    return chosen_of(each.candidates[kind], evidence, weights.model_copy(update={"least": least}))


def found_right(cases: Sequence[Case], kind: str, weights: Mapping[str, Weights], least: float) -> tuple[int, int, int]:
    """How many chosen items of ``kind`` find the gold, how many there are, and how many the gold has."""
    right = made = wanted = 0
    for each in cases:
        items = [each.items[kind][n] for n, _ in kept(each, kind, weights[each.name], least)]
        gold = [g for g in each.gold if g["kind"] == kind]
        right, made, wanted = right + len(pairs(gold, items)), made + len(items), wanted + len(gold)
    return right, made, wanted


def calibrated(cases: Sequence[Case], kind: str, weights: Mapping[str, Weights], fit: Weights) -> Weights:
    """``fit`` with its sum stretched and moved so that of the items chosen with 0.9 about nine in ten are right.

    Right is what pairs with a gold item of its own, as the scorer counts: the second item for one thing is wrong. The
    order of candidates stays, and so does what is chosen.
    """
    told, is_right = [], []
    for each in cases:
        chosen = kept(each, kind, weights[each.name], fit.least)
        items = [each.items[kind][n] for n, _ in chosen]
        paired = {place for _, place in pairs([g for g in each.gold if g["kind"] == kind], items)}
        told += [_log_odds(share) for _, share in chosen]
        is_right += [place in paired for place in range(len(items))]
    model = LogisticRegression(C=1e6).fit(np.array(told).reshape(-1, 1), is_right)
    stretch, shift = float(model.coef_[0][0]), float(model.intercept_[0])
    least = 1 / (1 + math.exp(-(stretch * _log_odds(fit.least) + shift)))
    return Weights(
        offset=round(stretch * fit.offset + shift, 4),
        factors=tuple(round(stretch * f, 4) for f in fit.factors),
        least=round(least, 4),
    )


def _log_odds(share: float) -> float:
    share = min(max(share, 1e-4), 1 - 1e-4)
    return math.log(share / (1 - share))


def held_out_marks(path: Path, card: Card) -> dict[str, Marks]:
    """The marks of each talk by a network that did not learn from it."""
    tables: dict[str, dict[str, Any]] = {}
    for file in sorted(path.glob("held_out*.npz")) if path.is_dir() else [path]:
        with np.load(file) as stored:
            for key in stored.files:
                name, head = key.split("/")
                tables.setdefault(name, {})[head] = stored[key].astype(np.float32) / 255
    return {name: Marks(of_talk, card.heads()) for name, of_talk in tables.items()}


def report(cases: Sequence[Case], kind: str, weights: Mapping[str, Weights], least: float) -> None:
    """One line of figures, and one of how probabilities agree with what was right: (told, right, items)."""
    right, made, wanted = found_right(cases, kind, weights, least)
    print(f"{kind:9} {figures(right, made, wanted)}  least {least:.2f}")
    shown = [(p, each.is_right[kind][n]) for each in cases for n, p in kept(each, kind, weights[each.name], least)]
    bins = [[(p, r) for p, r in shown if low <= p < low + _BIN] for low in np.arange(0.2, 1.0, _BIN)]
    told = [(sum(p for p, _ in b) / len(b), sum(r for _, r in b) / len(b), len(b)) for b in bins if b]
    error = sum(abs(p - r) * n for p, r, n in told) / max(1, len(shown))
    print(f"          calibration error {error:.3f}", " ".join(f"({p:.2f}, {r:.2f}, {n})" for p, r, n in told))


def _least(kind: str, f1: Mapping[float, float]) -> float:
    """The probability from which a candidate is an item: where most is found right; for warnings the lowest near it."""
    best = max(f1.values())
    if kind == "warning":
        return min(each for each in f1 if f1[each] >= best - _COSTS_LESS)
    return max(f1, key=lambda each: f1[each])


def figures(right: int, made: int, wanted: int) -> str:
    """Precision, recall and F1."""
    return f"P {right / max(1, made):.3f}  R {right / max(1, wanted):.3f}  F1 {2 * right / max(1, made + wanted):.3f}"


def main() -> None:
    """Fits, reports and writes the weights."""
    parser = argparse.ArgumentParser(description="Fit the weights of evidence.")
    parser.add_argument("marks", type=Path)
    parser.add_argument("card", type=Path)
    parser.add_argument("out", type=Path)
    parser.add_argument("gold", type=Path, nargs="+")
    arguments = parser.parse_args()
    card = Card.model_validate_json(arguments.card.read_text(encoding="utf-8"))
    marks = held_out_marks(arguments.marks, card)
    captions = [path for folder in arguments.gold for path in sorted(folder.glob("*.vtt")) if path.stem in marks]
    cases = [case(path, marks[path.stem]) for path in captions]
    kinds = {}
    total = [0, 0, 0]
    for kind in KINDS:
        weights: dict[str, Weights] = {}
        for fold in range(_FOLDS):
            inside = fitted([c for n, c in enumerate(cases) if n % _FOLDS != fold], kind)
            weights |= {c.name: inside for n, c in enumerate(cases) if n % _FOLDS == fold}
        f1 = {}
        for each in _LEASTS:
            right, made, wanted = found_right(cases, kind, weights, each)
            f1[each] = 2 * right / max(1, made + wanted)
        least = _least(kind, f1)
        report(cases, kind, weights, least)
        total = [a + b for a, b in zip(total, found_right(cases, kind, weights, least), strict=True)]
        kinds[kind] = calibrated(cases, kind, weights, fitted(cases, kind).model_copy(update={"least": least}))
    print(f"all       {figures(*total)}")
    weighing = Weighing(evidence=EVIDENCE, kinds=kinds)
    arguments.out.write_text(weighing.model_dump_json(indent=1) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
