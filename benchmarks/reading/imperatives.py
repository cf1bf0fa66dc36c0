"""The parser's orders only: a root verb in base form without a subject, its like by "and", and "you" with a verb."""

from collections.abc import Iterator

from spacy.tokens import Doc, Token

from reading.drafts import draft_of
from reading.findings import COUNTS, Finding
from reading.model import plain_model, text_of, words_of
from vouchbook.models.draft import Draft
from vouchbook.models.transcript import Transcript

_OBJECTS = frozenset({"dobj", "obj"})
_SUBJECTS = frozenset({"nsubj", "nsubjpass", "expl"})
_OFF = frozenset("off out away".split())
"""Particles that the parser may take for prepositions: "off the rail"."""
_KEPT = frozenset({"amod", "compound", "nummod", "nmod"})
"""What belongs to the name of a thing; determiners, clauses and prepositions do not."""


class Imperatives:
    """Reads steps by the dependency parse; it finds nothing else."""

    name = "imperatives"
    used = 'orders and "you" with a verb in the parse, with their direct objects; nothing but deeds'

    def __init__(self) -> None:
        self._language = plain_model([])

    def draft(self, transcript: Transcript) -> Draft:
        """A draft of a talk: steps only."""
        return draft_of(transcript, self.read(transcript), self.name)

    def read(self, transcript: Transcript) -> list[Finding]:
        """The steps that the parse shows."""
        doc = self._language(text_of(transcript))
        words = words_of(doc)
        return [_step(doc, words, verb) for verb in _deeds(doc)]


def _deeds(doc: Doc) -> Iterator[Token]:
    for token in doc:
        children = {child.dep_ for child in token.children}
        if "neg" in children:
            continue
        if (token.dep_ == "ROOT" and _is_order(token)) or _says_you(token):
            yield token
        elif token.dep_ == "conj" and token.tag_ == "VB" and not children & _SUBJECTS:
            head = token.head
            while head.dep_ == "conj":
                head = head.head
            if (head.dep_ == "ROOT" and _is_order(head)) or _says_you(head):
                yield token


def _is_order(token: Token) -> bool:
    return token.tag_ == "VB" and not {child.dep_ for child in token.children} & (_SUBJECTS | {"aux", "neg"})


def _says_you(token: Token) -> bool:
    is_negated = any(child.dep_ == "neg" for child in token.children)
    says_you = any(child.dep_ == "nsubj" and child.lower_ in {"you", "we"} for child in token.children)
    return token.tag_ in {"VB", "VBP"} and token.pos_ == "VERB" and says_you and not is_negated


def _step(doc: Doc, words: list[int], verb: Token) -> Finding:
    particle = next((child for child in verb.rights if child.dep_ == "prt" or child.lower_ in _OFF), None)
    thing = next((child for child in verb.children if child.dep_ in _OBJECTS), None)
    start = thing
    if thing is not None:
        kept = [child for child in thing.lefts if child.dep_ in _KEPT]
        start = min((child.left_edge for child in kept), key=lambda t: t.i, default=thing)
    ends = [token.i for token in (verb, particle, thing, start) if token is not None]
    first, last = min(ends), max(ends)
    count = COUNTS.get(start.lower_) if start is not None else None
    return Finding(
        "step",
        (words[first], words[last]),
        {
            "action": " ".join(filter(None, (verb.lemma_.lower(), particle.lower_ if particle else None))),
            "object": doc[start.i : thing.i + 1].text if start is not None and thing is not None else "",
        },
        verb=words[verb.i],
        particle=words[particle.i] if particle else None,
        thing=(words[start.i], words[thing.i]) if start is not None and thing is not None else None,
        count=count,
    )
