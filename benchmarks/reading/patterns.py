"""spaCy's Matcher only: patterns of tokens over the tags of the small model. Written once, from general knowledge."""

import re
from collections.abc import Callable, Iterator
from typing import Any

from spacy.matcher import Matcher
from spacy.tokens import Doc
from spacy.tokens import Span as Match

from reading.drafts import draft_of
from reading.findings import COUNTS, PARTICLES, Finding, Span
from reading.hazards import hazard_of, signal_of
from reading.model import plain_model, text_of, words_of
from reading.sizes import SIZE, normal
from reading.stretches import stretches
from vouchbook.models.draft import Draft
from vouchbook.models.transcript import Transcript

Pattern = list[dict[str, Any]]
Place = Callable[[Match], Span]

_NOUNS = ["NN", "NNS", "NNP", "NNPS"]
_DETERMINER: Pattern = [{"TAG": {"IN": ["DT", "PRP$"]}, "OP": "?"}]
_THING: Pattern = [{"TAG": {"IN": ["JJ", "CD", *_NOUNS]}, "OP": "*"}, {"TAG": {"IN": _NOUNS}}]
_HELPER = {"LOWER": {"IN": ["just", "can", "could", "need", "want", "have", "to", "must", "should", "gon", "na"]}}
_PARTICLE = {"LOWER": {"IN": sorted(PARTICLES)}, "OP": "?"}
_TOOL_NOUNS = [
    "spanner", "wrench", "socket", "screwdriver", "plier", "pliers", "ratchet", "hammer", "crowbar", "bar", "jack",
    "spudger", "tweezer", "tweezers", "scissors", "knife", "cutter", "drill", "saw", "torch", "driver", "key", "bit",
]  # fmt: skip
_DRIVES = ["phillips", "torx", "hex", "allen", "pentalobe", "flathead", "slotted"]
_PLACES = ["under", "behind", "inside", "beneath", "above", "below", "beside", "on", "in", "at"]
_SIGNS = ["lamp", "light", "sticker", "label", "badge", "beep", "gauge", "smoke", "click"]
_SIZE = re.compile(SIZE)
_HAZARDS = ["volt", "voltage", "pressure", "gas", "shock", "danger", "fume", "fire", "explosion", "bang", "airbag"]
_NEGATION = frozenset({"not", "n't", "n\u2019t", "never", "to"})
_STATED = {"POS": {"IN": ["ADJ", "VERB"]}, "TAG": {"IN": ["JJ", "VBN"]}}

_PATTERNS: dict[str, list[Pattern]] = {
    "deed": [
        [{"TAG": {"IN": ["VB"]}}],
        [{"LOWER": {"IN": ["you", "we"]}}, {**_HELPER, "OP": "*"}, {"TAG": {"IN": ["VB", "VBP"]}}],
    ],
    "thing": [[*_DETERMINER, *_THING]],
    "tool": [
        [{"TAG": {"IN": ["JJ", "NN", "NNP"]}, "OP": "?"}, {"LEMMA": {"IN": _TOOL_NOUNS}}],
        [{"LOWER": {"IN": _DRIVES}}, {"OP": "?"}, {"LEMMA": {"IN": ["screw", "bolt", "screwdriver", "driver"]}}],
        [{"TEXT": {"REGEX": r"(?i)^(?:T\d+|PH?\d)$"}}, {"LOWER": {"IN": _DRIVES}, "OP": "?"}, {"TAG": {"IN": _NOUNS}}],
        [{"LIKE_NUM": True}, {"LOWER": {"IN": ["mm", "mil", "mils", "millimetre", "millimeter"]}},
         {"TAG": {"IN": ["JJ", "NN"]}, "OP": "?"}, {"LEMMA": {"IN": _TOOL_NOUNS}, "OP": "?"}],
    ],
    "location": [
        [*_DETERMINER, *_THING, {"LEMMA": "be", "OP": "?"}, {"LOWER": {"IN": _PLACES}}, {"TAG": {"IN": ["DT", "PRP$"]}},
         *_THING],
    ],
    "warning": [
        [{"LOWER": "do"}, {"LOWER": {"IN": ["n't", "not"]}}, {"TAG": "VB"}],
        [{"LOWER": "never"}, {"TAG": {"IN": ["VB", "VBP"]}}],
        [{"LEMMA": "be"}, {"LOWER": {"IN": ["live", "dangerous", "deadly", "hot"]}}],
        [{"LEMMA": {"IN": ["kill", "crush", "explode", "burn", "trap"]}, "POS": "VERB"}],
        [{"LEMMA": {"IN": _HAZARDS}, "POS": {"IN": ["NOUN", "PROPN"]}}],
        [{"LOWER": {"IN": ["mind", "watch"]}}, {"TAG": {"IN": ["DT", "PRP$"]}}, {"TAG": {"IN": _NOUNS}}],
        [{"LOWER": {"IN": ["nobody", "must", "should"]}}, {"LOWER": "not", "OP": "?"}, {"TAG": {"IN": ["VB", "VBZ"]}}],
    ],
    "cue": [
        [{"LOWER": "you"}, {"LOWER": {"IN": ["'ll", "can", "will"]}}, {"LEMMA": {"IN": ["hear", "see", "smell"]}}],
        [{"LEMMA": {"IN": ["mean", "look", "sound"]}}, {"LOWER": {"IN": ["it", "that", "like"]}}],
        [{"LEMMA": {"IN": _SIGNS}}],
    ],
    "state": [[{"LOWER": {"IN": ["not", "no"]}}, {"TAG": {"IN": ["VBG", "JJ"]}}], [_STATED],
              [{"LEMMA": {"IN": ["fault", "error", "damage"]}}]],
}  # fmt: skip


class Patterns:
    """Reads by patterns of tokens."""

    name = "Matcher"
    used = "verbs in base form, the noun phrase behind them, tool nouns with sizes, all noun phrases, adjectives"

    def __init__(self) -> None:
        self._language = plain_model(["parser"])
        self._matcher = Matcher(self._language.vocab)
        for name, patterns in _PATTERNS.items():
            self._matcher.add(name, patterns, greedy="LONGEST")

    def draft(self, transcript: Transcript) -> Draft:
        """A draft of a talk."""
        return draft_of(transcript, self.read(transcript), self.name)

    def read(self, transcript: Transcript) -> list[Finding]:
        """What the patterns find."""
        doc = self._language(text_of(transcript))
        found: dict[str, list[Match]] = {name: [] for name in _PATTERNS}
        for label, start, end in self._matcher(doc):
            found[doc.vocab.strings[label]].append(doc[start:end])
        words = words_of(doc)

        def at(span: Match) -> Span:
            return words[span.start], words[span.end - 1]

        findings = [*_steps(doc, found, at), *_tools(doc, found["tool"], at)]
        for span in found["location"]:
            place = next(token.i for token in span if token.lower_ in _PLACES)
            part = doc[span.start : place]
            fields = {"part": part.text, "place": doc[place : span.end].text}
            findings.append(Finding("location", at(span), fields))
        findings += [Finding("part", at(_bare(span)), {"name": span.text}) for span in found["thing"]]
        findings += [Finding("state", at(span), {"name": span.text}) for span in found["state"]]
        warned = {at(span)[0] for span in found["warning"]}
        shown = {at(span)[0] for span in found["cue"]}
        for first, last in stretches(transcript):
            said, reach = transcript.text(first, last), range(first, last + 1)
            if warned.intersection(reach):
                fields = {"text": said, "hazard": hazard_of(said), "signal": signal_of(said)}
                findings.append(Finding("warning", (first, last), fields))
            if shown.intersection(reach):
                findings.append(Finding("cue", (first, last), {"text": said}))
        return findings


def _steps(doc: Doc, found: dict[str, list[Match]], at: Place) -> Iterator[Finding]:
    """A deed with the noun phrase right behind it, a particle between or behind taken in."""
    things = {span.start: span for span in found["thing"]}
    for span in found["deed"]:
        verb = span.end - 1
        if span.start > 0 and doc[span.start - 1].lower_ in _NEGATION:
            continue
        particle = verb + 1 if verb + 1 < len(doc) and doc[verb + 1].lower_ in PARTICLES else None
        thing = things.get(verb + 1 if particle is None else verb + 2)
        if thing and particle is None and thing.end < len(doc) and doc[thing.end].lower_ in PARTICLES:
            particle = thing.end
        bare = _bare(thing) if thing else None
        last = max(i for i in (verb, particle, thing.end - 1 if thing else None) if i is not None)
        action = doc[verb].lemma_ if particle is None else f"{doc[verb].lemma_} {doc[particle].lower_}"
        yield Finding(
            "step",
            at(doc[span.start : last + 1]),
            {"action": action.lower(), "object": bare.text if bare else ""},
            verb=at(doc[verb : verb + 1])[0],
            particle=None if particle is None else at(doc[particle : particle + 1])[0],
            thing=at(bare) if bare else None,
            count=_count(bare) if bare else None,
        )


def _tools(doc: Doc, found: list[Match], at: Place) -> Iterator[Finding]:
    for span in found:
        is_fastener = span[-1].lemma_.lower() in {"screw", "bolt", "nut"}
        size = _SIZE.search(span.text.lower())
        size_at = doc.char_span(
            span.start_char + size.start(), span.start_char + size.end(), alignment_mode="expand"
        ) if size else None  # fmt: skip
        yield Finding(
            "tool",
            at(span),
            {"name": span.text},
            size=normal(size[0]) if size else None,
            size_at=at(size_at) if size_at else None,
            is_implied=is_fastener,
        )


def _bare(span: Match) -> Match:
    """A noun phrase without its determiner."""
    return span[1:] if span[0].tag_ in {"DT", "PRP$"} and len(span) > 1 else span


def _count(span: Match) -> int | None:
    word = span[0].lower_
    return int(word) if word.isdigit() else COUNTS.get(word)
