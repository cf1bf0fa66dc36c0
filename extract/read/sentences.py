"""Sentence and clause borders, also where nobody wrote punctuation."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from spacy.language import Language
from spacy.tokens import Doc, Token

SENTENCE_END = frozenset({".", "?", "!", "…", "..."})
_PAUSE = frozenset({",", ";", ":", "-", "--", "–", "—"})

LEADS = frozenset(
    [
        "and",
        "so",
        "then",
        "okay",
        "ok",
        "right",
        "now",
        "well",
        "first",
        "but",
        "oh",
        "yeah",
        "yes",
        "yep",
        "just",
        "please",
        "also",
        "next",
        "or",
        "again",
        "look",
        "listen",
        "see",
        "sorry",
        "alright",
        "aye",
        "like",
        "still",
        "always",
        "only",
        "obviously",
        "anyway",
        "and/or",
        "plus",
        "finally",
        "secondly",
        "lastly",
        "maybe",
        "actually",
    ]
)
"""Words before the point: "so then you just turn it" is about turning."""

MARKERS = frozenset(
    [
        "if",
        "when",
        "once",
        "until",
        "till",
        "unless",
        "because",
        "cause",
        "'cause",
        "cos",
        "'cos",
        "since",
        "before",
        "after",
        "while",
        "whenever",
        "where",
        "whether",
        "though",
        "although",
        "which",
        "who",
        "as",
    ]
)
"""Words that tie a clause to another one: condition, time or reason."""

_SUBJECTS = frozenset(
    [
        "i",
        "you",
        "we",
        "they",
        "he",
        "she",
        "it",
        "there",
        "nobody",
        "everybody",
        "everyone",
        "anybody",
        "somebody",
        "what",
        "that",
        "this",
        "these",
        "those",
    ]
)
_NEGATIONS = frozenset(["do", "never", "nobody", "no"])
_BASE_VERB = frozenset({"VB", "VBP"})
_FINITE = frozenset({"VB", "VBP", "VBZ", "VBD", "MD"})
_LONG_BREATH = 16
_HOLDS_ON = frozenset(
    [
        "if",
        "when",
        "once",
        "until",
        "till",
        "unless",
        "because",
        "cause",
        "since",
        "before",
        "after",
        "while",
        "where",
        "whether",
        "though",
        "although",
        "which",
        "who",
        "as",
        "that",
        "and",
        "or",
        "but",
        "so",
        "than",
        "to",
        "do",
        "does",
        "did",
        "can",
        "could",
        "will",
        "would",
        "should",
        "what",
        "how",
        "why",
    ]
)


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
        new_line = lines and lines[token._.word] != lines[before._.word]
        runs_on = before.text not in SENTENCE_END and token.text[0].islower() and before.text in _PAUSE
        token.is_sent_start = (before.text in SENTENCE_END and token.text not in SENTENCE_END) or (
            bool(new_line) and not runs_on
        )
    return doc


@Language.component("vouch_clauses", requires=["token.tag", "token.sent_start"], assigns=["doc._.clauses"])
def clauses(doc: Doc) -> Doc:
    """Cuts each sentence where a new thing begins to be said."""
    found: list[Clause] = []
    lines = doc._.line_of_word
    for number, sentence in enumerate(doc.sents):
        tokens = list(sentence)
        cuts = [tokens[0].i, *sorted(_cuts(tokens)), tokens[-1].i + 1]
        for start, end in zip(cuts, cuts[1:], strict=False):
            end_of_words = _last_word(doc, start, end)
            if end_of_words > start:
                line = lines[doc[start]._.word] if lines else 0
                found.append(_clause(doc, start, end_of_words, number, line))
    doc._.clauses = tuple(found)
    return doc


def _last_word(doc: Doc, start: int, end: int) -> int:
    while end > start and doc[end - 1].is_punct:
        end -= 1
    return end


def _clause(doc: Doc, start: int, end: int, sentence: int, line: int) -> Clause:
    body, marker, leads = start, None, []
    while body < end - 1:
        word = doc[body].lower_
        if (
            word in MARKERS
            and marker is None
            and not (word == "as" and body + 2 < end and doc[body + 2].lower_ == "as")
        ):
            marker = {
                "till": "until",
                "cause": "because",
                "'cause": "because",
                "cos": "because",
                "'cos": "because",
            }.get(word, word)
        elif word in LEADS and not _means_something(doc, body, end):
            leads.append(word)
        elif doc[body].is_punct:
            pass
        else:
            break
        body += 1
    return Clause(start, end, body, marker, tuple(leads), sentence, line)


def _means_something(doc: Doc, at: int, end: int) -> bool:
    """Whether a lead is used as itself here: "right side", "see the badge", "still live", "look behind the panel"."""
    word, following = doc[at].lower_, doc[at + 1] if at + 1 < end else None
    if following is None:
        return True
    if word in {"look", "listen", "see"}:
        return following.lower_ not in {",", "so", "you", "there", "the", "it"} or following.tag_ in {"IN", "DT", "RP"}
    if word == "right":
        return following.pos_ in {"NOUN", "ADP"} or following.lower_ in {"side", "hand", "rear", "front", "back"}
    if word in {"still", "like", "first", "only", "next", "sorry"}:
        return following.pos_ in {"NOUN", "ADJ"} or (word == "next" and following.lower_ == "to")
    return False


def _cuts(tokens: list[Token]) -> Iterator[int]:
    last = tokens[-1].i
    pauses = [tokens[0].i, *(token.i for token in tokens if token.text in _PAUSE), last + 1]
    for before, token in zip(tokens, tokens[1:], strict=False):
        following = token.nbor(1) if token.i < last else None
        if (
            before.text in _PAUSE
            or _joins(token, following, tokens)
            or _ties(before, token, tokens)
            or (_breath(pauses, token.i) > _LONG_BREATH and _begins_unannounced(before, token, following))
        ):
            yield token.i


def _breath(pauses: list[int], at: int) -> int:
    """The number of tokens between the pauses around ``at``: captions without punctuation never draw breath."""
    after = next(n for n, pause in enumerate(pauses) if pause > at)
    return pauses[after] - pauses[after - 1]


def _joins(token: Token, following: Token | None, tokens: list[Token]) -> bool:
    """ "and", "but", "or", "so", "then" that open a clause with a verb of its own."""
    if following is None or token.lower_ not in {"and", "but", "or", "so", "then"}:
        return False
    if token.i > tokens[0].i and token.nbor(-1).lower_ in {"and", "but", "so", "or"}:
        return False
    rest = [t for t in tokens if t.i > token.i]
    if following.lower_ in _SUBJECTS | {"then", "so", "that's"} or following.lower_ in _NEGATIONS:
        return any(t.tag_ in _FINITE for t in rest)
    if following.tag_ in _BASE_VERB or (token.lower_ in {"and", "then"} and following.tag_ == "MD"):
        return True
    if following.pos_ in {"DET", "PRON", "NOUN", "PROPN", "NUM", "ADJ"}:
        return any(t.tag_ in {"VBZ", "VBP", "VBD", "MD"} for t in _until_pause(rest))
    return token.lower_ in {"but", "so", "then"}


def _ties(before: Token, token: Token, tokens: list[Token]) -> bool:
    """A marker inside the sentence that has a verb after it: "until it clicks", "because it moves"."""
    word = token.lower_
    if word not in MARKERS - {"as", "where", "since"} or before.lower_ in {"and", "but", "so", "or", "even", "that"}:
        return False
    rest = list(_until_pause(t for t in tokens if t.i > token.i))
    return any(t.tag_ in _FINITE or t.tag_ in {"VBG", "VBN"} for t in rest)


def _begins_unannounced(before: Token, token: Token, following: Token | None) -> bool:
    """A clause that starts with no word or sign before it, as in captions without punctuation."""
    if (
        following is None
        or before.lower_ in _HOLDS_ON
        or before.lower_ in {"n't", "not", "do"}
        or before.tag_ in {"IN", "TO", "DT", "PRP$", "CC", "WDT", "WRB"}
    ):
        return False
    word = token.lower_
    if word in {"you", "it", "they", "we", "i", "he", "she", "nobody", "everybody", "there"}:
        return following.tag_ in _FINITE and before.pos_ not in {"AUX", "PRON"} and before.tag_ != "VB"
    if word in {"that", "this"}:
        return following.lower_ in {"'s", "is", "goes", "will", "'ll"} and before.pos_ in {
            "NOUN",
            "ADV",
            "ADP",
            "ADJ",
            "NUM",
        }
    if word in {"do", "never"}:
        return following.lower_ in {"n't", "not"} or following.tag_ == "VB"
    return False


def _until_pause(tokens: Iterable[Token]) -> Iterator[Token]:
    for token in tokens:
        if token.text in _PAUSE:
            return
        yield token
