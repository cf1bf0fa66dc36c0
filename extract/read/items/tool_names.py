"""What a tool and its fastener are called: as somebody said it, or as the size and the fastener imply."""

from vouchbook.extract.read.mentions import Mention
from vouchbook.extract.read.phrases import thing
from vouchbook.extract.read.talk import Sentence, Talk
from vouchbook.extract.read.values import Value

_BITS = {
    "PH": "cross-recess screwdriver", "PZ": "pozi screwdriver", "T": "hexalobular bit",
    "E": "external hexalobular socket",
}  # fmt: skip
"""The tool that the name of a size implies; ISO 10664 calls the star shape hexalobular."""
_HEX_HEAD = frozenset("bolt bolts nut nuts head heads headed flange".split())
"""Behind "hex" these tell what is gripped from outside; "a six mil hex" alone is the key or its socket."""
_HEX_WITHIN = 3
_LINES_BACK = 2
"""Lines before that of a size in which the fastener that it fits is looked for."""


def as_said(talk: Talk, mention: Mention) -> str:
    """The tool's name as said, with the adjective before it; the pack's own term where a name was repaired."""
    if mention.is_repaired:
        return mention.entry.term
    doc, start = talk.doc, mention.start
    while (
        start > 0
        and doc[start - 1].tag_ == "JJ"
        and doc[start - 1].lower_ != "own"
        and doc[start - 1].is_alpha
        and not doc[start].is_sent_start
    ):
        start -= 1
    return thing(doc, start, mention.end)


def implied_name(talk: Talk, sentence: Sentence, value: Value) -> str:
    """The tool that a size alone implies: by its name ("T thirty"), by the fastener told near it, else a socket."""
    quantity = value.quantity
    if value.is_drive or quantity.dimension == "drive":
        return "ratchet"
    if quantity.dimension == "bit":
        for prefix, name in _BITS.items():
            if quantity.normal.startswith(prefix):
                return name
    if _is_hex(talk, value):
        return "hex key"
    for line in _lines(sentence):
        for near in talk.sentences_of(line):
            for mention in talk.mentions_in(near.start, near.end, "fastener"):
                if mention.entry.implies_tool:
                    return mention.entry.implies_tool
    return "socket"


def _is_hex(talk: Talk, value: Value) -> bool:
    """Whether the size is told of a hexagon socket: "eight mil hex", "an Allen, six mil"; not "ten mil hex bolt"."""
    first, last = talk.token_of(value.first), talk.token_of(value.last)
    if first is None or last is None:
        return False
    sentence = talk.doc[first].sent
    near = talk.doc[max(sentence.start, first - _HEX_WITHIN) : min(sentence.end, last + 1 + _HEX_WITHIN)]
    return any(
        t.lower_ in {"hex", "allen"} and (t.i + 1 >= sentence.end or t.nbor(1).lower_ not in _HEX_HEAD) for t in near
    )


def fastener_near(talk: Talk, sentence: Sentence) -> str | None:
    """The fastener told last in the line of ``sentence``, or in one of the two lines before it."""
    for line in _lines(sentence):
        for near in reversed(talk.sentences_of(line)):
            found = list(talk.mentions_in(near.start, near.end, "fastener"))
            if found:
                return found[-1].entry.term
    return None


def _lines(sentence: Sentence) -> range:
    return range(sentence.line, max(-1, sentence.line - _LINES_BACK - 1), -1)
