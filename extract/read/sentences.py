"""Sentence and clause borders, also where nobody wrote punctuation."""

from dataclasses import dataclass
from itertools import pairwise

from spacy.language import Language
from spacy.tokens import Doc

from vouchbook.extract.read.cuts import cuts
from vouchbook.extract.read.joints import LEADS, MARKERS, PAUSE, SAME_MARKER, SENTENCE_END


@dataclass(frozen=True, slots=True)
class Clause:
    """Tokens ``start`` to ``end`` (exclusive) that say one thing.

    ``body`` is where it begins once leads and its marker are set aside; ``marker`` is the word that makes it a
    condition, a time or a reason; ``sentence`` numbers the sentences of the talk, ``line`` the transcript's lines.
    """

    start: int
    end: int
    body: int
    marker: str | None
    leads: tuple[str, ...]
    sentence: int
    line: int


@Language.component("vouch_borders", requires=["token.tag"], assigns=["token.sent_start"])
def borders(doc: Doc) -> Doc:
    """Starts a sentence after final punctuation and at each line that does not run on from the one before."""
    lines = doc._.line_of_word
    for token in doc:
        if token.i == 0:
            token.is_sent_start = True
            continue
        before = doc[token.i - 1]
        after_end = before.text in SENTENCE_END and token.text not in SENTENCE_END
        new_line = bool(lines) and lines[token._.word] != lines[before._.word]
        runs_on = before.text in PAUSE and token.text[0].islower()
        token.is_sent_start = after_end or (new_line and not runs_on)
    return doc


@Language.component("vouch_clauses", requires=["token.tag", "token.sent_start"], assigns=["doc._.clauses"])
def clauses(doc: Doc) -> Doc:
    """Cuts each sentence where a new thing begins to be said."""
    found: list[Clause] = []
    lines = doc._.line_of_word
    for number, sentence in enumerate(doc.sents):
        for start, border in pairwise((sentence.start, *cuts(list(sentence)), sentence.end)):
            end = _end_of_words(doc, start, border)
            if end > start:
                line = lines[doc[start]._.word] if lines else 0
                found.append(_clause(doc, start, end, number, line))
    doc._.clauses = tuple(found)
    return doc


def _end_of_words(doc: Doc, start: int, end: int) -> int:
    while end > start and doc[end - 1].is_punct:
        end -= 1
    return end


def _clause(doc: Doc, start: int, end: int, sentence: int, line: int) -> Clause:
    """Sets leads and the first marker aside, but never the last word: "so when it's out, now lift" leaves "lift"."""
    body, marker, leads = start, None, []
    while body < end - 1:
        word = doc[body].lower_
        if marker is None and word in MARKERS and not _compares(doc, body, end):
            marker = SAME_MARKER.get(word, word)
        elif word in LEADS and not _means_something(doc, body):
            leads.append(word)
        elif not doc[body].is_punct:
            break
        body += 1
    return Clause(start, end, body, marker, tuple(leads), sentence, line)


def _compares(doc: Doc, at: int, end: int) -> bool:
    """ "as far as it goes": the first "as" ties nothing."""
    return doc[at].lower_ == "as" and at + 2 < end and doc[at + 2].lower_ == "as"


def _means_something(doc: Doc, at: int) -> bool:
    """Whether a lead is used as itself here: "right side", "see the badge", "still live", "look behind the panel"."""
    word, following = doc[at].lower_, doc[at + 1]
    if word in {"look", "listen", "see"}:
        return following.lower_ not in {",", "so", "you", "there", "the", "it"} or following.tag_ in {"IN", "DT", "RP"}
    if word == "right":
        return following.pos_ in {"NOUN", "ADP"} or following.lower_ in {"side", "hand", "rear", "front", "back"}
    if word in {"still", "like", "first", "only", "next", "sorry"}:
        return following.pos_ in {"NOUN", "ADJ"} or (word == "next" and following.lower_ == "to")
    return False
