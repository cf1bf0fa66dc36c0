"""Tools named for a job, with the size that is told for them. What a clause forbids makes no tool."""

from collections.abc import Iterator

from vouchbook.extract.read.deeds.deed import Deed
from vouchbook.extract.read.deeds.instruct import deed
from vouchbook.extract.read.found import Found
from vouchbook.extract.read.items.denial import is_denied
from vouchbook.extract.read.items.tool_names import as_said
from vouchbook.extract.read.items.tool_sizes import sized
from vouchbook.extract.read.mentions import Mention
from vouchbook.extract.read.scope import prohibition
from vouchbook.extract.read.sentences import Clause
from vouchbook.extract.read.talk import Talk
from vouchbook.extract.read.tape import words_pattern

_USES = frozenset("use using need want take have get put with go fetch bring grab run hang set fit stick".split())
"""Verbs that take a tool up or put it to work."""
_IN_PASSING = words_pattern(
    # "a coin will do", "whatever you've got"
    r"(?:a|any|the) \w+ (?:'ll|will|'d|would) (?:do|work)", r"whatever (?:you|you 've) (?:have|got|like)"
)  # fmt: skip
_DOES_NOT_FIT = words_pattern(
    r"(?:wo n't|will not|ca n't|can not|'ll never|never) (?:get|fit) (?:a|an|the|your|any) .*"
)
""" "You won't get a socket in there" names the tool that is no use."""
_NOT_TOOLS = frozenset({"bar", "battery", "camera"})
_KEEPS_APART = frozenset("tool tools kit toolbox toolkit".split())
_NO_TOOL_ALONE = frozenset("key bit jet bar side mat".split())
"""Tools only with a word before them: "triangle key"; "the key" alone is the machine's own."""
_NAMED_BEHIND = 3
"""Tokens behind a verb within which a tool is what the verb is about."""
_NEAR_LINES = 4
"""A tool named again this soon is the same job's; later it is another job's, and an item of its own."""


def tools(talk: Talk) -> list[Found]:
    """The tools of ``talk`` in the order in which they are said.

    A tool named without a size takes the size told for it later in its line: "triangle key. … It's an eight mil."
    """
    found: list[Found] = []
    for tool in _tools(talk):
        if found and _gives_size_to(found[-1], tool):
            named = {**tool.fields, "name": found[-1].fields["name"], "implied": False}
            found[-1] = tool.with_(start=found[-1].start, fields=named, reasons=tool.reasons[:1])
        elif not any(_is_named_for(earlier, tool) for earlier in found[-_NEAR_LINES:]):
            found.append(tool)
    return found


def repeats(earlier: Found, later: Found) -> bool:
    """Whether ``later`` names the same tool for the same job."""
    is_near = later.line - earlier.line <= _NEAR_LINES
    return is_near and bool(earlier.fields["name"].lower() == later.fields["name"].lower())


def _is_named_for(named: Found, tool: Found) -> bool:
    """Whether ``named`` is the tool of the same size, said twice: "the nut is a nineteen, use a nineteen spanner"."""
    if named.fields["implied"] or not tool.fields["implied"] or named.size is None or tool.size is None:
        return False
    is_same_size = named.size.quantity.normal == tool.size.quantity.normal
    return is_same_size and named.line == tool.line and named.fields["fastener"] == tool.fields["fastener"]


def _gives_size_to(named: Found, tool: Found) -> bool:
    """Whether the size of ``tool``, which nobody named, is told for the tool ``named`` right before it."""
    if not tool.fields["implied"] or (tool.size and tool.size.is_drive):
        return False
    return named.size is None and named.line == tool.line


def _tools(talk: Talk) -> Iterator[Found]:
    """Sizes first, so that a tool noun beside a size is not named a second time."""
    taken: set[int] = set()
    for sentence in talk.sentences:
        if sentence.line in talk.chatter:
            continue
        clauses = [c for c in sentence.clauses if not _is_ruled_out(talk, c)]
        for clause in clauses:
            yield from sized(talk, sentence, clause, taken)
        if sentence.asks or sentence.line in talk.askers:
            continue
        for clause in clauses:
            is_in_passing = _IN_PASSING.search(talk.tape(clause.start, clause.end).text)
            if not is_in_passing and not is_denied(talk.doc, clause):
                yield from _named(talk, clause, taken)


def _is_ruled_out(talk: Talk, clause: Clause) -> bool:
    """Whether the clause forbids, or names what does not fit."""
    if prohibition(talk.doc, clause.body, clause.end):
        return True
    return _DOES_NOT_FIT.search(talk.tape(clause.start, clause.end).text) is not None


def _named(talk: Talk, clause: Clause, taken: set[int]) -> Iterator[Found]:
    """A tool named without a size: taken for a job, or named in a clause that has no verb."""
    told = deed(talk, clause)
    for mention in talk.mentions_in(clause.body, clause.end, "tool"):
        if mention.start in taken or not _is_tool(talk, clause, mention) or _is_moved(told, mention):
            continue
        if clause.marker in {"if", "because"} or not _is_used(talk, clause, told, mention):
            continue
        taken.add(mention.start)
        fields = {"name": as_said(talk, mention), "fastener": None, "implied": False}
        why = ("a tool is named for the job",)
        yield Found("tool", clause.start, clause.end, clause.line, fields, 0.6, why)


def _is_tool(talk: Talk, clause: Clause, mention: Mention) -> bool:
    """Whether the words mean a tool here; not "the key", "a bar of pressure", "the tool kit"."""
    doc = talk.doc
    if mention.entry.term in _NOT_TOOLS or doc[mention.end - 1].lower_ in _KEEPS_APART:
        return False
    if mention.end < len(doc) and doc[mention.end].lower_ == "of":
        return False
    if any(v.quantity.unit is not None and v.last == talk.word(mention.end - 1) for v in talk.values):
        return False  # "ten meters back"
    is_alone = mention.end - mention.start == 1 and doc[mention.start].lower_.rstrip("s") in _NO_TOOL_ALONE
    return not is_alone or (mention.start > clause.body and doc[mention.start - 1].pos_ in {"ADJ", "NOUN"})


def _is_moved(told: Deed | None, mention: Mention) -> bool:
    """Whether the deed moves it: "the bar comes off" is about a part of the machine."""
    if told is None or told.form not in {"wanted", "goes"} or not told.object:
        return False
    return told.object[0] <= mention.start < told.object[1]


def _is_used(talk: Talk, clause: Clause, told: Deed | None, mention: Mention) -> bool:
    """Whether the clause puts the tool to work: "with a hex bit", "get the long bar", "flat screwdriver, this one"."""
    doc = talk.doc
    if any(t.lower_ in {"with", "using"} for t in doc[clause.body : mention.start]):
        return True
    verbs = {t.lemma_.lower() for t in doc[clause.body : clause.end] if t.tag_.startswith("VB") or t.tag_ == "MD"}
    if not verbs or verbs & _USES:
        return True
    return told is not None and told.rest <= mention.start <= told.rest + _NAMED_BEHIND
