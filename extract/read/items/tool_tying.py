"""One job, told in pieces: the size and the tool go to their step, the step's count goes to its tool."""

import re
from collections.abc import Sequence

from vouchbook.extract.read.found import Found
from vouchbook.extract.read.talk import Talk
from vouchbook.extract.read.things import Things

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
_REACH_LINES = 3


def tied(talk: Talk, steps: Sequence[Found], tools: Sequence[Found]) -> tuple[list[Found], list[Found]]:
    """``steps`` with their sizes and tools, and ``tools`` with the counts of their steps.

    A size belongs to the last step about a fastener that was told before it or in its line, within three lines, and
    that has none yet; failing that to the step of its own sentence. A drive belongs to no step. A size that no step
    takes implies one: what it fits is to be undone ("the lower clamp, that takes a ten mil spanner").
    """
    sentence_of = {token: s.number for s in talk.sentences for token in range(s.start, s.end)}
    done, tied_tools, things = list(steps), [], Things(talk)
    for tool in tools:
        place = None if _is_drive(tool) else _step_of(done, tool, sentence_of)
        if place is None and (implied := _implied(talk, tool, things)):
            done.append(implied)
            place = len(done) - 1
        if place is None:
            tied_tools.append(tool)
        else:
            tied_tools.append(_with_count(tool, done[place]))
            done[place] = _with_tool(done[place], tool)
    return [_plainly_told(step) for step in done], tied_tools


def _plainly_told(step: Found) -> Found:
    """``step`` without a tool that its verb tells already ("chock the wheel"), or a place that is its object again.

    "Chock chocks" is "place chocks".
    """
    verb, tool = step.fields["action"].split()[0], step.fields.get("tool")
    fields = dict(step.fields)
    if tool and _singular(tool.lower().split()[-1]) == verb:
        fields["tool"] = None
    thing = step.fields["object"].lower().split()
    if thing and (step.fields.get("place") or "").lower().split()[1:] in (thing, ["the", *thing]):
        fields["place"] = None
    if thing and _singular(thing[-1]) == verb and thing[-1] != verb:
        fields["action"] = "place"
    return step.with_(fields=fields)


def _singular(noun: str) -> str:
    return noun.removesuffix("s")


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


def _implied(talk: Talk, tool: Found, things: Things) -> Found | None:
    """The step that a size implies, where it fits a fastener or what is undone to take power away.

    The one who asks ("is that a ten on the clamp?") implies none.
    """
    if tool.size is None or _is_drive(tool) or tool.line in talk.askers:
        return None
    meant = things.before(talk.token_of(tool.size.first) or tool.start)
    if meant is None or not _UNDONE.search(things.text(meant).lower()):
        return None
    fields = {"action": "undo", "object": things.text(meant), "place": None, "tool": None, "condition": None}
    reasons = ("implied: a size was told for it, nobody said to undo it",)
    return Found("step", tool.start, tool.end, tool.line, fields, 0.5, reasons, also=((meant.start, meant.end),))


def _step_of(steps: Sequence[Found], tool: Found, sentence_of: dict[int, int]) -> int | None:
    """The place in ``steps`` of the one that ``tool`` belongs to, or None."""
    near = [
        n for n, step in enumerate(steps)
        if 0 <= tool.line - step.line <= _REACH_LINES and (step.start <= tool.end or step.line == tool.line)
    ]  # fmt: skip
    own = sentence_of.get(tool.start)
    in_sentence = {n for n in near if sentence_of.get(steps[n].start) == own}
    if tool.size is None:
        return next((n for n in near if n in in_sentence and not steps[n].fields.get("tool")), None)
    unsized = [n for n in near if steps[n].size is None]
    about_fasteners = [n for n in unsized if _FASTENER.search(steps[n].fields["object"])]
    fitting = [n for n in unsized if n in about_fasteners or _TURNING.match(steps[n].fields["action"])]
    noun = tool.fields["name"].lower().split()[-1]
    # "six mil padlock": the size is the thing's own
    itself = [
        n for n in unsized if tool.line - steps[n].line <= 1 and noun in steps[n].fields["object"].lower().split()
    ]
    for fits in (
        [n for n in about_fasteners if n in in_sentence], itself, [n for n in fitting if n in in_sentence],
        about_fasteners,
    ):  # fmt: skip
        if fits:
            return min(fits, key=lambda n: abs(steps[n].start - tool.start))
    return None
