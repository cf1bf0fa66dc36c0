"""What a draft loses when its words come from sound: synthetic voices, workshop noise, the product's own hearing.

usage: python benchmarks/reading_from_sound.py GOLD_DIR ... --heard FOLDER [--talk NAME ...] [--level LEVEL ...]
           [--scorer PATH] [--parts] [--show]

GOLD_DIR holds NAME.vtt with NAME.gold.json (tests/gold/README.md says what is in them). Each talk is spoken by flite
(Debian: apt install flite), mixed with workshop noise made from a seed, heard with ``base``, drafted, and scored beside
the draft of the exact words on the same clock. A recording beside the captions is heard as it is, as level "recorded".
FOLDER keeps what was heard, so that drafting and scoring again take seconds.
"""

import argparse
import tempfile
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from machine import machine
from sound.hearing import LEVELS_DB, RECORDED, heard, recording_of
from sound.mistakes import Comparison, compared
from sound.parts import in_lines_of, with_marks_of
from sound.report import print_asked, print_mistakes, print_scores, print_silent
from sound.scores import Drafted, scored
from sound.timeline import Timeline, moved_transcript

from vouchbook.extract.run import Drafting, transcript_of
from vouchbook.models.transcript import Transcript

SCORER = Path(__file__).with_name("scoring.py")
_Way = Callable[[Transcript, Transcript], Transcript]
"""What is read, of the transcript said and the one heard."""
HEARD = "heard"
WAYS: Mapping[str, _Way] = {"exact": lambda said, _: said, HEARD: lambda _, found: found}
PARTS: Mapping[str, _Way] = {
    "heard, lines right": lambda said, found: in_lines_of(found, said),
    "heard, lines and marks right": lambda said, found: with_marks_of(in_lines_of(found, said), said),
}


@dataclass(frozen=True, slots=True)
class _Talk:
    gold: Path
    timeline: Timeline
    said: Transcript
    heard: Transcript
    comparison: Comparison


def main() -> None:
    """Prints a table of scores and one of wrong critical words for each level."""
    parser = argparse.ArgumentParser(description="What a draft loses when its words come from sound.")
    parser.add_argument("gold", type=Path, nargs="+", help="folder with NAME.vtt and NAME.gold.json")
    parser.add_argument("--heard", type=Path, required=True, help="keep here what was heard, and take it from here")
    parser.add_argument("--talk", action="append", metavar="NAME", help="only this one; repeat")
    parser.add_argument("--level", action="append", choices=[*LEVELS_DB, RECORDED], help="only this one; repeat")
    parser.add_argument("--model", default="base")
    parser.add_argument("--scorer", type=Path, default=SCORER, help="called with GOLD_DIR DRAFT_DIR --json")
    parser.add_argument("--parts", action="store_true", help="also read it with true borders of lines, and punctuation")
    parser.add_argument("--show", action="store_true", help="list wrong critical words that no question is near")
    arguments = parser.parse_args()
    golds = [
        gold
        for folder in arguments.gold
        for gold in sorted(folder.glob("*.gold.json"))
        if not arguments.talk or gold.name.removesuffix(".gold.json") in arguments.talk
    ]
    if not golds:
        raise SystemExit(f"{arguments.gold[0]} holds no NAME.gold.json that is meant. Look at GOLD_DIR and --talk.")
    print(machine())
    drafting = Drafting()
    ways = {**WAYS, **PARTS} if arguments.parts else WAYS
    for level in arguments.level or [*LEVELS_DB, RECORDED]:
        talks = [
            _talk(gold, level, arguments.model, arguments.heard)
            for gold in golds
            if level != RECORDED or recording_of(_captions(gold))
        ]
        if not talks:
            continue
        edits, words = (sum(getattr(talk.comparison, name) for talk in talks) for name in ("edits", "said"))
        print(f"\n== {level}: {len(talks)} talks, {words} words, {100 * edits / words:.1f} % of them heard wrong ==")
        drafts = {name: _drafted(talks, way, drafting) for name, way in ways.items()}
        with tempfile.TemporaryDirectory() as temporary:
            folder = Path(temporary)
            print_scores({name: scored(made, arguments.scorer, folder / name) for name, made in drafts.items()})
        pairs = [(made.draft, talk.comparison) for made, talk in zip(drafts[HEARD], talks, strict=True)]
        print_mistakes(pairs)
        print_asked(pairs)
        if arguments.show:
            print_silent(pairs)


def _captions(gold: Path) -> Path:
    return gold.with_name(gold.name.replace(".gold.json", ".vtt"))


def _talk(gold: Path, level: str, model: str, folder: Path) -> _Talk:
    captions = _captions(gold)
    found = heard(captions, level, model, folder)
    timeline = Timeline(found.cues)
    said = moved_transcript(transcript_of([captions]), timeline)
    return _Talk(gold, timeline, said, found.transcript, compared(said, found.transcript))


def _drafted(talks: Sequence[_Talk], way: _Way, drafting: Drafting) -> list[Drafted]:
    return [Drafted(talk.gold, talk.timeline, drafting.draft(way(talk.said, talk.heard))) for talk in talks]


if __name__ == "__main__":
    main()
