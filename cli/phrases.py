"""Items, times and confidence in the words in which people read them; shared by the terminal and the sheet."""

from bisect import bisect_right
from collections.abc import Sequence

from vouchbook.models.clock import clock
from vouchbook.models.items import CueItem, Item, LocationItem, StepItem, ToolItem, WarningItem
from vouchbook.models.transcript import Transcript

_CERTAINTY = ("weak, listen to it", "check this", "supported", "well supported")
_STEPS = (0.4, 0.6, 0.8)
"""The confidence from which each but the first is said."""
_WAYS = frozenset("clockwise anticlockwise counterclockwise forwards backwards upwards downwards sideways".split())


def place_in(transcript: Transcript, seconds: float) -> str:
    """Where to listen: the time in the file that holds it; with several files, its number in front: ``2/0:41``."""
    if len(transcript.sources) < 2:
        return clock(seconds)
    number, within_s = transcript.source_at(seconds)
    return f"{number}/{clock(within_s)}"


def statement(item: Item) -> str:
    """The item in one line, with the values that were said and no others."""
    match item:
        case StepItem():
            return _step(item)
        case ToolItem():
            return _tool(item)
        case LocationItem():
            return f"{_capital(item.part)}: {item.place}"
        case WarningItem():
            return _warning(item)
        case CueItem():
            return _capital(item.text)


def statement_in_branch(step: StepItem) -> str:
    """The step in one line where the label of its branch stands above it, so that its condition is not told twice."""
    condition, label = (step.condition or "").lower(), (step.branch or "").lower()
    is_told = bool(condition) and (condition in label or label in condition) and bool(label)
    return statement(step.model_copy(update={"condition": None}) if is_told else step)


def branch_heading(label: str, instead_of: Sequence[str]) -> str:
    """The heading of another way: "If the button's dead, instead of step 3:"."""
    return f"{_capital(label)}, instead of {steps_told(instead_of)}:"


def steps_told(numbers: Sequence[str]) -> str:
    """ "step 3", "steps 3 and 5", "steps 3, 5 and 6"."""
    *first, last = numbers
    return f"steps {', '.join(first)} and {last}" if first else f"step {last}"


def signal_reason(warning: WarningItem) -> str:
    """Why the warning has its signal word: "Why danger: …"."""
    return f"Why {warning.signal}: {warning.signal_reason}"


def certainty(confidence: float) -> str:
    """The confidence in words; the scale is ours and ends nowhere in "certain"."""
    return _CERTAINTY[sureness(confidence)]


def doubts(confidence: float, reasons: Sequence[str], *, implied: bool = False) -> str:
    """What a reviewer should know of how sure an item is, and what of it nobody said; empty where it is supported."""
    is_weak = sureness(confidence) < _CERTAINTY.index("supported")
    not_said = [reason for reason in reasons if "implied" in reason]
    told = [certainty(confidence)] if is_weak else []
    told += ["not named, implied"] if implied else []
    return "; ".join([*told, *not_said])


def sureness(confidence: float) -> int:
    """The step of that scale, from 0."""
    return bisect_right(_STEPS, confidence)


def _warning(warning: WarningItem) -> str:
    text = _capital(warning.text)
    act = (warning.prohibits or "").lower().removeprefix("do it ")  # "never with bare hands" says it all
    says_it = act and warning.text.lower().endswith(f"never {act}")
    return text if not warning.prohibits or says_it else f"{text}. Never: {warning.prohibits}"


def _step(step: StepItem) -> str:
    thing = step.object
    if step.count_said is not None and step.count is not None:
        bare = thing.removeprefix(f"{step.count_said.said.lower()} ")  # "four screws" would read "4 × four screws"
        thing = f"{step.count} × {bare}"
    sentence = _deed(step.action, thing)
    if step.condition:
        sentence = f"{step.condition}: {sentence}"
    extras = (step.size, f"with {step.tool}" if step.tool else None, step.place)
    return " · ".join([_capital(sentence), *(extra for extra in extras if extra)])


def _deed(action: str, thing: str) -> str:
    """The deed with its thing, and which way it is turned behind it: "turn crank anticlockwise"."""
    verb, _, way = action.partition(" ")
    if not thing or way not in _WAYS:
        return f"{action} {thing}".strip()
    first, until, rest = thing.partition(" until ")
    return f"{verb} {first} {way}{until}{rest}"


def _tool(tool: ToolItem) -> str:
    sentence = " ".join(part for part in (tool.name, tool.size) if part)
    if tool.implied:
        sentence += " (not named, implied)"
    if tool.fastener:
        sentence += f", for {f'{tool.count} × ' if tool.count is not None else ''}{tool.fastener}"
    elif tool.count is not None:
        sentence += f", for {tool.count}"
    return _capital(sentence)


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
