"""Which steps are told as the other way ("if that fails", "failing that"), and which steps they replace.

A step that belongs to the usual way and is shown as the other one might be left out by the crew: what is not plainly
within the branch stays outside.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from vouchbook.extract.read.failing import FAILS
from vouchbook.extract.read.found import Branch, Found, Placed, Tie
from vouchbook.extract.read.naming import is_about, is_same_thing, names
from vouchbook.extract.read.phrases import text_of
from vouchbook.extract.read.sentences import Clause
from vouchbook.extract.read.talk import Sentence, Talk
from vouchbook.extract.read.tape import words_pattern

_FAILING = words_pattern(r"^(?:\S+ ){0,2}?(?P<label>failing (?:that|this|it)|worst case|no joy|plan b)")
_OTHERWISE = words_pattern(r"^(?:or |and )?(?P<label>otherwise)")
_BACK_TO_USUAL = frozenset("then now next right once normally usually either anyway after afterwards finally".split())
"""Words at the start of a sentence with which the talk may leave the branch: better one step too few in it."""
_CHECKS = frozenset("look check listen watch see wait test feel count hear smell read note prove ask".split())
"""Deeds that prove another; when they show that it failed, that other one is replaced."""
_REACH_LINES = 12
"""The step that what failed names is looked for this many lines back."""


@dataclass(frozen=True, slots=True)
class _Way:
    """Another way: its ``condition`` in words, the clause's tokens, and the token ranges in which its steps stand."""

    label: str
    start: int
    end: int
    ranges: tuple[tuple[int, int], ...]
    line: int

    def holds(self, step: Found) -> bool:
        return any(start <= step.start < end for start, end in self.ranges)


def with_branches(talk: Talk, placed: Sequence[Placed]) -> tuple[Placed, ...]:
    """``placed`` with the steps marked that are told as another way of earlier ones."""
    branches: dict[int, Branch] = {}
    for way in _ways(talk):
        own = [n for n, p in enumerate(placed) if p.found.kind == "step" and n not in branches and way.holds(p.found)]
        before = [n for n, p in enumerate(placed) if p.found.kind == "step" and n not in own and own and n < own[0]]
        replaced = _replaced(talk, way, [(n, placed[n].found) for n in before])
        if replaced:
            own = [n for n in own if placed[n].phase == placed[own[0]].phase]
            branches |= dict.fromkeys(own, Branch(way.label, tuple(replaced)))
    return tuple(p._replace(branch=branches.get(n)) for n, p in enumerate(placed))


def _ways(talk: Talk) -> Iterator[_Way]:
    for sentence in talk.sentences:
        if sentence.line in talk.chatter:
            continue
        opening = _opening(talk, sentence)
        if opening is None:
            continue
        clause, at = opening
        label = text_of(talk.doc, at, clause.end)
        label = label[:1].lower() + label[1:]
        if sentence.line in talk.askers or sentence.asks:
            ranges = tuple(_answer(talk, sentence.line))
        else:
            ranges = tuple(_told(talk, sentence, clause))
        yield _Way(label, at, clause.end, ranges, sentence.line)


def _opening(talk: Talk, sentence: Sentence) -> tuple[Clause, int] | None:
    """The first clause of ``sentence`` that opens another way, and the token at which its label begins."""
    for clause in sentence.clauses:
        line = talk.tape(clause.start, clause.end)
        for pattern, group in ((FAILS, 0), (_FAILING, "label"), (_OTHERWISE, "label")):
            if found := line.first(pattern, group):
                start, end = found
                own = clause if group == 0 else Clause(start, end, end, None, (), clause.sentence, clause.line)
                return own, start
    return None


def _told(talk: Talk, sentence: Sentence, clause: Clause) -> Iterator[tuple[int, int]]:
    """What one person tells as the other way: the rest of the sentence, and what goes straight on from it."""
    if not _has_words(talk, clause.end, sentence.end):  # "cut the loop if the button's dead"
        last = [c for c in sentence.clauses if c.end <= clause.start]
        if last:
            yield last[-1].start, clause.start
            return
    yield clause.start, sentence.end
    yield from _going_on(talk, [s for s in talk.sentences_of(sentence.line) if s.start >= sentence.end])


def _answer(talk: Talk, line: int) -> Iterator[tuple[int, int]]:
    """The line that answers "and if it's dead?", as far as it stays with that."""
    following = next((n for n in range(line + 1, min(line + 3, len(talk.transcript.lines)))
                      if n not in talk.askers and n not in talk.chatter), None)  # fmt: skip
    if following is not None:
        sentences = talk.sentences_of(following)
        if sentences:
            yield sentences[0].start, sentences[0].end
            yield from _going_on(talk, sentences[1:])


def _going_on(talk: Talk, sentences: Sequence[Sentence]) -> Iterator[tuple[int, int]]:
    for sentence in sentences:
        words = talk.tape(sentence.start, sentence.end).text.split()
        if sentence.asks or _BACK_TO_USUAL & set(words[:2]) or _opening(talk, sentence) is not None:
            return
        yield sentence.start, sentence.end


def _has_words(talk: Talk, start: int, end: int) -> bool:
    return any(not token.is_punct and not token.is_space for token in talk.doc[start:end])


def _replaced(talk: Talk, way: _Way, before: Sequence[tuple[int, Found]]) -> list[Tie]:
    """The steps that ``way`` replaces: those about what failed; where only "it" or "that" failed, the last one told."""
    told = [(n, s) for n, s in before if s.start < way.start and way.line - s.line <= _REACH_LINES]
    deeds = [(n, s) for n, s in told if s.fields["action"].split()[0] not in _CHECKS]
    named = [name for name in names(talk, way.start, way.end) if any(is_about(s, name) for _, s in deeds)]
    for name in reversed(named):
        about = [n for n, s in deeds if is_about(s, name) and is_same_thing(name, s.fields["object"] or name)]
        if about:
            why = f"“{way.label}” names the {name} of that step"
            return [Tie(n, why) for n in _last_in_a_row(about, [n for n, _ in deeds])]
    verbs = {token.lemma_.lower() for token in talk.doc[way.start : way.end] if token.tag_.startswith("VB")}
    for n, step in reversed(deeds):
        if step.fields["action"].split()[0] in verbs and _names_nothing(talk, way):
            return [Tie(n, f"“{way.label}” names the deed of that step")]
    if deeds and _is_just_told(talk, way, told[-1][1]) and _is_meant(talk, way, deeds[-1][1]):
        return [Tie(deeds[-1][0], f"“{way.label}” is said of the step told last before it")]
    return []


def _is_meant(talk: Talk, way: _Way, step: Found) -> bool:
    """Whether what failed is "it", or a thing that the sentence of ``step`` names: "give the key a turn"."""
    if _names_nothing(talk, way):
        return True
    sentence = next(s for s in talk.sentences_of(talk.line_at(step.start)) if s.start <= step.start < s.end)
    said = names(talk, sentence.start, sentence.end)
    return any(is_same_thing(name, other) for name in names(talk, way.start, way.end) for other in said)


def _last_in_a_row(about: Sequence[int], deeds: Sequence[int]) -> list[int]:
    """The last of the steps ``about`` a thing, with those right before it: "press the button", "hold the button"."""
    row = [about[-1]]
    while row[0] != deeds[0] and (earlier := deeds[deeds.index(row[0]) - 1]) in about:
        row.insert(0, earlier)
    return row


def _is_just_told(talk: Talk, way: _Way, step: Found) -> bool:
    """Whether ``step`` is in the last words before: in the same line, or in the last one of those who do not ask."""
    if step.line == way.line:
        return True
    told = (n for n in range(way.line - 1, -1, -1) if n not in talk.askers and n not in talk.chatter)
    return step.line == next(told, None)


def _names_nothing(talk: Talk, way: _Way) -> bool:
    """Whether what failed is only "it", "that" or nothing: "if you can't get at it", "if not"."""
    return not [name for name in names(talk, way.start, way.end) if name not in _NO_THING]


_NO_THING = frozenset(
    "it that this them those these one nothing joy luck i you he she we they case worst plan b".split()
)
