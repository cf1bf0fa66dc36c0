"""Keywords only: lists of words and regular expressions, no language model. Written once, from general knowledge."""

import re
from bisect import bisect_right
from collections.abc import Callable, Iterator

from reading.drafts import draft_of
from reading.findings import COUNTS, Finding, Span
from reading.hazards import hazard_of, signal_of
from reading.model import text_of
from reading.sizes import SIZE, normal
from reading.stretches import stretches
from vouchbook.models.draft import Draft
from vouchbook.models.transcript import Transcript


def _any(words: str) -> str:
    """Any word of a list; "_" stands for a space."""
    return "|".join(sorted((word.replace("_", " ") for word in words.split()), key=len, reverse=True))


_DEEDS = _any(
    """
    remove undo unscrew unbolt loosen disconnect unplug lift pull push press turn open close slide pry peel take cut
    switch flip hold check wait put chock isolate lock drain vent shut release lower drop tape tag keep stand use
    get grab go bring find hit wind crank tip unclip unhook strip earth hang wear set leave watch look test fold swing
    replace repair inspect clean fit install adjust service tighten insert connect detach rotate separate change
    add mix incubate wash centrifuge transfer discard pour heat cool store shake rinse dry place apply prepare repeat
    """
)
_TOOLS = _any(
    """
    spanner wrench socket screwdriver plier ratchet hammer crowbar pry_bar bar jack spudger tweezer scissor knife
    cutter drill saw torch meter multimeter driver allen_key hex_key bit winch strap
    """
)
_DRIVES = _any("phillips torx hex allen pentalobe flathead slotted crosshead")
_PARTS = _any(
    """
    battery cover panel lid door handle switch button lever valve pump hose engine motor cable connector plug fuse
    breaker isolator tank cylinder brake tyre wheel axle seat bonnet bolt nut screw bracket fan filter belt radiator
    compressor light lamp horn window gearbox transmission bearing shaft roller pin spring steering alternator
    air_conditioner cooler oil box cabinet charger inverter contactor key mast chain platform gate hatch
    """
)
_PLACES = "under|behind|inside|beneath|above|below|beside|next to|on|in|at"
_STATES = _any(
    """
    broken blown cracked loose worn failed faulty fault damaged missing unserviceable seized bent burnt stuck
    blocked live dead flat dirty error not_working
    """
)
_WARNS = re.compile(
    r"\b(?:never|don't|do not|mustn't|nobody|careful|mind|watch|danger(?:ous)?|deadly|dead|kill(?:s|ed)?|"
    r"crush|burns?|trap(?:s|ped)?|explodes?|shock|live|high voltage|volts|pressure|gas|fumes|hot|fall(?:s|ing)?|"
    r"tips|drops|fire|bang)\b"
)
_SHOWS = re.compile(
    r"\b(?:you(?:'ll| will| can)? (?:hear|see|smell|feel)|means|looks? like|sounds? like|lamp|sticker|label|badge)\b"
)
_ENDS_THING = (
    "from|in|on|to|with|and|of|at|by|for|using|off|out|up|down|away|until|so|that|which|into|under|behind|is|if"
)
_THING = rf"(?:the |a |an |that |this |your |those )?(?P<thing>\S+?(?: (?!(?:{_ENDS_THING})\b)\S+?){{0,4}}?)"
_DEED = re.compile(
    rf"(?<!\S)(?<!never )(?<!don't )(?<!not )(?P<verb>{_DEEDS})(?: (?P<particle>off|out|up|down|away))?(?=[\s.,;:!?]|$)"
    rf"(?: (?!(?:{_ENDS_THING})\b){_THING}(?=[.,;:!?]| (?:{_ENDS_THING})\b|$))?"
)
_TOOL = re.compile(
    rf"(?<!\S)(?P<before>(?:(?:{SIZE}|{_DRIVES}) ){{0,3}})"
    rf"(?:(?P<tool>(?:[a-z-]+ )?(?:{_TOOLS})s?)|(?P<fastener>(?:screw|bolt|nut)s?))\b"
)
_SIZE, _DRIVE = re.compile(rf"(?<!\S){SIZE}"), re.compile(rf"\b(?:{_DRIVES})\b")
_LOCATION = re.compile(
    rf"(?<!\S)(?P<part>(?:[a-z-]+ )?(?:{_PARTS})s?)(?: is| are|'s| sits)? "
    rf"(?P<place>(?:{_PLACES}) (?:the|your|that) [a-z-]+(?: (?!(?:and|so|that|which)\b)[a-z-]+)?)"
)
_PART, _STATE = re.compile(rf"(?<!\S)(?:{_PARTS})s?\b"), re.compile(rf"(?<!\S)(?:{_STATES})\b")

Words = Callable[..., Span]


class Keywords:
    """Reads by lists of words."""

    name = "keywords"
    used = "lists of deeds, tools, parts and states; the thing of a deed is what stands behind it"

    def draft(self, transcript: Transcript) -> Draft:
        """A draft of a talk."""
        return draft_of(transcript, self.read(transcript), self.name)

    def read(self, transcript: Transcript) -> list[Finding]:
        """What the words of the lists find."""
        text = text_of(transcript).lower().replace("\u2019", "'")
        starts = [0, *(n + 1 for n, character in enumerate(text) if character == " ")]

        def words(match: re.Match[str], group: str | int = 0) -> Span:
            return bisect_right(starts, match.start(group)) - 1, bisect_right(starts, match.end(group) - 1) - 1

        found = [*_deeds(text, words), *_tools(text, words), *_things(text, words)]
        found += [
            Finding("location", words(match), {"part": match["part"], "place": match["place"]})
            for match in _LOCATION.finditer(text)
        ]
        for first, last in stretches(transcript):
            said = transcript.text(first, last)
            if _WARNS.search(said.lower()):
                fields = {"text": said, "hazard": hazard_of(said), "signal": signal_of(said)}
                found.append(Finding("warning", (first, last), fields))
            if _SHOWS.search(said.lower()):
                found.append(Finding("cue", (first, last), {"text": said}))
        return found


def _deeds(text: str, words: Words) -> Iterator[Finding]:
    for match in _DEED.finditer(text):
        action = " ".join(filter(None, (match["verb"], match["particle"])))
        thing = words(match, "thing") if match["thing"] else None
        yield Finding(
            "step",
            words(match),
            {"action": action, "object": match["thing"] or ""},
            verb=words(match, "verb")[0],
            particle=words(match, "particle")[0] if match["particle"] else None,
            thing=thing,
            count=_count(match["thing"] or ""),
        )


def _count(thing: str) -> int | None:
    first = thing.partition(" ")[0]
    return int(first) if first.isdigit() else COUNTS.get(first)


def _tools(text: str, words: Words) -> Iterator[Finding]:
    """Tools by name; a fastener asks for one where its drive or its size is told, and so does a size alone."""
    sizes = {match.start(): match for match in _SIZE.finditer(text)}
    taken: set[int] = set()
    for match in _TOOL.finditer(text):
        size = next((sizes[at] for at in sizes if match.start("before") <= at < match.end("before")), None)
        drive = _DRIVE.search(match["before"])
        if match["fastener"] and not (size or drive):
            continue
        taken.update(range(*match.span()))
        name = match["tool"] or ("screwdriver" if match["fastener"].startswith("screw") else "socket")
        yield Finding(
            "tool",
            words(match),
            {"name": f"{drive[0]} {name}" if drive else name},
            size=normal(size[0]) if size else None,
            size_at=words(size) if size else None,
            is_implied=match["tool"] is None,
        )
    for at, match in sizes.items():
        if at not in taken:
            size_alone = normal(match[0])
            name = "screwdriver" if size_alone[0] in "TP" else "socket"
            yield Finding("tool", words(match), {"name": name}, size=size_alone, size_at=words(match), is_implied=True)


def _things(text: str, words: Words) -> Iterator[Finding]:
    for match in _PART.finditer(text):
        yield Finding("part", words(match), {"name": match[0]})
    for match in _STATE.finditer(text):
        yield Finding("state", words(match), {"name": match[0]})
