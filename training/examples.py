"""Makes the examples that the tagger learns from: the words of gold talks, what the rules know of them, the answers.

usage: python training/examples.py OUT.json.gz GOLD_DIR [GOLD_DIR ...]

A GOLD_DIR holds NAME.vtt with NAME.gold.json (tests/gold/README.md says what is in them).
"""

import argparse
import gzip
import json
from pathlib import Path
from typing import Any

from align import Aligner
from variants import variants

from vouchbook.extract.packs.load import COMMON, load_domains, load_pack
from vouchbook.extract.packs.recognise import choose_packs
from vouchbook.extract.packs.vocabulary import Vocabulary, layered
from vouchbook.extract.read.marked.features import feature_columns, lines_of
from vouchbook.extract.read.pipeline import Reader, by_rules
from vouchbook.extract.read.talk import Talk
from vouchbook.extract.run import transcript_of
from vouchbook.extract.tagger.labels import FEATURES

_READERS: dict[tuple[str, ...], tuple[Reader, Vocabulary]] = {}
_VARIANTS = 6
"""In how many other wordings each talk is learned beside its own."""


def understood(captions: Path) -> Talk:
    """The talk of a captions file, read with the packs that it calls for, up to where items begin."""
    return _understood(captions)[0]


def _understood(captions: Path) -> tuple[Talk, Vocabulary]:
    transcript = transcript_of([captions])
    packs = (load_pack(COMMON), *choose_packs(transcript.text(0, len(transcript.words)), load_domains()))
    names = tuple(pack.name for pack in packs)
    if names not in _READERS:
        vocabulary = layered(*packs)
        _READERS[names] = Reader(vocabulary, None), vocabulary
    reader, vocabulary = _READERS[names]
    return reader.understand(transcript), vocabulary


def example(captions: Path) -> tuple[dict[str, Any], dict[str, int]]:
    """One talk as the network learns it, and for each kind how many items have their words."""
    talk, vocabulary = _understood(captions)
    gold = json.loads(captions.with_suffix("").with_suffix(".gold.json").read_text(encoding="utf-8"))
    lines = lines_of(talk)
    columns = feature_columns(talk, lines, by_rules(talk))
    aligned = Aligner(talk, gold).aligned()
    record = {
        "name": captions.stem,
        "words": [token.text for token in talk.doc],
        "lines": lines,
        "asks": [line in talk.askers for line in lines],
        "features": {name: list(columns[name]) for name in FEATURES},
        "labels": aligned.labels,
        "variants": [
            {"order": each.order, "words": each.words}
            for each in variants(talk, vocabulary, _VARIANTS, seed=captions.stem)
        ],
    }
    return record, aligned.found


def main() -> None:
    """Writes the examples, and says how many items of each kind have their words."""
    parser = argparse.ArgumentParser(description="Make the examples that the tagger learns from.")
    parser.add_argument("out", type=Path)
    parser.add_argument("gold", type=Path, nargs="+")
    arguments = parser.parse_args()
    records: list[dict[str, Any]] = []
    total: dict[str, int] = {}
    for folder in arguments.gold:
        for captions in sorted(folder.glob("*.vtt")):
            record, found = example(captions)
            records.append(record)
            total = {kind: total.get(kind, 0) + found.get(kind, 0) for kind in {*total, *found}}
    with gzip.open(arguments.out, "wt", encoding="utf-8") as out:
        json.dump(records, out)
    print(f"{len(records)} talks, items with their words: {dict(sorted(total.items()))}")


if __name__ == "__main__":
    main()
