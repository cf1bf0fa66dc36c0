"""Gold items laid over the words of their talk: the answers that the tagger learns.

A gold item has the seconds of the lines that say it and its fields in short words. Its words are looked for among those
lines; what is not said there in the same words (a thing named lines before, a deed that is only implied) gets no label
of its own, or the label that says so.
"""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Any

from scoring import plain

from vouchbook.extract.read.marked.features import lines_of
from vouchbook.extract.read.talk import Talk
from vouchbook.extract.tagger.card import DEED
from vouchbook.extract.tagger.labels import SAID

Gold = dict[str, Any]
Labels = dict[str, list[str]]
NOT_ASKED = "-"
"""Where a question is not asked of a word: nothing is learned there."""
_STRETCHES = ("step", "location", "warning", "cue", "tool")
_ASKED_OF_ITEMS = ("phase", "hazard", "signal", DEED)

_MEETS_S = 0.15
"""Seconds that a line shares with an item at least to be one of its lines."""
_TOO_FAR, _TOO_WIDE = 0.004, 0.03
"""What a window of words loses for each token away from where it is looked for, and for each word not wanted in it."""
_MOST_AWAY = 30
_LONG_WARNING, _TAKEN = 0.012, 0.35
"""What a run of clauses loses for each token, and for those that another item has already."""
_MOST_CLAUSES = 6
_SAID_FOR: dict[str, str] = {
    "remove": "take get pull come off out lift undo drop pop strip slide unbolt withdraw draw",
    "disconnect": "unplug unclip pull part take split pop release separate",
    "loosen": "undo unscrew slacken crack back wind spin out",
    "chock": "chocks wedge block",
    "off": "kill turn switch shut knock isolate",
    "wait": "give leave minutes seconds hold",
    "open": "lift swing pop up",
    "close": "shut",
    "put": "on wear gloves",
    "check": "look make sure test see prove",
    "press": "push hit thump button thumb",
    "insert": "put in push slide stick",
    "lift": "raise up pick jack",
    "turn": "twist wind rotate quarter",
    "cut": "snip saw chop",
    "stop": "kill off",
    "apply": "on pull set put",
    "keep": "stay leave",
    "stand": "stay keep",
    "call": "ring phone tell",
    "isolate": "off lock break shut",
}
"""Plain verbs of the gold, and words by which people say them."""


@dataclass(frozen=True, slots=True)
class Place:
    """Tokens ``start`` to ``end`` (exclusive) hold ``share`` of the words that were looked for."""

    start: int
    end: int
    share: float


@dataclass
class Aligned:
    """The labels of a talk, and how many of its items could be laid over its words."""

    labels: Labels
    found: dict[str, int] = field(default_factory=dict)


class Aligner:
    """Lays the items of one talk over its words."""

    def __init__(self, talk: Talk, gold: Gold) -> None:
        self._talk, self._gold, total = talk, gold, len(talk.doc)
        self._stems = [_stem(token.text) for token in talk.doc]
        self._lines = lines_of(talk)
        self.labels: Labels = {head: ["O"] * total for head in _STRETCHES}
        self.labels |= {head: [NOT_ASKED] * total for head in _ASKED_OF_ITEMS}
        self._last: dict[tuple[str, float, float], int] = {}

    def aligned(self) -> Aligned:
        """The labels, and for each kind how many items have their words."""
        found: dict[str, int] = {}
        lay = {"step": self._step, "location": self._location, "tool": self._tool}
        for item in self._gold["items"]:
            tokens = self._tokens_at(item["at"])
            place = lay.get(item["kind"], self._run)(item, tokens) if tokens else None
            if place is None:
                continue
            found[item["kind"]] = found.get(item["kind"], 0) + 1
            self._last[self._key(item)] = place.end
            for token in range(place.start, place.end):
                if self.labels["phase"][token] == NOT_ASKED:
                    self.labels["phase"][token] = item["phase"]
        for head, ranges in (
            ("chatter", self._gold.get("chatter", [])),
            ("pointer", [p["at"] for p in self._gold.get("pointers", [])]),
            ("borrowed", [p["at"] for p in self._gold.get("borrowed", [])]),
        ):
            inside = {t for at in ranges for t in self._tokens_at(at) or ()}
            self.labels[head] = ["yes" if t in inside else "no" for t in range(len(self._stems))]
        return Aligned(self.labels, found)

    def _tokens_at(self, at: Sequence[float]) -> range | None:
        """The tokens of the lines that the seconds ``at`` cover."""
        words, lines = self._talk.transcript.words, self._talk.transcript.lines
        covered = {
            n for n, line in enumerate(lines)
            if min(at[1], words[line.last_word].end_s) - max(at[0], words[line.first_word].start_s) > _MEETS_S
        }  # fmt: skip
        inside = [t for t, line in enumerate(self._lines) if line in covered]
        return range(inside[0], inside[-1] + 1) if inside else None

    def _key(self, item: Gold) -> tuple[str, float, float]:
        return item["kind"], item["at"][0], item["at"][1]

    def _near(self, item: Gold, tokens: range) -> int:
        """Where an item is looked for first: behind the last one of its kind in the same lines."""
        return self._last.get(self._key(item), tokens.start)

    def _step(self, item: Gold, tokens: range) -> Place | None:
        near = self._near(item, tokens)
        thing = self._find(_words(item["object"]), tokens, near)
        wanted = _words(item["action"])
        verb = self._verb(item["action"], wanted, thing, tokens, thing.start if thing else near)
        if verb:
            is_said = self._stems[verb[0]] in wanted
            self.labels[DEED][verb[0]] = SAID if is_said else _deed(item["action"])
            self._open("step", "deed", verb)
        if thing:
            start = self._with_describers(thing.start, tokens)
            self._open("step", "thing" if verb else "alone", range(start, thing.end))
            if not verb:
                self.labels[DEED][start : thing.end] = [_deed(item["action"])] * (thing.end - start)
        if item.get("place") and (
            place := self._find(_words(item["place"]), tokens, thing.start if thing else near, 0.6)
        ):
            self._open("step", "place", range(self._with_preposition(place.start, tokens, "step"), place.end))
        return _around([*verb[:1], *verb[-1:]], thing)

    def _verb(self, action: str, wanted: Sequence[str], thing: Place | None, tokens: range, near: int) -> list[int]:
        """The tokens that say the deed: in the gold's words, in others, or the verb of the thing's clause."""
        place = self._find(wanted, tokens, near, slack=5)
        if place:
            own = [t for t in range(place.start, place.end) if self._stems[t] in set(wanted)]
            return own or [place.start]
        others = _others_for(action)
        if thing is None:
            place = self._find(others, tokens, near, 0.0, slack=0)
            return [place.start] if place else []
        clause = self._talk.clause_at(thing.start)
        if clause is None:
            return []
        inside = range(clause.start, clause.end)
        if others and (place := self._find(others, inside, near, 0.0, slack=0)):
            return [place.start]
        verbs = [
            t for t in inside
            if self._talk.doc[t].tag_.startswith("VB") and self._talk.doc[t].lemma_ not in {"be", "have", "do"}
        ]  # fmt: skip
        return [min(verbs, key=lambda t: abs(t - thing.start))] if verbs else []

    def _location(self, item: Gold, tokens: range) -> Place | None:
        near = self._near(item, tokens)
        place = self._find(_words(item["place"]), tokens, near, slack=5)
        part = self._find(_words(item["part"]), tokens, place.start if place else near)
        if place:
            self._open("location", "place", range(self._with_preposition(place.start, tokens, "location"), place.end))
        if part:
            self._open("location", "part", range(self._with_describers(part.start, tokens), part.end))
        return _around([place.start, place.end - 1], part) if place else None

    def _tool(self, item: Gold, tokens: range) -> Place | None:
        place = self._find(_words(item["name"]), tokens, self._near(item, tokens))
        if place:
            self._open("tool", "name", range(place.start, place.end))
            return place
        if not item.get("size"):
            return None
        values = [
            (a, b) for value in self._talk.values
            if (a := self._talk.token_of(value.first)) is not None
            and (b := self._talk.token_of(value.last)) is not None
            and a in tokens and self.labels["tool"][a] == "O" and (value.is_size or value.quantity.value is not None)
        ]  # fmt: skip
        sizes = [pair for pair in values if self._is_size(pair[0])] or values
        if not sizes:
            return None
        self._open("tool", "size", range(sizes[0][0], sizes[0][1] + 1))
        return Place(sizes[0][0], sizes[0][1] + 1, 1.0)

    def _is_size(self, token: int) -> bool:
        word = self._talk.word(token)
        return any(value.is_size and value.first <= word <= value.last for value in self._talk.values)

    def _run(self, item: Gold, tokens: range) -> Place | None:
        """The run of clauses that holds most of the item's words with the fewest others."""
        head, wanted = item["kind"], set(_words(f"{item['text']} {item.get('prohibits') or ''}"))
        clauses = {c.start: c for t in tokens if (c := self._talk.clause_at(t))}
        starts, best, place = sorted(clauses), 0.0, None
        for first in range(len(starts)):
            for last in range(first, min(len(starts), first + _MOST_CLAUSES)):
                start, end = starts[first], clauses[starts[last]].end
                shared = len({self._stems[t] for t in range(start, end)} & wanted)
                taken = sum(self.labels[head][t] != "O" for t in range(start, end)) / (end - start)
                score = shared / max(1, len(wanted)) - _LONG_WARNING * (end - start) - _TAKEN * taken
                if shared and (place is None or score > best):
                    best, place = score, Place(start, end, 1.0)
        if place:
            self._open(head, "", range(place.start, place.end))
            if head == "warning":
                for name in ("hazard", "signal"):
                    self.labels[name][place.start : place.end] = [item[name]] * (place.end - place.start)
        return place

    def _open(self, head: str, label: str, tokens: Iterable[int]) -> None:
        """Labels the tokens that are free: the first as the begin of a stretch, the others as the rest of it."""
        opener = "B-"
        for token in tokens:
            if self.labels[head][token] == "O":
                self.labels[head][token] = opener + label
                opener = "I-"

    def _with_describers(self, start: int, tokens: range) -> int:
        """The begin of the noun phrase: words that describe the thing, up to its determiner."""
        doc, first = self._talk.doc, start
        while (
            first > tokens.start
            and start - first < 4
            and doc[first - 1].tag_ in {"JJ", "NN", "NNS", "CD", "VBN", "NNP"}
        ):
            first -= 1
        return first

    def _with_preposition(self, start: int, tokens: range, head: str) -> int:
        doc, first = self._talk.doc, start
        while first > tokens.start and start - first < 3 and doc[first - 1].tag_ in {"IN", "DT", "TO", "RB"}:
            if self.labels[head][first - 1] != "O":
                break
            first -= 1
        return first

    def _find(self, words: Sequence[str], tokens: range, near: int, least: float = 0.5, slack: int = 3) -> Place | None:
        """The window of ``tokens`` that holds most of ``words`` with the fewest others, nearest to ``near``."""
        wanted = set(words)
        if not wanted:
            return None
        hits = [t for t in tokens if self._is_one_of(self._stems[t], wanted)]
        best, place = 0.0, None
        for first in hits:
            for last in hits:
                if not 0 <= last - first < len(words) + slack + 2:
                    continue
                held = len({self._stems[t] for t in hits if first <= t <= last})
                share = held / len(wanted)
                away = _TOO_FAR * min(abs(first - near), _MOST_AWAY)
                score = share - _TOO_WIDE * max(0, last + 1 - first - held) - away
                if place is None or score > best:
                    best, place = score, Place(first, last + 1, share)
        return place if place and place.share >= least else None

    @staticmethod
    def _is_one_of(stem: str, wanted: set[str]) -> bool:
        """Whether ``stem`` is wanted, or a longer or shorter form of what is."""
        return stem in wanted or any(
            len(stem) > 4 and len(w) > 4 and (stem.startswith(w) or w.startswith(stem)) for w in wanted
        )


def _around(tokens: Sequence[int], place: Place | None) -> Place | None:
    every = [*tokens, *([place.start, place.end - 1] if place else [])]
    return Place(min(every), max(every) + 1, 1.0) if every else None


def _words(text: str | None) -> list[str]:
    return plain(text).split()


def _stem(word: str) -> str:
    return plain(re.sub(r"[^a-z0-9/.]", "", word.lower()).strip(".")) or word.lower()


def _others_for(action: str) -> list[str]:
    wanted, others = set(_words(action)), []
    for verb, said in _SAID_FOR.items():
        if wanted & {*_words(verb), *_words(said)}:
            others += [*_words(verb), *_words(said)]
    return others


def _deed(action: str) -> str:
    return " ".join(action.lower().split()[:2])
