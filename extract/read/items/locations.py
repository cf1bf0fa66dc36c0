"""Locations: where a component is, when its place is told in its own right.

Forms: "the flap is behind the badge", "there's a red tap under the step", "left of the door there's a flap", "main
switch, in the door, on your right", "grey plug. Left of the seat.", and a bare place in answer to "where's the …?".
"""

import re
from collections.abc import Iterator, Sequence

from vouchbook.extract.read.deeds import deed
from vouchbook.extract.read.found import Found
from vouchbook.extract.read.phrases import is_place_start, noun_phrase, text_of, thing, with_of
from vouchbook.extract.read.places import has_verb, is_place_only, is_place_phrase, place_text
from vouchbook.extract.read.scope import prohibition
from vouchbook.extract.read.sentences import Clause
from vouchbook.extract.read.talk import Sentence, Talk
from vouchbook.extract.read.things import BODY, PRONOUNS, Things

_ARE = frozenset(["is", "'s", "are", "'re", "was", "were"])
_LIE = frozenset(
    [
        "standing",
        "sitting",
        "hanging",
        "lying",
        "sit",
        "sits",
        "sat",
        "live",
        "lives",
        "hide",
        "hides",
        "hang",
        "hangs",
        "hung",
        "lie",
        "lies",
        "stand",
        "stands",
        "stood",
        "mounted",
        "bolted",
        "clipped",
        "tucked",
        "fitted",
        "fixed",
        "buried",
        "hidden",
        "located",
        "found",
        "kept",
        "stored",
        "set",
        "built",
    ]
)
_RUN = frozenset(["run", "runs", "go", "goes", "come", "comes"])
_RUNS = frozenset(
    [
        "cable",
        "cables",
        "pipe",
        "pipes",
        "line",
        "lines",
        "hose",
        "hoses",
        "wire",
        "wires",
        "wiring",
        "orange",
        "duct",
        "vent",
        "tank",
        "tanks",
        "conduit",
        "trunking",
        "loom",
        "harness",
        "rail",
        "rails",
        "shaft",
        "flue",
    ]
)
_HELD = frozenset(["held", "screwed", "glued", "stuck"])
_HAVE = frozenset(["'ve", "have", "got", "has", "had", "find", "see", "'ll"])
_LOOK = frozenset(["see", "look", "watch", "notice"])
_NO_PART = frozenset(
    [
        "people",
        "person",
        "man",
        "lad",
        "bloke",
        "guy",
        "crew",
        "everybody",
        "nobody",
        "somebody",
        "day",
        "way",
        "time",
        "problem",
        "thing",
        "things",
        "idea",
        "bit",
        "point",
        "question",
        "lot",
        "boy",
        "girl",
        "fella",
        "video",
        "film",
        "camera",
        "kettle",
        "tea",
        "coffee",
        "smell",
        "noise",
        "smoke",
        "water",
        "power",
        "sound",
        "thud",
        "click",
        "clunk",
        "bang",
        "hiss",
        "whistle",
        "number",
        "sign",
        "label",
        "sticker",
        "picture",
        "flame",
        "fire",
        "arc",
        "spark",
        "ice",
        "jet",
        "air",
        "gas",
        "acid",
        "oil",
        "foam",
        "warning",
        "leak",
        "heat",
        "light",
        "load",
        "space",
        "room",
        "reason",
        "chance",
        "trick",
        "difference",
        "pair",
        "couple",
        "rest",
        "half",
        "end",
        "side",
        "top",
        "bottom",
    ]
)
_WHERE = re.compile(r"(?<!\S)(?:where|which side|whereabouts)(?!\S)")
_NAMED = ("part", "tool", "fastener", "ppe", "material")
_SHORT_QUESTION = 11


def locations(talk: Talk) -> Iterator[Found]:
    """The locations of ``talk`` in the order in which they are said."""
    things = Things(talk)
    asked: str | None = None
    before: Sentence | None = None
    for sentence in talk.sentences:
        if sentence.line in talk.askers or sentence.asks:
            if sentence.line in talk.askers:
                asked = _asked_for(talk, sentence) or (asked if before and before.line == sentence.line else None)
            before = sentence
            continue
        if sentence.line not in talk.chatter:
            yield from _of_sentence(talk, sentence, _Context(things, asked, before))
            asked = None
        before = sentence


class _Context:
    """What was said before: the things named, what was asked for, the sentence before."""

    def __init__(self, things: Things, asked: str | None, before: Sentence | None) -> None:
        self.things, self.asked, self.before = things, asked, before


def _asked_for(talk: Talk, sentence: Sentence) -> str | None:
    """The part whose place is asked for: "and where's the isolator?", "and the key?", "twelve volt."."""
    line = talk.tape(sentence.start, sentence.end)
    if not _WHERE.search(line.text) and sentence.end - sentence.start > _SHORT_QUESTION:
        return None
    best: tuple[int, int] | None = None
    for at in range(sentence.start, sentence.end):
        stop = noun_phrase(talk.doc, at, sentence.end)
        if stop > at and (best is None or at >= best[1]) and talk.doc[stop - 1].lower_ not in _NO_PART | {"side"}:
            best = (at, stop)
    if best and not _WHERE.search(line.text) and not any(talk.mentions_in(*best, *_NAMED)):
        return None
    if best is None:
        mention = next(talk.mentions_in(sentence.start, sentence.end, "part"), None)
        best = (mention.start, mention.end) if mention else None
    return thing(talk.doc, *best) if best else None


def _of_sentence(talk: Talk, sentence: Sentence, context: _Context) -> Iterator[Found]:
    clauses, at = sentence.clauses, 0
    while at < len(clauses):
        clause = clauses[at]
        found = None
        if clause.marker in {None, "because"} and not prohibition(talk.doc, clause.body, clause.end):
            found = _told(talk, clauses, at, context)
        if found:
            found = _named_after(talk, clauses, found)
            yield found
            context.asked = None
            while at + 1 < len(clauses) and clauses[at + 1].end <= found.end:
                at += 1
        at += 1


def _named_after(talk: Talk, clauses: Sequence[Clause], found: Found) -> Found:
    """ "the lump on top, that's the valve block": what the thing is called is told after its place."""
    following = next((c for c in clauses if c.start >= found.end), None)
    if following is None:
        return found
    words = [t.lower_ for t in talk.doc[following.body : following.body + 3]]
    if (
        len(words) < 3
        or words[0] != "that"
        or words[1] not in {"'s", "is"}
        or words[2] not in {"the", "your", "my", "our", "a", "an"}
    ):
        return found
    name = _part(talk, following.body + 2, following.end)
    if name is None or any(w in found.fields["part"] for w in name.split()):
        return found
    return found.with_(end=following.end, fields={**found.fields, "part": f"{name}, {found.fields['part']}"})


def _told(talk: Talk, clauses: Sequence[Clause], at: int, context: _Context) -> Found | None:
    doc, clause = talk.doc, clauses[at]
    body, end = clause.body, clause.end
    if is_place_only(talk, clause):
        return _place_first(talk, clauses, at, context)
    if inner := _place_then_thing(talk, clause):
        return inner
    if doc[body].lower_ == "there" and body + 1 < end and doc[body + 1].lower_ in _ARE | {"will", "'ll"}:
        return _there_is(talk, clauses, at, body + 2)
    subject = noun_phrase(doc, body, end)
    if subject == body and doc[body].lower_ in PRONOUNS | {"p"}:
        subject = body + 1
    if subject > body:
        subject = max(subject, with_of(doc, body, end))
    if body < subject < end and (
        doc[subject].lower_ in _ARE or doc[subject].tag_ == "POS" or doc[subject].lower_ in _LIE | _RUN
    ):
        return _is_at(talk, clauses, at, subject, context)
    if doc[body].lower_ in {"you", "we"} and any(t.lower_ in _HAVE for t in doc[body + 1 : min(end, body + 4)]):
        start = next(i for i in range(body + 1, end) if doc[i].lower_ in _HAVE) + 1
        while start < end and doc[start].lower_ in _HAVE:
            start += 1
        return _there_is(talk, clauses, at, start)
    if doc[body].lower_ in _LOOK and body + 1 < end and doc[body + 1].tag_ == "DT":
        return _there_is(talk, clauses, at, body + 1)
    if deed(talk, clause) is None and subject > body:
        return _fragment(talk, clauses, at, subject)
    return None


def _place_first(talk: Talk, clauses: Sequence[Clause], at: int, context: _Context) -> Found | None:
    """A clause that is only a place: the thing follows it, was asked for, or was the sentence before."""
    place, stop, last = _place_from(talk, clauses, at, clauses[at].body)
    if place is None:
        return None
    if last + 1 < len(clauses):
        following = clauses[last + 1]
        opens = _opening(talk, following)
        if opens is not None and (part := _part(talk, opens, following.end)):
            return _made(
                talk,
                clauses[at].start,
                following.end,
                clauses[at].line,
                part,
                place,
                0.75,
                "the place said first, then what is there",
            )
    if context.asked:
        return _made(
            talk,
            clauses[at].start,
            stop,
            clauses[at].line,
            context.asked,
            place,
            0.7,
            "the place in answer to a question",
        )
    before = context.before
    if (
        before
        and before.line == clauses[at].line
        and at == 0
        and len(before.clauses) == 1
        and not has_verb(talk, before.start, before.end)
    ):
        clause = before.clauses[0]
        if (part := _part(talk, clause.body, clause.end)) and any(talk.mentions_in(clause.body, clause.end, *_NAMED)):
            return _made(talk, before.start, stop, before.line, part, place, 0.75, "a part named, then its place")
    return None


def _opening(talk: Talk, clause: Clause) -> int | None:
    """Where the thing begins in "there's a flap", "it's a red tap", "you've got two switches"."""
    doc, body = talk.doc, clause.body
    words = [t.lower_ for t in doc[body : min(clause.end, body + 3)]]
    if (
        len(words) > 1
        and words[0] in {"there", "it", "that", "you"}
        and (words[1] in _ARE or (words[0] == "you" and words[1] in _HAVE))
    ):
        return body + 3 if len(words) > 2 and words[2] in {"got", "also"} else body + 2
    return None


def _place_then_thing(talk: Talk, clause: Clause) -> Found | None:
    """ "under the floor it's a converter", "on the block there's a red knob" in one breath."""
    doc = talk.doc
    for at in range(clause.body + 2, clause.end - 2):
        if doc[at].lower_ in {"there", "it", "you"} and (
            doc[at + 1].lower_ in _ARE or (doc[at].lower_ == "you" and doc[at + 1].lower_ in _HAVE)
        ):
            place = place_text(talk, clause.body, at) if is_place_phrase(talk, clause.body, at) else None
            opens = at + 3 if doc[at + 2].lower_ in {"got", "also", "n't"} else at + 2
            part = _part(talk, opens, clause.end)
            if place and part:
                return _made(
                    talk,
                    clause.start,
                    clause.end,
                    clause.line,
                    part,
                    place,
                    0.75,
                    "the place said first, then what is there",
                )
            return None
    return None


def _there_is(talk: Talk, clauses: Sequence[Clause], at: int, start: int) -> Found | None:
    """ "there's a red tap under the step", "there's a flap, behind the wheel"."""
    doc, clause = talk.doc, clauses[at]
    while start < clause.end and doc[start].tag_ == "RB":
        start += 1
    part = _part(talk, start, clause.end)
    if part is None:
        return None
    part_end = with_of(doc, start, clause.end)
    begins = next((i for i in range(part_end, clause.end) if is_place_start(doc, i, clause.end)), None)
    if begins is not None and any(t.lower_ in {"with", "held", "to", "that"} for t in doc[part_end:begins]):
        begins = None
    if begins is None and at + 1 < len(clauses) and is_place_only(talk, clauses[at + 1]):
        place, stop, _ = _place_from(talk, clauses, at + 1, clauses[at + 1].body)
    elif begins is not None:
        place, stop, _ = _place_from(talk, clauses, at, begins)
    else:
        return None
    return (
        _made(talk, clause.start, stop, clause.line, part, place, 0.8, "said as what there is, and where")
        if place
        else None
    )


def _is_at(talk: Talk, clauses: Sequence[Clause], at: int, verb: int, context: _Context) -> Found | None:
    """ "the flap's in the nose, right behind the badge"; "they're in the locker"; "it runs along the sill"."""
    doc, clause = talk.doc, clauses[at]
    head = doc[verb - 1].lower_
    if (doc[verb].lower_ in _RUN and head not in _RUNS) or head in _NO_PART:
        return None
    begins = verb + 1
    while (
        begins < clause.end
        and not is_place_start(doc, begins, clause.end)
        and (doc[begins].tag_ in {"RB", "VBN", "JJ", "RP"} or doc[begins].lower_ in _LIE)
    ):
        if doc[begins].lower_ in _HELD | {"n't", "not"}:
            return None
        begins += 1
    place: str | None
    if begins >= clause.end:
        if (
            at + 1 >= len(clauses)
            or (doc[verb].lower_ in _ARE and begins == verb + 1)
            or not is_place_only(talk, clauses[at + 1])
        ):
            return None
        place, stop, _ = _place_from(talk, clauses, at + 1, clauses[at + 1].body)
    elif is_place_start(doc, begins, clause.end):
        place, stop, _ = _place_from(talk, clauses, at, begins)
    elif doc[verb].lower_ in _ARE and (following := _noun_then_place(talk, clause, begins)):
        place, stop, _ = _place_from(talk, clauses, at, following)  # "the brake's the switch under that"
    else:
        return None
    if place is None:
        return None
    if verb - clause.body == 1 and head in PRONOUNS:
        return _pronoun_at(talk, clause, head, place, stop, context)
    part = _part(talk, clause.body, verb)
    return _made(talk, clause.start, stop, clause.line, part, place, 0.85, "said where it is") if part else None


def _pronoun_at(talk: Talk, clause: Clause, head: str, place: str, stop: int, context: _Context) -> Found | None:
    if head in {"she", "he", "her", "him"}:
        return None
    if context.asked:
        return _made(
            talk, clause.start, stop, clause.line, context.asked, place, 0.75, "the place in answer to a question"
        )
    meant = context.things.before(clause.body, plural=head in {"they", "those", "these", "them"})
    if meant is None:
        return None
    just_named = clause.start - meant.end <= 3
    if not just_named and not any(talk.mentions_in(meant.start, meant.end, *_NAMED)):
        return None
    made = _made(
        talk,
        clause.start,
        stop,
        clause.line,
        context.things.text(meant),
        place,
        0.65,
        "said where it is; what it is was said before",
    )
    return made.with_(also=((meant.start, meant.end),)) if made else None


def _noun_then_place(talk: Talk, clause: Clause, at: int) -> int | None:
    stop = with_of(talk.doc, at, clause.end)
    return stop if at < stop < clause.end and is_place_start(talk.doc, stop, clause.end) else None


def _fragment(talk: Talk, clauses: Sequence[Clause], at: int, subject: int) -> Found | None:
    """ "main switch, in the door", "the silver tank under the bed, that's air": a part and its place, without a verb."""
    clause = clauses[at]
    named_after = at + 1 < len(clauses) and talk.tape(clauses[at + 1].body, clauses[at + 1].end).text.startswith(
        "that 's"
    )
    if not named_after and not any(talk.mentions_in(clause.body, subject, *_NAMED)):
        return None
    part = _part(talk, clause.body, subject)
    if part is None:
        return None
    if subject == clause.end:
        if at + 1 < len(clauses) and is_place_only(talk, clauses[at + 1]):
            place, stop, _ = _place_from(talk, clauses, at + 1, clauses[at + 1].body)
            return (
                _made(talk, clause.start, stop, clause.line, part, place, 0.7, "a part named, then its place")
                if place
                else None
            )
        return None
    if is_place_start(talk.doc, subject, clause.end) and not has_verb(talk, clause.body, clause.end):
        place, stop, _ = _place_from(talk, clauses, at, subject)
        return (
            _made(talk, clause.start, stop, clause.line, part, place, 0.65, "a part named with its place")
            if place
            else None
        )
    return None


def _part(talk: Talk, start: int, end: int) -> str | None:
    """The component that the noun phrase at ``start`` names, or None for people, signs, weights and the like."""
    doc = talk.doc
    stop = noun_phrase(doc, start, end)
    if stop == start and end - start == 1 and doc[start].text.isupper():
        stop = end
    if (
        stop == start
        or doc[start].lower_ in {"no", "any"}
        or doc[stop - 1].lower_ in _NO_PART | BODY | PRONOUNS
        or doc[stop - 1].like_num
    ):
        return None
    if any(
        m.entry.kind in {"person", "hazard", "sign", "fastener"} and m.end == stop
        for m in talk.mentions_in(start, stop)
    ):
        return None  # where a fastener sits is told with its step, where a sign is with its cue
    last = talk.word(stop - 1)
    if any(v.quantity.unit is not None and v.last == last for v in talk.values_in(start, stop)):
        return None
    return thing(doc, start, with_of(doc, start, end))


def _place_from(talk: Talk, clauses: Sequence[Clause], at: int, begins: int) -> tuple[str | None, int, int]:
    """The place from token ``begins`` of clause ``at``, carried on over up to three clauses that are only a place."""
    last = at
    while last + 1 < len(clauses) and last - at < 3 and is_place_only(talk, clauses[last + 1]):
        last += 1
    stop = clauses[last].end
    first = place_text(talk, begins, clauses[at].end)
    if first is None:
        return None, stop, last
    return (text_of(talk.doc, begins, stop) if last > at else first), stop, last


def _made(talk: Talk, start: int, end: int, line: int, part: str, place: str, act: float, why: str) -> Found | None:
    if not part or part.lower() in _NO_PART | PRONOUNS:
        return None
    return Found("location", start, end, line, {"part": part, "place": place}, act, (why,))
