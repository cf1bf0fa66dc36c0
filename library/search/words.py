"""Words as they are indexed: lower case, without accents, endings of number and tense taken off (pure)."""

import re
import unicodedata
from functools import lru_cache
from typing import NamedTuple

_WORD = re.compile(r"[^\W_]+(?:['\u2019][^\W_]+)*")
_LONGEST = 64
_MOST = 4000
"""Words of one sentence that are indexed; talk has tens, a hostile caption may have millions."""
_VOWELS = frozenset("aeiouy")
_DOUBLED = frozenset("bdgmnprt")

STOP_WORDS = frozenset(
    """a an the and or but of to in on at for from by with as is are was were be been am do does did how what where
    which who when why i you he she it we they me him her us them my your his its our their this that these those
    there here so if then than will would can could should shall may might have has had get gets got gone go
    into about any some just""".split()
)
"""Words that a question is made of and no answer is found by; they count only inside quotes or alone."""


class Word(NamedTuple):
    """One word of a text: its indexed ``form`` and where it stands (``start`` to ``end``, characters)."""

    form: str
    start: int
    end: int


def words_of(text: str) -> list[Word]:
    """The words of ``text`` in order, at most 4000 of them."""
    found: list[Word] = []
    for match in _WORD.finditer(text):
        if len(found) == _MOST:
            break
        if form := indexed_form(match.group()):
            found.append(Word(form, match.start(), match.end()))
    return found


@lru_cache(maxsize=200_000)
def plain_form(word: str) -> str:
    """``word`` in lower case, without accents and apostrophes, at most 64 characters."""
    lowered = unicodedata.normalize("NFKD", word[:_LONGEST].casefold())
    return "".join(char for char in lowered if char.isalnum())[:_LONGEST]


@lru_cache(maxsize=200_000)
def indexed_form(word: str) -> str:
    """What ``word`` is found by: "bolts", "bolted", "bolting" and "bolt" are one; empty when nothing is left."""
    form = plain_form(word)
    if len(form) <= 3 or not form.isalpha():
        return form
    if form.endswith("ies") and len(form) > 4:
        form = form[:-3] + "y"
    elif form.endswith(("sses", "shes", "ches", "xes", "zes")):
        form = form[:-2]
    elif form.endswith("s") and not form.endswith(("ss", "us", "is")):
        form = form[:-1]
    for ending in ("ing", "ed"):
        stem = form.removesuffix(ending)
        if stem != form and len(stem) >= 3 and _VOWELS & set(stem):
            is_doubled = stem[-1] == stem[-2] and stem[-1] in _DOUBLED
            form = stem[:-1] if is_doubled else stem
            break
    return form[:-1] if len(form) > 4 and form.endswith("e") else form


def sound_key(form: str) -> str:
    """A key that words of one sound share, coarse: "break" and "brake", "fuse" and "fews".

    After the idea of Metaphone (L. Philips, 1990), cut down to the letters that recognisers confuse: vowels behind the
    first letter fall away, and letters of one sound are one.
    """
    key = form
    for written, heard in _SOUNDS:
        key = key.replace(written, heard)
    if not key:
        return ""
    first = "a" if key[0] in "aeiou" else key[0]
    rest = "".join(char for char in key[1:] if char not in "aeiouyhw")
    return re.sub(r"(.)\1+", r"\1", first + rest)


_SOUNDS = (
    ("kn", "n"), ("wr", "r"), ("gh", ""), ("ph", "f"), ("ck", "k"), ("sch", "sk"), ("tch", "x"), ("ch", "x"),
    ("sh", "x"), ("ce", "s"), ("ci", "s"), ("cy", "s"), ("c", "k"), ("qu", "k"), ("q", "k"), ("x", "x"), ("z", "s"),
    ("dge", "j"), ("v", "f"),
)  # fmt: skip
