"""The forms in which a place is told.

"The flap is behind the badge", "there's a brass tap under the step", "left of the door there's a flap",
"main switch, in the porch, on your right", "grey plug. Left of the seat.",
and a bare place in answer to "where's the …?".
"""

from vouchbook.extract.read.deeds.instruct import deed
from vouchbook.extract.read.found import Found
from vouchbook.extract.read.items.location_context import NAMED, NO_PART, LocationContext, PlaceTold
from vouchbook.extract.read.phrases import is_place_start, noun_phrase, with_of
from vouchbook.extract.read.places import has_verb, is_place_only, is_place_phrase, place_text
from vouchbook.extract.read.sentences import Clause
from vouchbook.extract.read.things import PRONOUNS

_ARE = frozenset("is 's are 're was were".split())
_LIE = frozenset(
    """
    standing sitting hanging lying sit sits sat live lives hide hides hang hangs hung lie lies stand stands stood
    mounted bolted clipped tucked fitted fixed buried hidden located found kept stored set built
    """.split()
)
_RUN = frozenset("run runs go goes come comes".split())
_RUNS = frozenset(
    """
    cable cables pipe pipes line lines hose hoses wire wires wiring orange duct vent tank tanks conduit trunking loom
    harness rail rails shaft flue
    """.split()
)
"""What runs or goes somewhere without moving."""
_FIXED_BY = frozenset("held screwed glued stuck n't not".split())
"""After "is" these tell how it is fixed, or where it is not."""
_HAVE = frozenset("'ve have got has had find see 'll".split())
_LOOK = frozenset("see look watch notice".split())
_NOT_A_THING = frozenset("she he her him".split())
_PLURAL = frozenset("they those these them".split())
_DESCRIBES_LYING = frozenset("RB VBN JJ RP".split())
_TIES_TO_PLACE = frozenset("with held to that".split())
"""Before a place these tie it to something else than the part: "a flap with a handle on top"."""
_JUST_NAMED = 3
"""Tokens between a thing and the pronoun that certainly means it."""


def told(context: LocationContext) -> Found | None:
    """The location that the clause tells, or None."""
    clause = context.clause
    if is_place_only(context.talk, clause):
        return _place_first(context)
    if inner := _place_then_thing(context):
        return inner
    thing_begins = _thing_begins(context)
    if thing_begins is not None:
        return _there_is(context, thing_begins)
    subject = _subject_end(context)
    if clause.body < subject < clause.end and _lies(context, subject):
        return _is_at(context, subject)
    if subject > clause.body and deed(context.talk, clause) is None:
        return _fragment(context, subject)
    return None


def _thing_begins(context: LocationContext) -> int | None:
    """Where the thing begins in "there's a brass tap …", "you've got two levers …", "see the cover …"; or None."""
    doc, body, end = context.doc, context.clause.body, context.clause.end
    word = doc[body].lower_
    if body + 1 >= end:
        return None
    if word == "there" and doc[body + 1].lower_ in _ARE | {"will", "'ll"}:
        return body + 2
    if word in {"you", "we"}:
        at = next((i for i in range(body + 1, min(end, body + 4)) if doc[i].lower_ in _HAVE), None)
        while at is not None and at < end and doc[at].lower_ in _HAVE:
            at += 1
        return at
    return body + 1 if word in _LOOK and doc[body + 1].tag_ == "DT" else None


def _subject_end(context: LocationContext) -> int:
    """Where the thing that the clause begins with ends; its body when it begins with none."""
    doc, body, end = context.doc, context.clause.body, context.clause.end
    subject = noun_phrase(doc, body, end)
    if subject == body and doc[body].lower_ in PRONOUNS | {"p"}:
        subject = body + 1
    return max(subject, with_of(doc, body, end)) if subject > body else body


def _lies(context: LocationContext, verb: int) -> bool:
    token = context.doc[verb]
    return token.lower_ in _ARE | _LIE | _RUN or token.tag_ == "POS"


def _place_first(context: LocationContext) -> Found | None:
    """A clause that is only a place: the thing follows it, was asked for, or was the sentence before."""
    place = context.place_from(context.clause.body)
    if place is None:
        return None
    behind = context.clause_behind(place.clause)
    opens = _opening(context, behind) if behind else None
    if behind and opens is not None and (part := context.part(opens, behind.end)):
        why = "the place said first, then what is there"
        return context.location(part, place._replace(stop=behind.end), 0.75, why)
    if context.asked:
        return context.location(context.asked, place, 0.7, "the place in answer to a question")
    return _after_its_part(context, place)


def _after_its_part(context: LocationContext, place: PlaceTold) -> Found | None:
    """ "Grey plug. Left of the seat.": the part is the sentence before, which tells nothing else."""
    talk, before = context.talk, context.before
    if before is None or before.line != context.clause.line or context.number > 0 or len(before.clauses) > 1:
        return None
    start, end = before.clauses[0].body, before.clauses[0].end
    if has_verb(talk, before.start, before.end) or not any(talk.mentions_in(start, end, *NAMED)):
        return None
    part = context.part(start, end)
    return context.location(part, place, 0.75, "a part named, then its place", start=before.start) if part else None


def _opening(context: LocationContext, clause: Clause) -> int | None:
    """Where the thing begins in "there's a flap", "it's a brass tap", "you've got two switches"."""
    doc, body = context.doc, clause.body
    words = [t.lower_ for t in doc[body : min(clause.end, body + 3)]]
    if len(words) < 2 or not (_opens_thing(*words[:2]) or (words[0] == "that" and words[1] in _ARE)):
        return None
    return body + 3 if words[2:] in (["got"], ["also"]) else body + 2


def _place_then_thing(context: LocationContext) -> Found | None:
    """ "under the deck it's a charger", "on the frame there's a grey knob" in one breath."""
    doc, clause = context.doc, context.clause
    for at in range(clause.body + 2, clause.end - 2):
        if not _opens_thing(doc[at].lower_, doc[at + 1].lower_):
            continue
        is_place = is_place_phrase(context.talk, clause.body, at)
        place = place_text(context.talk, clause.body, at) if is_place else None
        opens = at + 3 if doc[at + 2].lower_ in {"got", "also", "n't"} else at + 2
        part = context.part(opens, clause.end)
        if place and part:
            told_place = PlaceTold(place, clause.end, context.number)
            return context.location(part, told_place, 0.75, "the place said first, then what is there")
        return None
    return None


def _opens_thing(word: str, following: str) -> bool:
    """Whether two words lead to what is there: "there's", "it is", "you've"."""
    return (word in {"there", "it", "you"} and following in _ARE) or (word == "you" and following in _HAVE)


def _there_is(context: LocationContext, start: int) -> Found | None:
    """ "there's a brass tap under the step", "there's a flap, behind the wheel"."""
    doc, end = context.doc, context.clause.end
    while start < end and doc[start].tag_ == "RB":
        start += 1
    part = context.part(start, end)
    if part is None:
        return None
    part_end = with_of(doc, start, end)
    begins = next((i for i in range(part_end, end) if is_place_start(doc, i, end)), None)
    if begins is not None and any(t.lower_ in _TIES_TO_PLACE for t in doc[part_end:begins]):
        begins = None
    place = context.place_behind() if begins is None else context.place_from(begins)
    return context.location(part, place, 0.8, "said as what there is, and where") if place else None


def _is_at(context: LocationContext, verb: int) -> Found | None:
    """ "the flap's in the tail, right behind the plate"; "they're in the bin"; "it runs along the sill"."""
    doc, clause = context.doc, context.clause
    head = doc[verb - 1].lower_
    if head in NO_PART or (doc[verb].lower_ in _RUN and head not in _RUNS):
        return None
    place = _place_after(context, verb)
    if place is None:
        return None
    if verb - clause.body == 1 and head in PRONOUNS:
        return _pronoun_at(context, head, place)
    part = context.part(clause.body, verb)
    return context.location(part, place, 0.85, "said where it is") if part else None


def _place_after(context: LocationContext, verb: int) -> PlaceTold | None:
    """The place behind "is", "sits" or "runs"; none in "it's held by a clip" and "it isn't under there"."""
    doc, end = context.doc, context.clause.end
    is_plain = doc[verb].lower_ in _ARE
    begins = verb + 1
    while begins < end and not is_place_start(doc, begins, end):
        if doc[begins].tag_ not in _DESCRIBES_LYING and doc[begins].lower_ not in _LIE:
            break
        if doc[begins].lower_ in _FIXED_BY:
            return None
        begins += 1
    if begins >= end:  # "it's mounted low down, behind the wheel"
        return None if is_plain and begins == verb + 1 else context.place_behind()
    if is_place_start(doc, begins, end):
        return context.place_from(begins)
    stop = with_of(doc, begins, end)
    if is_plain and begins < stop < end and is_place_start(doc, stop, end):
        return context.place_from(stop)  # "the fan's the knob under that"
    return None


def _pronoun_at(context: LocationContext, head: str, place: PlaceTold) -> Found | None:
    """ "It's in the locker": the part was asked for, or is the thing told before, if that is certain."""
    if head in _NOT_A_THING:
        return None
    if context.asked:
        return context.location(context.asked, place, 0.75, "the place in answer to a question")
    meant = context.things.before(context.clause.body, plural=head in _PLURAL)
    if meant is None:
        return None
    is_just_named = context.clause.start - meant.end <= _JUST_NAMED
    if not is_just_named and not any(context.talk.mentions_in(meant.start, meant.end, *NAMED)):
        return None
    part = context.things.text(meant)
    found = context.location(part, place, 0.65, "said where it is; what it is was said before")
    return found.with_(also=((meant.start, meant.end),)) if found else None


def _fragment(context: LocationContext, subject: int) -> Found | None:
    """ "main switch, in the porch", "the blue tank under the step, that's air": a part and its place without a verb."""
    talk, clause = context.talk, context.clause
    behind = context.clause_behind(context.number)
    is_named_behind = behind is not None and talk.tape(behind.body, behind.end).text.startswith("that 's")
    if not is_named_behind and not any(talk.mentions_in(clause.body, subject, *NAMED)):
        return None
    part = context.part(clause.body, subject)
    if part is None:
        return None
    if subject == clause.end:
        place = context.place_behind()
        return context.location(part, place, 0.7, "a part named, then its place") if place else None
    if not is_place_start(talk.doc, subject, clause.end) or has_verb(talk, clause.body, clause.end):
        return None
    place = context.place_from(subject)
    return context.location(part, place, 0.65, "a part named with its place") if place else None
