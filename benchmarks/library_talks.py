"""Visits for a library to measure with: drafts of the annotated talks, varied in subject, place, voices and words."""

import copy
import json
import random
import re
from collections.abc import Iterator, Sequence
from datetime import date, timedelta
from hashlib import sha256
from pathlib import Path
from typing import Any, NamedTuple
from uuid import UUID

from vouchbook.extract.run import Drafting, joined, transcript_of
from vouchbook.models.draft import Draft, draft_from_json
from vouchbook.models.subjects import Subject
from vouchbook.models.visits import Participant, Visit

OPEN = Path(__file__).parents[1] / "tests/gold/open"
_START = date(2020, 1, 6)
_SUBJECTS = 800
_MAKERS = ("Kestrel", "Halvard", "Ostrava Works", "Brindle", "Tamarack", "Quillon", "Merrow", "Sandpiper")
_KINDS = ("loader", "car", "crane", "press", "lift", "bus", "conveyor", "battery store")
_ENERGIES = ("battery", "diesel", "mains", None)
_PLACES = ("Northfield yard", "Canal depot", "Mill Lane station", "Harbour drill ground", "Quarry gate", "Ferry slip")
_FIRST = "Ada Olin Runa Alva Sven Dov Ruta Petra Ilka Joren Mads Tove Anke Berit Casper Dorit Esben Freja".split()
_SYLLABLES = "bal dor fen gri hul jas kem lin mor nep ost pra qui rav sel tun".split()
_PARTS = "cable cover latch lever hose valve bracket panel pump battery relay clamp cap plate".split()
_SPOKEN = frozenset("text quote voice part place object condition name tool prohibits about said branch".split())
"""The fields that hold words of the talk; all else sorts, names or counts."""


class Walk(NamedTuple):
    """What an officer brings: the visit, its draft, and the captions that the draft was read from."""

    visit: Visit
    draft: Draft
    captions: bytes


def documents(talks: int, folder: Path | None = None) -> list[dict[str, Any]]:
    """The first ``talks`` drafts of ``folder``, as ``vouchbook drafts`` writes them; without one they are read now."""
    if folder is not None:
        found = sorted(folder.glob("*.json"))[:talks]
        if len(found) < talks:
            raise SystemExit(f"{folder}: holds {len(found)} drafts, {talks} are wanted. Make more, or ask for fewer.")
        return [json.loads(path.read_text(encoding="utf-8")) for path in found]
    drafting = Drafting()
    paths = sorted(OPEN.glob("*.vtt"))[:talks]
    return [json.loads(drafting.draft(transcript_of([path])).to_json()) for path in paths]


def long_draft(items: int) -> Draft:
    """The draft of as many talks in a row as it takes to have so many items, without those behind them."""
    drafting, paths = Drafting(), sorted(OPEN.glob("*.vtt"))
    for number in range(max(1, items // 70), len(paths)):
        draft = drafting.draft(joined([transcript_of([path]) for path in paths[:number]]))
        if len(draft.items) >= items:
            return _cut(draft, items)
    raise SystemExit(f"{OPEN}: all talks together have fewer than {items} items. Ask for fewer.")


def _cut(draft: Draft, items: int) -> Draft:
    document = draft.model_dump(mode="json")
    document["items"] = document["items"][:items]
    kept = {item["id"] for item in document["items"]}
    for item in document["items"]:
        item.update({name: [i for i in item[name] if i in kept] for name in ("guards", "instead_of") if name in item})
    document["pictures"] = [picture for picture in document["pictures"] if picture["shows"] in kept]
    return draft_from_json(json.dumps(document), "long draft")


def walk(documents: Sequence[dict[str, Any]], number: int) -> Walk:
    """Visit ``number``: the same number gives the same, another one other words."""
    chance = random.Random(number)  # noqa: S311  data to measure with
    document = copy.deepcopy(documents[number % len(documents)])
    said = document["transcript"]["words"]
    voices = sorted({word["voice"] for word in said if word["voice"]})
    new = dict(zip(voices, chance.sample(_FIRST, len(voices)), strict=True)) if len(voices) <= len(_FIRST) else {}
    new |= dict(zip(_PARTS, chance.sample(_PARTS, len(_PARTS)), strict=True))
    new["Right"] = "".join(chance.choices(_SYLLABLES, k=3)).capitalize()  # each talk has a name that no other has
    _reword(document, re.compile(rf"\b({'|'.join(map(re.escape, sorted(new, key=len, reverse=True)))})(?=s?\b)"), new)
    captions = "\n".join([f"visit {number}", *(word["text"] for word in said)]).encode()
    document["transcript"]["sources"][0] |= {"sha256": sha256(captions).hexdigest()}
    return Walk(_visit(number, chance, document), draft_from_json(json.dumps(document), f"visit {number}"), captions)


def _visit(number: int, chance: random.Random, document: dict[str, Any]) -> Visit:
    of = chance.randrange(_SUBJECTS)
    voices = sorted({word["voice"] for word in document["transcript"]["words"] if word["voice"]})
    return Visit(
        key=str(UUID(int=chance.getrandbits(128), version=4)),
        subject=Subject(
            kind=_KINDS[of % 8], maker=_MAKERS[of // 8 % 8], model=f"Model {of}", years_from=2005 + of % 15,
            energy=_ENERGIES[of % 4],
        ),
        place=f"{chance.choice(_PLACES)} {chance.randrange(1, 40)}",
        held_on=_START + timedelta(days=number // 5),
        participants=tuple(Participant(name=f"{voice} Orm", part="technician", voice=voice) for voice in voices),
    )  # fmt: skip


def _reword(value: Any, old: re.Pattern[str], new: dict[str, str]) -> None:  # noqa: ANN401  JSON
    for key, inner in _inner(value):
        if isinstance(inner, str) and key in _SPOKEN:
            value[key] = old.sub(lambda match: new[match[1]], inner)
        else:
            _reword(inner, old, new)


def _inner(value: Any) -> Iterator[tuple[Any, Any]]:  # noqa: ANN401  JSON
    if isinstance(value, dict):
        yield from list(value.items())
    elif isinstance(value, list):
        yield from enumerate(value)
