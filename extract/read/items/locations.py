"""Locations: where a component is, when its place is told in its own right."""

import re
from collections.abc import Iterator

from vouchbook.extract.read.found import Found
from vouchbook.extract.read.items.likeness import is_alike, is_part_of
from vouchbook.extract.read.items.location_context import NAMED, NO_PART, LocationContext
from vouchbook.extract.read.items.location_forms import told
from vouchbook.extract.read.phrases import noun_phrase, thing
from vouchbook.extract.read.scope import prohibition
from vouchbook.extract.read.talk import Sentence, Talk
from vouchbook.extract.read.things import Things, things_of

_WHERE = re.compile(r"(?<!\S)(?:where|which side|whereabouts)(?!\S)")
_SHORT_QUESTION = 11
"""Tokens; so short a question may ask for a place by the part alone: "and the key?"."""
_OWNS = frozenset("the your my our a an".split())


def locations(talk: Talk) -> Iterator[Found]:
    """The locations of ``talk`` in the order in which they are said; a place may answer the question before it."""
    things = things_of(talk)
    asked: str | None = None
    before: Sentence | None = None
    for sentence in talk.sentences:
        if sentence.line in talk.askers:
            asked = _asked_for(talk, sentence) or (asked if before and before.line == sentence.line else None)
        elif not sentence.asks and sentence.line not in talk.chatter:
            yield from _of_sentence(talk, sentence, things, asked, before)
            asked = None
        before = sentence


def repeats(earlier: Found, later: Found) -> bool:
    """Whether ``later`` tells the same place of the same part again."""
    one, other = earlier.fields, later.fields
    return is_alike(one["part"], other["part"]) and is_part_of(one["place"], other["place"])


def _asked_for(talk: Talk, sentence: Sentence) -> str | None:
    """The part whose place is asked for: "and where's the isolator?", "and the key?", "twelve volt."."""
    asks_where = _WHERE.search(talk.tape(sentence.start, sentence.end).text) is not None
    if not asks_where and sentence.end - sentence.start > _SHORT_QUESTION:
        return None
    named = _last_noun_phrase(talk, sentence)
    if named is None:
        mention = next(talk.mentions_in(sentence.start, sentence.end, "part"), None)
        return thing(talk.doc, mention.start, mention.end) if mention else None
    if not asks_where and not any(talk.mentions_in(*named, *NAMED)):
        return None
    return thing(talk.doc, *named)


def _last_noun_phrase(talk: Talk, sentence: Sentence) -> tuple[int, int] | None:
    """The last noun phrase of ``sentence`` that may be a part."""
    last: tuple[int, int] | None = None
    for at in range(sentence.start, sentence.end):
        stop = noun_phrase(talk.doc, at, sentence.end)
        if stop > at and (last is None or at >= last[1]) and talk.doc[stop - 1].lower_ not in NO_PART:
            last = (at, stop)
    return last


def _of_sentence(
    talk: Talk, sentence: Sentence, things: Things, asked: str | None, before: Sentence | None
) -> Iterator[Found]:
    """A location for each clause that tells one; a clause that only carries a place on gives none of its own."""
    told_to = sentence.start
    for number, clause in enumerate(sentence.clauses):
        if clause.end <= told_to or clause.marker not in {None, "because"}:
            continue
        if prohibition(talk.doc, clause.body, clause.end):
            continue
        context = LocationContext(talk, sentence, number, things, asked, before)
        found = told(context)
        if found:
            found = _with_name_behind(context, found)
            yield found
            asked, told_to = None, found.end


def _with_name_behind(context: LocationContext, found: Found) -> Found:
    """ "The drum on top, that's the pump head": what the thing is called is told after its place."""
    behind = next((c for c in context.sentence.clauses if c.start >= found.end), None)
    if behind is None:
        return found
    words = [t.lower_ for t in context.doc[behind.body : behind.body + 3]]
    if len(words) < 3 or words[0] != "that" or words[1] not in {"'s", "is"} or words[2] not in _OWNS:
        return found
    name = context.part(behind.body + 2, behind.end)
    if name is None or any(word in found.fields["part"] for word in name.split()):
        return found
    return found.with_(end=behind.end, fields={**found.fields, "part": f"{name}, {found.fields['part']}"})
