"""One job, told in pieces: the size and the tool go to their step, the step's count goes to its tool."""

import re
from collections.abc import Sequence, Set

from vouchbook.extract.read.found import Found
from vouchbook.extract.read.items.counts_told_later import counted
from vouchbook.extract.read.items.step_wording import plainly_told
from vouchbook.extract.read.items.steps import forbidden_clauses
from vouchbook.extract.read.talk import Talk
from vouchbook.extract.read.tape import words_pattern
from vouchbook.extract.read.things import Things, things_of

_UNDONE = re.compile(
    r"(?<!\w)(?:clamp|terminal|lead|minus|negative|ground|earth|cable|strap|nut|bolt|screw|stud|"
    r"cover|lid|plate|panel|hatch|flap|guard|cap|union|fitting|bracket)s?(?!\w)"
)
"""Things that a spanner undoes."""
_FASTENER = re.compile(
    r"(?<!\w)(?:bolts?|nuts?|screws?|studs?|fasteners?|clips?|clamps?|terminals?|caps?|lid|flap|"
    r"cover|plug|pin|stems?|hatch)(?!\w)"
)
"""Fasteners, and what people call by the name of what it is fastened with."""
_TURNING = re.compile(
    r"^(?:undo|unscrew|loosen|slacken|remove|take|crack|open|turn|back|unbolt|spin|disconnect|pull|lift|get|whip|wind)"
)
_KEYED = re.compile(r"^(?:turn|quarter|half|open|unlock|twist|undo)")
"""What a key is for."""
_LET_BE = words_pattern(r"(?:leave|let|leaves?|stay|keep) .*(?:alone|be|off|away|where .*)")
"""What is said of a thing that nobody is to undo: "leave the nuts alone"."""
_FETCHES = re.compile(r"^(?:get|grab|bring|fetch|use|find|look|want|need|put on|wear|keep|stay|stand|wait)(?!\w)")
"""Deeds that no tool is sized for: it is only fetched, or none is needed."""
_ASKS_WITH = words_pattern(
    r"(?:with|on|by|using) (?:what|a)",
    r"what (?:size|with|spanner|socket|key|bit|do i need)",
    r"any size",
    r"sizes?",
    r"(?:spanner|socket|wrench|key|bit) (?=\?)",
    r"with (?=\?)",
)
_PARTS_OF = {"shackle": frozenset({"lock", "padlock"}), "hasp": frozenset({"lock", "padlock"}),
             "padlock": frozenset({"lock"}), "lock": frozenset({"padlock"})}  # fmt: skip
_REACH_LINES = 3


def tied(talk: Talk, steps: Sequence[Found], tools: Sequence[Found]) -> tuple[list[Found], list[Found]]:
    """``steps`` with their sizes and tools, and ``tools`` with the counts of their steps.

    A size belongs to the last step about a fastener that was told before it or in its line, within three lines, and
    that has none yet; failing that to the step of its own sentence. A drive belongs to no step. A size that no step
    takes implies one: what it fits is to be undone ("the lower clamp, that takes a ten mil spanner").
    """
    sentence_of = {token: s.number for s in talk.sentences for token in range(s.start, s.end)}
    done, tied_tools, things = counted(talk, steps), [], things_of(talk)
    forbidden = {token for start, end in forbidden_clauses(talk) for token in range(start, end)}
    for tool in tools:
        if tool.size and tool.fields["implied"] and talk.token_of(tool.size.first) in forbidden:
            continue  # "never touch the twenty-two mil nuts" names no tool
        place = None if _is_drive(tool) else _step_of(done, tool, sentence_of)
        if place is None and (implied := _implied(talk, tool, things, forbidden)):
            done.append(implied)
            place = len(done) - 1
        if place is None and tool.size is not None and not _is_drive(tool):
            place = _step_of_deed(talk, done, tool, sentence_of)
        if place is None:
            tied_tools.append(tool)
        else:
            tied_tools.append(_with_count(tool, done[place]))
            done[place] = _with_tool(done[place], tool)
    return [plainly_told(talk, step) for step in done], tied_tools


def _is_drive(tool: Found) -> bool:
    return tool.size is not None and (tool.size.is_drive or tool.size.quantity.dimension == "drive")


def _with_tool(step: Found, tool: Found) -> Found:
    """``step`` with the tool and its size, unless it has its own; the words of a size told elsewhere support it too."""
    fields = {**step.fields, "tool": step.fields.get("tool") or tool.fields["name"]}
    is_inside = step.start <= tool.start and tool.end <= step.end
    if step.size or tool.size is None or is_inside:
        return step.with_(fields=fields, size=step.size or tool.size)
    return step.with_(fields=fields, size=tool.size, also=(*step.also, (tool.start, tool.end)))


def _with_count(tool: Found, step: Found) -> Found:
    """``tool`` with the number of fasteners that ``step`` undoes with it."""
    if step.count and _FASTENER.search(step.fields["object"]):
        return tool.with_(count=step.count, also=(*tool.also, (step.start, step.end)))
    return tool


def _implied(talk: Talk, tool: Found, things: Things, forbidden: Set[int]) -> Found | None:
    """The step that a size implies, where it fits a fastener or what is undone to take power away.

    The one who asks ("is that a ten on the clamp?") implies none, and neither does a thing that is to be let be.
    """
    if tool.size is None or _is_drive(tool) or tool.line in talk.askers:
        return None
    meant = things.before(talk.token_of(tool.size.first) or tool.start)
    if meant is None or not _UNDONE.search(things.text(meant).lower()):
        return None
    clause = talk.clause_at(meant.start)
    if not forbidden.isdisjoint(range(meant.start, meant.end)) or (
        clause and _LET_BE.search(talk.tape(clause.start, clause.end).text)
    ):
        return None
    fields = {"action": "undo", "object": things.text(meant), "place": None, "tool": None, "condition": None}
    reasons = ("implied: a size was told for it, nobody said to undo it",)
    return Found("step", tool.start, tool.end, tool.line, fields, 0.5, reasons, also=((meant.start, meant.end),))


def _is_thing_itself(step: Found, noun: str) -> bool:
    """Whether the tool called ``noun``, or what it is a part of, is what the step handles: a shackle is a lock's."""
    names = _PARTS_OF.get(noun, frozenset()) | {noun}
    words = f"{step.fields['action']} {step.fields['object']}".lower().split()
    return any(word in names for word in words)


def _step_of(steps: Sequence[Found], tool: Found, sentence_of: dict[int, int]) -> int | None:
    """The place in ``steps`` of the one that ``tool`` belongs to, or None."""
    near = [
        n for n, step in enumerate(steps)
        if 0 <= tool.line - step.line <= _REACH_LINES and (step.start <= tool.end or step.line == tool.line)
    ]  # fmt: skip
    own = sentence_of.get(tool.start)
    in_sentence = {n for n in near if sentence_of.get(steps[n].start) == own}
    if tool.size is None:
        told_with = [n for n in near if steps[n].start < tool.end and tool.start < steps[n].end]
        if told_with:  # "turn the handle, and lock it with your padlock": the padlock is the other deed's
            return next((n for n in told_with if not steps[n].fields.get("tool")), None)
        return next((n for n in near if n in in_sentence and not steps[n].fields.get("tool")), None)
    unsized = [n for n in near if steps[n].size is None]
    about_fasteners = [n for n in unsized if _FASTENER.search(steps[n].fields["object"])]
    fitting = [n for n in unsized if n in about_fasteners or _TURNING.match(steps[n].fields["action"])]
    noun = tool.fields["name"].lower().split()[-1]
    # "six mil padlock": the size is the thing's own
    itself = [n for n in unsized if tool.line - steps[n].line <= 1 and _is_thing_itself(steps[n], noun)]
    opened = [n for n in unsized if noun == "key" and _KEYED.match(steps[n].fields["action"])]
    for fits in (
        [n for n in about_fasteners if n in in_sentence], itself, [n for n in fitting if n in in_sentence],
        opened, about_fasteners,
    ):  # fmt: skip
        if fits:
            return min(fits, key=lambda n: abs(steps[n].start - tool.start))
    return None


def _step_of_deed(talk: Talk, steps: Sequence[Found], tool: Found, sentence_of: dict[int, int]) -> int | None:
    """The step of the tool's own sentence, or the last one before the question that the tool answers; or None.

    Only a size: "half a turn each with a sixteen spanner", "And you turn that with?" "A square key, eight."
    """
    own = sentence_of.get(tool.start)
    unsized = [n for n, step in enumerate(steps) if step.size is None and step.start <= tool.end]
    beside = [
        n for n in unsized if sentence_of.get(steps[n].start) == own and not _FETCHES.match(steps[n].fields["action"])
    ]
    if beside:
        return min(beside, key=lambda n: abs(steps[n].start - tool.start))
    asked = tool.line - 1
    if asked not in talk.askers or not any(
        _ASKS_WITH.search(talk.tape(s.start, s.end).text) for s in talk.sentences_of(asked)
    ):
        return None
    before = [n for n in unsized if asked - 1 <= steps[n].line <= asked]
    return max(before, key=lambda n: steps[n].start) if before else None
