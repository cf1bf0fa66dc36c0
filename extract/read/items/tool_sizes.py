"""Tools by their size: "ten mil socket", "that's a thirteen" where a fastener is talked of, "half-inch drive"."""

import re
from collections.abc import Iterator

from vouchbook.extract.read.found import Found, Said
from vouchbook.extract.read.items.size_taken_back import is_of_another
from vouchbook.extract.read.items.tool_names import as_said, fastener_near, implied_name
from vouchbook.extract.read.mentions import Mention
from vouchbook.extract.read.sentences import Clause
from vouchbook.extract.read.series import is_usual
from vouchbook.extract.read.talk import Sentence, Talk
from vouchbook.extract.read.tape import words_pattern
from vouchbook.extract.read.values import Value, as_size
from vouchbook.models.quantities import Quantity

_ASKS_SIZE = words_pattern(
    # "what size are those?", "is that a thirteen?", "and the spanner?"
    r"(?:what|which|how big|is that a|are (?:they|those)|that 's a|those are|that 'll be|looks like) .*",
    r"what (?:size|do i need|on|with|for)?.*",
    r".*(?:size|spanner|socket|wrench|bit|driver|key)",
)
_FRAMED = re.compile(r"(?:a|an|of the|'s|'re|are|is|takes?|all|no|yeah|wants?)$")
"""Words right before a bare size: "that's a thirteen", "they're all ten"."""
_AGREES = re.compile(
    r"(?:yeah|yes|yep|aye|correct|that 's (?:it|right)|right|exactly|it is|they are|thereabouts|uh huh)(?!\S)"
)
_GOES_ON_BEHIND = frozenset("for on though then these too is 'll".split())
"""Words that may stand behind a bare size: "a thirteen for the cover"."""
_BETWEEN = frozenset("ADJ NOUN PUNCT PROPN NUM ADV SYM".split())
"""What may stand between a size and its tool: "ten mil, deep, thin-walled socket"."""
_SMALLEST_BARE = 5
"""Millimetres; a smaller number without its unit is a count ("two left, two right")."""
_DRIVEN = frozenset({
    "ratchet", "breaker bar", "extension", "impact wrench", "ratchet handle", "long bar", "power bar", "bar",
    "universal joint", "torque wrench",
})  # fmt: skip
"""Tools that have a square drive, and no size of their own."""
_HOW_MANY = words_pattern(r"how many(?! (?:mil|mill|millimet(?:re|er)s?)\b)")
_COUNTS = words_pattern(
    r"(?:one|two|three|four|five|six|seven|eight|nine|ten|twelve|\d+) "
    r"(?:of (?:them|'em|em)|a side|(?:on )?(?:each|either) (?:side|end|corner)|per side|apiece|in all|altogether)"
)
_CROSS = r"(?:cross ?-? ?(?:heads?|recess|point|slot)|phillips|posi ?-? ?drives?)"
_CROSS_BEFORE = re.compile(rf"(?<!\w){_CROSS}(?: ,)?(?: it 's| is| are)?(?: a| an)?(?: number| size) \S+$")
_CROSS_BEHIND = re.compile(rf"(?:\S+ )?(?:, )?{_CROSS}(?!\w)")
_LARGEST_CROSS = 4
_LINES_BACK = 2
_MOVES = words_pattern(
    # "shift her an inch", "jack it up two inches", "pull the sledge back ten mil"
    r"(?:shift|move|nudge|budge|slide|roll|ease|raise|lower|lift|jack|drop|drag|creep|inch|wind|bring|draw|back|pull|"
    r"push|spread|open|crack)(?:s|es|ing|ed)?(?! (?:\S+ ){0,4}(?:with|using|by) )(?: \S+){1,6}"
)
_IS_A_WAY = re.compile(
    r"(?:of (?:play|slack|travel|movement|clearance|gap)|off|away|forwards?|back(?:wards)?|up|down|over|clear|"
    r"left|right|at a time|from|above|below|short of|thick|deep|wide|long|high|gap)(?!\S)"
)
"""Right behind a length that tells how far: "an inch forward", "ten mil of play"."""


def sized(talk: Talk, sentence: Sentence, clause: Clause, taken: set[int]) -> Iterator[Found]:
    """A tool for each size said in ``clause``; a tool noun beside the size gives it its name.

    ``taken`` are the tokens at which tools begin that were named already; those named here are added.
    """
    is_asked = sentence.line in talk.askers or sentence.asks
    for value in talk.values_in(clause.start, clause.end):
        size = _size(talk, clause, value, is_asked=is_asked)
        if size is None or (is_asked and not _is_confirmed(talk, sentence, value)):
            continue
        mention = _tool_beside(talk, sentence, clause, value, taken)
        if mention:
            taken.add(mention.start)
        name = as_said(talk, mention) if mention else implied_name(talk, sentence, value)
        fields = {"name": name, "fastener": fastener_near(talk, sentence), "implied": mention is None}
        reasons = [f"a size is said: {size.normal}"]
        if mention is None:
            reasons.append("the tool is implied by the size, nobody named it")
        if not value.unit_said:
            reasons.append("the unit was not said")
        act = 0.9 - 0.15 * (mention is None) - 0.15 * (not value.unit_said)
        said = Said(size, value.first, value.last, value.is_drive)
        yield Found("tool", clause.start, clause.end, clause.line, fields, act, tuple(reasons), size=said)


def _size(talk: Talk, clause: Clause, value: Value, *, is_asked: bool) -> Quantity | None:
    """The size that ``value`` is as the tool's, or None when it belongs to something else."""
    quantity = value.quantity
    if not value.is_usable or is_of_another(talk, value):
        return None
    if value.is_drive or quantity.dimension in {"bit", "drive"}:
        return quantity
    if quantity.dimension == "length" and quantity.unit in {"mm", "[in_i]"}:
        if _is_distance(talk, clause, value):
            return None
        return quantity if is_usual(quantity) or value.is_size else None
    if quantity.dimension != "number":
        return None
    if _is_beside_cross(talk, value):
        return as_size(value, "cross recess")
    if value.unit_said or _answers_how_many(talk, value) or _is_counted(talk, clause.line):
        return None
    is_offered = is_asked and not _is_before_noun(talk, clause, value)
    if not is_offered and not _is_size_talk(talk, clause, value):
        return None
    size = as_size(value)
    if size is None or not is_usual(size):
        return None
    is_big_enough = (size.value or 0) >= _SMALLEST_BARE
    return size if is_big_enough or is_asked or _is_size_asked(talk, clause.line) else None


def _is_counted(talk: Talk, line: int) -> bool:
    """Whether the talk counts there: "four of them each side", "five's on the … five a side"; and asks for no size."""
    near = range(max(0, line - _LINES_BACK), min(line + 1, len(talk.transcript.lines)))
    said = [talk.tape(s.start, s.end).text for n in near for s in talk.sentences_of(n)]
    return any(_COUNTS.search(text) for text in said) and not _is_size_asked(talk, line)


def _is_distance(talk: Talk, clause: Clause, value: Value) -> bool:
    """Whether the length is how far something is moved or away, and sizes no fastener: "shift her an inch"."""
    first, last = talk.token_of(value.first), talk.token_of(value.last)
    if first is None or last is None:
        return False
    while last + 1 < clause.end and talk.word(last + 1) == value.last:
        last += 1
    behind = last + 1
    if any(talk.mentions_in(behind, min(clause.end, behind + 4), "tool", "fastener")):
        return False
    if _IS_A_WAY.match(talk.tape(behind, clause.end).text):
        return True
    return _MOVES.fullmatch(talk.tape(clause.body, first).text) is not None


def _answers_how_many(talk: Talk, value: Value) -> bool:
    """Whether the number begins the answer to "how many?"."""
    first = talk.token_of(value.first)
    if first is None or not (told := talk.sentences_of(line := talk.line_at(first))):
        return False
    asked = talk.sentences_of(line - 1)
    return first - told[0].start <= 1 and bool(
        asked and asked[-1].asks and _HOW_MANY.search(talk.tape(asked[-1].start, asked[-1].end).text)
    )


def _is_beside_cross(talk: Talk, value: Value) -> bool:
    """Whether the number is that of a cross recess (ISO 4757): "cross head, number two", "a two, crosshead"."""
    first, last = talk.token_of(value.first), talk.token_of(value.last)
    number = value.quantity.value
    if first is None or last is None or number is None or not 0 <= number <= _LARGEST_CROSS:
        return False
    sentence = talk.doc[first].sent
    before = talk.tape(max(sentence.start, first - 6), last + 1).text
    behind = talk.tape(last, min(sentence.end, last + 4)).text
    return _CROSS_BEFORE.search(before) is not None or _CROSS_BEHIND.match(behind) is not None


def _is_before_noun(talk: Talk, clause: Clause, value: Value) -> bool:
    """Whether the number counts or names a thing: "this is the two post lift, right?" offers no size."""
    token = talk.token_of(value.last)
    return token is not None and token + 1 < clause.end and talk.doc[token + 1].pos_ in {"NOUN", "PROPN", "ADJ"}


def _is_size_talk(talk: Talk, clause: Clause, value: Value) -> bool:
    """Whether a bare number is a size.

    "A thirteen socket" is one, and so is "that's a thirteen" when a size was asked for or a fastener is talked of; "two
    metres" and "thirteen of them" are none.
    """
    doc, token = talk.doc, talk.token_of(value.last)
    if token is None:
        return False
    while token + 1 < clause.end and talk.word(token + 1) == value.last:
        token += 1
    if value.is_plural and any(talk.mentions_in(doc[token].sent.start, token, "fastener")):
        return True  # "eight bolts, nineteens"
    behind = doc[token + 1] if token + 1 < clause.end else None
    if behind is not None and not behind.is_punct and behind.lower_ not in _GOES_ON_BEHIND:
        is_named = any(talk.mentions_in(token + 1, min(clause.end, token + 4), "tool", "fastener"))
        has_article = any(t.lower_ in {"a", "the"} for t in doc[max(clause.start, token - 2) : token])
        return is_named and has_article and doc[token].tag_ != "NNS"
    before = talk.tape(max(clause.start, clause.body - 1), talk.token_of(value.first) or clause.start).text
    if before and not _FRAMED.search(before):
        return False
    return _is_size_asked(talk, clause.line) or _is_fastener_near(talk, clause.line)


def _is_fastener_near(talk: Talk, line: int) -> bool:
    """Whether a fastener is told in ``line`` or one of the two before it."""
    near = [s for n in range(max(0, line - _LINES_BACK), line + 1) for s in talk.sentences_of(n)]
    return any(any(talk.mentions_in(s.start, s.end, "fastener")) for s in near)


def _is_size_asked(talk: Talk, line: int) -> bool:
    """Whether ``line`` or one of the two before it asks for a size, a tool or what a fastener takes."""
    for number in range(max(0, line - _LINES_BACK), line + 1):
        for sentence in talk.sentences_of(number):
            if number not in talk.askers and not sentence.asks:
                continue
            text = talk.tape(sentence.start, sentence.end).text
            if _ASKS_SIZE.search(text) and (
                "size" in text or any(talk.mentions_in(sentence.start, sentence.end, "tool", "fastener"))
            ):
                return True
    return False


def _is_confirmed(talk: Talk, sentence: Sentence, value: Value) -> bool:
    """Whether what the asker offered was agreed to in the next line, and not said again there."""
    answers = talk.sentences_of(sentence.line + 1)
    if not answers:
        return False
    start, end = answers[0].start, answers[-1].end
    if any(v.quantity.value == value.quantity.value for s in answers for v in talk.values_in(s.start, s.end)):
        return False
    return _AGREES.match(talk.tape(start, end).text) is not None


def _tool_beside(talk: Talk, sentence: Sentence, clause: Clause, value: Value, taken: set[int]) -> Mention | None:
    """The tool noun that the size belongs to: right after it, else nearest in the clause, else in the sentence."""
    first, last = talk.token_of(value.first), talk.token_of(value.last)
    if first is None or last is None:
        return None
    for mention in talk.mentions_in(last, min(sentence.end, last + 6), "tool"):
        between = talk.doc[last + 1 : mention.start]
        is_next = mention.start - last <= 4 and all(t.pos_ in _BETWEEN or t.lower_ == "-" for t in between)
        if is_next and mention.start not in taken:
            return mention
    for start, end in ((clause.start, clause.end), (sentence.start, sentence.end)):
        near = [
            m for m in talk.mentions_in(start, end, "tool")
            if m.start not in taken and (m.entry.term in _DRIVEN) == value.is_drive
        ]  # fmt: skip
        if near:
            return min(near, key=lambda m: (abs(m.start - first), m.start))
    return None
