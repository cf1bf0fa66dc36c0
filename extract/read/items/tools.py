"""Tools and their sizes, each named for a job, and tied to the step, the fastener and the count that it belongs to."""

import re
from collections.abc import Iterator, Sequence

from vouchbook.extract.read.deeds import deed
from vouchbook.extract.read.found import Found, Said
from vouchbook.extract.read.mentions import Mention
from vouchbook.extract.read.phrases import thing
from vouchbook.extract.read.scope import prohibition
from vouchbook.extract.read.sentences import Clause
from vouchbook.extract.read.series import is_usual
from vouchbook.extract.read.talk import Sentence, Talk
from vouchbook.extract.read.tape import words_pattern
from vouchbook.extract.read.things import Things
from vouchbook.extract.read.values import Value, as_size
from vouchbook.models.quantities import Quantity

_USES = frozenset(
    [
        "use",
        "using",
        "need",
        "want",
        "take",
        "have",
        "get",
        "put",
        "with",
        "go",
        "fetch",
        "bring",
        "grab",
        "run",
        "hang",
        "set",
        "fit",
        "stick",
    ]
)
_IN_PASSING = words_pattern(
    r"(?:a|any|the) \w+ (?:'ll|will|'d|would) (?:do|work)", r"whatever (?:you|you 've) (?:have|got|like)"
)
_ASKS_SIZE = words_pattern(
    r"(?:what|which|how big|is that a|are (?:they|those)|that 's a|those are|that 'll be|looks like) .*",
    r"what (?:size|do i need|on|with|for)?.*",
    r".*(?:size|spanner|socket|wrench|bit|driver|key)",
)
_SIZE_FRAME = words_pattern(
    r"(?:that 's|it 's|they 're|those are|this is|these are|that 'll be|takes|take|be|is|are|call it|"
    r"and|with|on|so|yeah|no|looks like|all|of the|a|an|the|are what)"
)
_SMALLEST_BARE = 5
"""Millimetres; a smaller number without its unit is a count ("two front, two back")."""
_DRIVEN = frozenset(
    {
        "ratchet",
        "breaker bar",
        "extension",
        "impact wrench",
        "ratchet handle",
        "long bar",
        "power bar",
        "bar",
        "universal joint",
        "torque wrench",
    }
)
_BITS = {
    "T": "hexalobular bit",
    "E": "external hexalobular socket",
    "PH": "cross-recess screwdriver",
    "PZ": "pozi screwdriver",
}
_NOT_TOOLS = frozenset({"bar", "battery", "camera"})
_KEEPS_APART = frozenset(["tool", "tools", "kit", "toolbox", "toolkit"])
_NO_TOOL_ALONE = frozenset(["key", "bit", "jet", "bar", "side", "mat"])


def tools(talk: Talk) -> list[Found]:
    """The tools of ``talk`` in the order in which they are said.

    A tool named without a size takes the size told for it later in its line: "triangle key. … It's a nine mil."
    """
    found: list[Found] = []
    for tool in _tools(talk):
        earlier = found[-1] if found else None
        if (
            earlier and tool.fields["implied"] and not (tool.size and tool.size.is_drive)
            and earlier.size is None and earlier.line == tool.line
        ):  # fmt: skip
            found[-1] = tool.with_(
                start=earlier.start,
                fields={**tool.fields, "name": earlier.fields["name"], "implied": False},
                reasons=tool.reasons[:1],
            )
            continue
        found.append(tool)
    return found


def _tools(talk: Talk) -> Iterator[Found]:
    taken: set[int] = set()
    for sentence in talk.sentences:
        if sentence.line in talk.chatter:
            continue
        for clause in sentence.clauses:
            if prohibition(talk.doc, clause.body, clause.end):
                continue
            yield from _sized(talk, sentence, clause, taken)
        if not sentence.asks and sentence.line not in talk.askers:
            for clause in sentence.clauses:
                if not prohibition(talk.doc, clause.body, clause.end) and not _IN_PASSING.search(
                    talk.tape(clause.start, clause.end).text
                ):
                    yield from _named(talk, sentence, clause, taken)


def _sized(talk: Talk, sentence: Sentence, clause: Clause, taken: set[int]) -> Iterator[Found]:
    """A tool for each size said in ``clause``; a tool noun beside the size gives it its name."""
    asker = sentence.line in talk.askers or sentence.asks
    for value in talk.values_in(clause.start, clause.end):
        size = _size(talk, clause, value, asker=asker)
        if size is None or (asker and not _confirmed(talk, sentence, value)):
            continue
        mention = _tool_beside(talk, sentence, clause, value, taken)
        if mention:
            taken.add(mention.start)
        name, implied = _name(talk, sentence, value, mention)
        reasons = (
            f"a size is said: {size.normal}",
            *(("the tool is implied by the size, nobody named it",) if implied else ()),
        )
        if not value.unit_said:
            reasons = (*reasons, "the unit was not said")
        act = 0.9 - 0.15 * implied - 0.15 * (not value.unit_said)
        yield Found(
            "tool", clause.start, clause.end, clause.line,
            {"name": name, "fastener": _fastener(talk, sentence), "implied": implied}, act, reasons, size=Said(size, value.first, value.last, value.is_drive),
        )  # fmt: skip


def _size(talk: Talk, clause: Clause, value: Value, *, asker: bool) -> Quantity | None:
    """The size that ``value`` is as the tool's, or None when it belongs to something else."""
    if not value.is_usable:
        return None
    quantity = value.quantity
    if value.is_drive or quantity.dimension in {"bit", "drive"}:
        return quantity
    if quantity.dimension == "length" and quantity.unit in {"mm", "[in_i]"}:
        return quantity if is_usual(quantity) or value.is_size else None
    if quantity.dimension == "number" and not value.unit_said and (asker or _is_size_talk(talk, clause, value)):
        size = as_size(value)
        big_enough = size is not None and (size.value or 0) >= _SMALLEST_BARE
        return size if size and is_usual(size) and (big_enough or asker or _asked_size(talk, clause.line)) else None
    return None


def _is_size_talk(talk: Talk, clause: Clause, value: Value) -> bool:
    """Whether a bare number is a size: "that's a thirteen" when a size was asked for or a fastener or tool is talked of."""
    doc = talk.doc
    token = talk.token_of(value.last)
    if token is None:
        return False
    while token + 1 < clause.end and talk.word(token + 1) == value.last:
        token += 1
    following = doc[token + 1] if token + 1 < clause.end else None
    if (
        following is not None
        and not following.is_punct
        and following.lower_ not in {"for", "on", "though", "then", "these", "too", "is", "'ll"}
    ):
        near = list(talk.mentions_in(token + 1, min(clause.end, token + 4), "tool", "fastener"))
        return (
            bool(near)
            and doc[token].tag_ != "NNS"
            and any(t.lower_ in {"a", "the"} for t in doc[max(clause.start, token - 2) : token])
        )
    before = talk.tape(max(clause.start, clause.body - 1), talk.token_of(value.first) or clause.start).text
    lines = range(max(0, clause.line - 2), clause.line + 1)
    asked = _asked_size(talk, clause.line)
    near_fastener = any(any(talk.mentions_in(s.start, s.end, "fastener")) for n in lines for s in talk.sentences_of(n))
    framed = not before or bool(re.search(r"(?:a|an|of the|'s|'re|are|is|takes?|all|no|yeah|wants?)$", before))
    return framed and (asked or near_fastener)


def _asked_size(talk: Talk, line: int) -> bool:
    """Whether this line or one of the two before it asks for a size, a tool or what a fastener takes."""
    for number in range(max(0, line - 2), line + 1):
        for sentence in talk.sentences_of(number):
            if number not in talk.askers and not sentence.asks:
                continue
            text = talk.tape(sentence.start, sentence.end).text
            if _ASKS_SIZE.search(text) and (
                "size" in text or any(talk.mentions_in(sentence.start, sentence.end, "tool", "fastener"))
            ):
                return True
    return False


def _confirmed(talk: Talk, sentence: Sentence, value: Value) -> bool:
    """Whether what the asker offered was agreed to in the next line, and not said again there."""
    following = sentence.line + 1
    if following >= len(talk.transcript.lines):
        return False
    answers = talk.sentences_of(following)
    if not answers:
        return False
    text = talk.tape(answers[0].start, answers[-1].end).text
    if any(v.quantity.value == value.quantity.value for s in answers for v in talk.values_in(s.start, s.end)):
        return False
    return bool(
        re.match(
            r"(?:yeah|yes|yep|aye|correct|that 's (?:it|right)|right|exactly|it is|they are|thereabouts|uh huh)(?!\S)",
            text,
        )
    )


def _tool_beside(talk: Talk, sentence: Sentence, clause: Clause, value: Value, taken: set[int]) -> Mention | None:
    """The tool noun that the size belongs to: right after it, else nearest in the clause, else in the sentence."""
    first, last = talk.token_of(value.first), talk.token_of(value.last)
    if first is None or last is None:
        return None
    after = [m for m in talk.mentions_in(last, min(sentence.end, last + 6), "tool") if m.start not in taken]
    for mention in after:
        if (
            all(
                t.pos_ in {"ADJ", "NOUN", "PUNCT", "PROPN", "NUM", "ADV", "SYM"} or t.lower_ == "-"
                for t in talk.doc[last + 1 : mention.start]
            )
            and mention.start - last <= 4
        ):
            return mention
    for start, end in ((clause.start, clause.end), (sentence.start, sentence.end)):
        near = [m for m in talk.mentions_in(start, end, "tool") if m.start not in taken]
        near = [m for m in near if (m.entry.term in _DRIVEN) == bool(value.is_drive)]
        if near:
            return min(near, key=lambda m: (abs(m.start - first), m.start))
    return None


def _name(talk: Talk, sentence: Sentence, value: Value, mention: Mention | None) -> tuple[str, bool]:
    if mention:
        return _as_said(talk, mention), False
    quantity = value.quantity
    if value.is_drive or quantity.dimension == "drive":
        return "ratchet", True
    for prefix in ("PH", "PZ", "T", "E"):
        if quantity.dimension == "bit" and quantity.normal.startswith(prefix):
            return _BITS[prefix], True
    implied = next((m.entry.implies_tool for n in (sentence.line, sentence.line - 1, sentence.line - 2) if n >= 0
                    for s in talk.sentences_of(n) for m in talk.mentions_in(s.start, s.end, "fastener") if m.entry.implies_tool), None)  # fmt: skip
    return implied or "socket", True


def _as_said(talk: Talk, mention: Mention) -> str:
    """The tool's name as said; the pack's own term where a trade name or a repaired word was heard."""
    if mention.is_repaired:
        return mention.entry.term
    start = mention.start
    while (
        start > 0
        and talk.doc[start - 1].pos_ == "ADJ"
        and not talk.doc[start].is_sent_start
        and talk.doc[start - 1].tag_ in {"JJ"}
    ):
        start -= 1
    return thing(talk.doc, start, mention.end)


def _fastener(talk: Talk, sentence: Sentence) -> str | None:
    for line in (sentence.line, sentence.line - 1, sentence.line - 2):
        if line < 0:
            continue
        for near in reversed(talk.sentences_of(line)):
            found = list(talk.mentions_in(near.start, near.end, "fastener"))
            if found:
                return found[-1].entry.term
    return None


def _named(talk: Talk, sentence: Sentence, clause: Clause, taken: set[int]) -> Iterator[Found]:
    """A tool named without a size: taken for a job, or named in a clause that has no verb."""
    doc = talk.doc
    verbs = {t.lemma_.lower() for t in doc[clause.body : clause.end] if t.tag_.startswith("VB") or t.tag_ == "MD"}
    told = deed(talk, clause)
    for mention in talk.mentions_in(clause.body, clause.end, "tool"):
        if (mention.end < len(doc) and doc[mention.end].lower_ == "of") or (
            mention.end - mention.start == 1
            and doc[mention.start].lower_.rstrip("s") in _NO_TOOL_ALONE
            and not (mention.start > clause.body and doc[mention.start - 1].pos_ in {"ADJ", "NOUN"})
        ):
            continue
        if (
            told is not None
            and told.form in {"wanted", "goes"}
            and told.object
            and told.object[0] <= mention.start < told.object[1]
        ):
            continue  # what is taken off is a part, not a tool
        if mention.start in taken or mention.entry.term in _NOT_TOOLS or doc[mention.end - 1].lower_ in _KEEPS_APART:
            continue
        lower = {t.lower_ for t in doc[clause.body : mention.start]}
        usable = (
            bool(lower & {"with", "using", "a", "an", "your", "some", "two", "four", "the"} & ({"with", "using"}))
            or bool(verbs & _USES)
            or not verbs
            or (told is not None and told.rest <= mention.start <= told.rest + 3)
        )
        if not usable or clause.marker in {"if", "because"}:
            continue
        taken.add(mention.start)
        yield Found(
            "tool", clause.start, clause.end, clause.line,
            {"name": _as_said(talk, mention), "fastener": None, "implied": False}, 0.6, ("a tool is named for the job",),
        )  # fmt: skip


def tie(
    talk: Talk, steps: Sequence[Found], tools_found: Sequence[Found], sentence_of: dict[int, int]
) -> tuple[list[Found], list[Found]]:
    """Sizes and tools given to the steps they belong to, counts and fasteners of the steps to the tools.

    A size belongs to the last step about a fastener that was told before it or in its line, within three lines, and
    that has none yet; failing that to the step of its own sentence. A drive belongs to no step. A size that no step
    takes implies one: what it fits is to be undone ("the minus clamp, that's a ten mil spanner").
    """
    done = list(steps)
    tied: list[Found] = []
    things = Things(talk)
    for tool in tools_found:
        drive = tool.size is not None and (tool.size.is_drive or tool.size.quantity.dimension == "drive")
        place = None if drive else _step_of(done, tool, sentence_of)
        if place is None and tool.size is not None and not drive and (implied := _implied(talk, tool, things)):
            done.append(implied)
            place = len(done) - 1
        if place is not None:
            step = done[place]
            fields = {**step.fields, "tool": step.fields.get("tool") or tool.fields["name"]}
            size = step.size or tool.size
            also = (
                step.also
                if step.size or tool.size is None or _inside(tool, step)
                else (*step.also, (tool.start, tool.end))
            )
            done[place] = step.with_(fields=fields, size=size, also=also)
            if step.count and _FASTENER_WORDS.search(step.fields["object"]):
                tool = tool.with_(count=step.count, also=(*tool.also, (step.start, step.end)))
        tied.append(tool)
    return done, tied


def _implied(talk: Talk, tool: Found, things: Things) -> Found | None:
    """The step that a size implies, when the thing it fits is a fastener or something that is undone to take power away."""
    if tool.line in talk.askers:
        return None
    meant = things.before(talk.token_of(tool.size.first) or tool.start) if tool.size else None
    if meant is None or not _UNDONE.search(things.text(meant).lower()):
        return None
    fields = {"action": "undo", "object": things.text(meant), "place": None, "tool": None, "condition": None}
    reasons = ("implied: a size was told for it, nobody said to undo it",)
    return Found("step", tool.start, tool.end, tool.line, fields, 0.5, reasons, also=((meant.start, meant.end),))


_UNDONE = re.compile(
    r"(?<!\w)(?:clamp|terminal|lead|minus|negative|ground|earth|cable|strap|nut|bolt|screw|stud|"
    r"cover|lid|plate|panel|hatch|flap|guard|cap|union|fitting|bracket)s?(?!\w)"
)
_FASTENER_WORDS = re.compile(
    r"(?<!\w)(?:bolts?|nuts?|screws?|studs?|fasteners?|clips?|clamps?|terminals?|caps?|lid|flap|"
    r"cover|plug|pin|stems?|hatch)(?!\w)"
)
_TURNING = re.compile(
    r"^(?:undo|unscrew|loosen|slacken|remove|take|crack|open|turn|back|unbolt|spin|disconnect|pull|lift|get|whip|wind)"
)


def _step_of(steps: Sequence[Found], tool: Found, sentence_of: dict[int, int]) -> int | None:
    own = sentence_of.get(tool.start)
    candidates = [
        n for n, s in enumerate(steps) if 0 <= tool.line - s.line <= 3 and (s.start <= tool.end or s.line == tool.line)
    ]
    if tool.size is None:
        same = [n for n in candidates if sentence_of.get(steps[n].start) == own]
        return next((n for n in same if not steps[n].fields.get("tool")), None)
    fitting = [
        n
        for n in candidates
        if steps[n].size is None
        and (_FASTENER_WORDS.search(steps[n].fields["object"]) or _TURNING.match(steps[n].fields["action"]))
    ]
    name = tool.fields["name"].lower().split()[-1]
    itself = [
        n
        for n in candidates
        if steps[n].size is None
        and tool.line - steps[n].line <= 1
        and name in steps[n].fields["object"].lower().split()
    ]
    tests = (
        [
            n
            for n in fitting
            if sentence_of.get(steps[n].start) == own and _FASTENER_WORDS.search(steps[n].fields["object"])
        ],
        itself,  # "six mil padlock": the size is the thing's own
        [n for n in fitting if sentence_of.get(steps[n].start) == own],
        [n for n in fitting if _FASTENER_WORDS.search(steps[n].fields["object"])],
    )
    chosen = next((found for found in tests if found), None)
    return min(chosen, key=lambda n: abs(steps[n].start - tool.start)) if chosen else None


def _inside(tool: Found, step: Found) -> bool:
    return step.start <= tool.start and tool.end <= step.end
