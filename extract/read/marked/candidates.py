"""All that may be an item: what the rules found and what the tagger marks, by kind."""

from collections.abc import Iterable, Mapping, Set

from vouchbook.extract.read.found import Found
from vouchbook.extract.read.marked.candidate import Candidate
from vouchbook.extract.read.marked.locations import marked_locations
from vouchbook.extract.read.marked.steps import marked_steps
from vouchbook.extract.read.marked.told import marked_cues, marked_tools, marked_warnings
from vouchbook.extract.read.talk import Talk
from vouchbook.extract.read.things import things_of
from vouchbook.extract.tagger.marks import Marks


def candidates(
    talk: Talk, marks: Marks, by_rules: Mapping[str, Iterable[Found]], forbidden: Set[int] = frozenset()
) -> dict[str, list[Candidate]]:
    """The candidates of each kind, those of the rules first; no token of ``forbidden`` is in a marked step."""
    things = things_of(talk)
    sizes = {
        token: found.size
        for found in by_rules["tool"]
        if found.size and (token := talk.token_of(found.size.first)) is not None
    }
    marked: dict[str, Iterable[Candidate]] = {
        "step": marked_steps(talk, marks, things, forbidden),
        "tool": marked_tools(talk, marks, sizes),
        "location": marked_locations(talk, marks, things),
        "warning": marked_warnings(talk, marks),
        "cue": marked_cues(talk, marks),
    }
    return {kind: [*(_by_rules(talk, f) for f in by_rules[kind]), *marked[kind]] for kind in marked}


def _by_rules(talk: Talk, found: Found) -> Candidate:
    return Candidate(found, "rules", found.act, _head(talk, found))


def _head(talk: Talk, found: Found) -> int:
    """The token that an item of the rules hangs on: of a step its verb, where its words hold it."""
    if found.kind == "step":
        verb = found.fields["action"].split()[0]
        return next((t.i for t in talk.doc[found.start : found.end] if t.lemma_.lower() == verb), found.start)
    if found.kind == "tool" and found.size and (token := talk.token_of(found.size.first)) is not None:
        return token
    return found.start
