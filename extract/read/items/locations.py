"""Locations: where a component is, when its place is told in its own right.

Forms: "the flap is behind the badge", "there's a red tap under the step", "left of the door there's a flap", "main
switch, in the door, on your right", "you'll find it under the seat", and a bare place in answer to "where's the …?".
"""

import re
from collections.abc import Iterator

from vouchbook.extract.read.deeds import deed
from vouchbook.extract.read.found import Found
from vouchbook.extract.read.phrases import is_place_start, noun_phrase, text_of, thing, with_of
from vouchbook.extract.read.scope import prohibition
from vouchbook.extract.read.sentences import Clause
from vouchbook.extract.read.talk import Sentence, Talk
from vouchbook.extract.read.things import PRONOUNS, Things

_ARE = frozenset("is 's are 're was were".split())
_LIE = frozenset(
    "sit sits sat live lives hide hides hang hangs run runs go goes come comes lie lies stand stands stay stays mount mounted "
    "bolted clipped hung tucked fitted fixed buried hidden located found kept stored screwed strapped behind mounted set built "
    "bolts clips pokes sticks drops stuck".split()
)
_HAVE = frozenset("'ve have got has had find see".split())
_NO_PART = frozenset(
    "people person man lad bloke guy crew everybody nobody somebody day way time problem thing things idea bit point question lot "
    "hand hands foot feet finger fingers i we he they you video film camera kettle tea coffee smell noise smoke water power light".split()
)
_DEICTIC_ONLY = re.compile(r"^(?:(?:right|just|over|up|down|round|in|out|back|along) )*(?:here|there)(?: and (?:here|there|one|another).*)?$")
_WHERE = re.compile(r"(?<!\S)(?:where|which side|whereabouts)(?!\S)")


def locations(talk: Talk) -> Iterator[Found]:
    """The locations of ``talk`` in the order in which they are said."""
    things = Things(talk)
    asked: str | None = None
    for sentence in talk.sentences:
        if sentence.line in talk.askers or sentence.asks:
            asked = _asked_for(talk, sentence) if sentence.line in talk.askers else asked
            continue
        if sentence.line in talk.chatter:
            continue
        for found in _of_sentence(talk, sentence, things, asked):
            yield found
        asked = None


def _asked_for(talk: Talk, sentence: Sentence) -> str | None:
    """The part that a question asks the place of: "And where's the isolator?" gives "isolator"."""
    line = talk.tape(sentence.start, sentence.end)
    if not _WHERE.search(line.text):
        return None
    best: tuple[int, int] | None = None
    for at in range(sentence.start, sentence.end):
        stop = noun_phrase(talk.doc, at, sentence.end)
        if stop > at and (best is None or at >= best[1]) and talk.doc[stop - 1].lower_ not in _NO_PART | {"side"}:
            best = (at, stop)
    return thing(talk.doc, *best) if best else None


def _of_sentence(talk: Talk, sentence: Sentence, things: Things, asked: str | None) -> Iterator[Found]:
    clauses, at = sentence.clauses, 0
    while at < len(clauses):
        clause = clauses[at]
        found = None
        if clause.marker is None or clause.marker == "because":
            if not prohibition(talk.doc, clause.body, clause.end):
                found = _told(talk, clauses, at, things, asked)
        if found:
            yield found
            asked = None
            while at + 1 < len(clauses) and clauses[at + 1].end <= found.end:
                at += 1
        at += 1


def _told(talk: Talk, clauses: tuple[Clause, ...], at: int, things: Things, asked: str | None) -> Found | None:
    doc, clause = talk.doc, clauses[at]
    body, end = clause.body, clause.end
    if doc[body].lower_ == "there" and body + 1 < end and doc[body + 1].lower_ in _ARE | {"will", "'ll"}:
        return _there_is(talk, clauses, at, body + 2)
    subject = noun_phrase(doc, body, end)
    if subject == body and doc[body].lower_ in PRONOUNS:
        subject = body + 1
    if subject > body:
        subject = max(subject, with_of(doc, body, end))
    if subject > body and subject < end and (doc[subject].lower_ in _ARE or doc[subject].tag_ == "POS" or doc[subject].lower_ in _LIE):
        return _is_at(talk, clauses, at, subject, things, asked)
    if doc[body].lower_ in {"you", "we"} and any(t.lower_ in _HAVE for t in doc[body + 1 : min(end, body + 4)]):
        start = next(i for i in range(body + 1, end) if doc[i].lower_ in _HAVE) + 1
        while start < end and doc[start].lower_ in _HAVE:
            start += 1
        return _there_is(talk, clauses, at, start)
    if deed(talk, clause) is None and subject == end and subject > body and at + 1 < len(clauses):
        return _fragment(talk, clauses, at)
    if is_place_start(doc, body, end) and asked and not _has_verb(talk, clause):
        place, stop = _place_from(talk, clauses, at, body)
        return _made(talk, clauses, at, asked, place, stop, 0.7, "the place in answer to a question")
    return None


def _there_is(talk: Talk, clauses: tuple[Clause, ...], at: int, start: int) -> Found | None:
    """ "there's a red tap under the step"; the place may stand before: "left of the door, there's a flap"."""
    doc, clause = talk.doc, clauses[at]
    while start < clause.end and doc[start].lower_ in {"also", "just", "still", "then", "always", "only", "a", "an"} and doc[start].tag_ == "RB":
        start += 1
    stop = noun_phrase(doc, start, clause.end)
    if stop == start or doc[stop - 1].lower_ in _NO_PART:
        return None
    part_end = with_of(doc, start, clause.end)
    begins = next((i for i in range(part_end, clause.end) if is_place_start(doc, i, clause.end) and doc[i].lower_ not in {"with", "to", "from"}), None)
    if begins is None and at + 1 < len(clauses) and _is_place_only(talk, clauses[at + 1]):
        place, end = _place_from(talk, clauses, at + 1, clauses[at + 1].body)
        return _made(talk, clauses, at, thing(doc, start, part_end), place, end, 0.75, "said as what there is, and where")
    if begins is not None:
        place, end = _place_from(talk, clauses, at, begins)
        return _made(talk, clauses, at, thing(doc, start, part_end), place, end, 0.8, "said as what there is, and where")
    before = at - 1
    if before >= 0 and _is_place_only(talk, clauses[before]):
        while before > 0 and _is_place_only(talk, clauses[before - 1]):
            before -= 1
        place = text_of(doc, clauses[before].body, clauses[at - 1].end)
        made = _made(talk, clauses, at, thing(doc, start, part_end), place, clause.end, 0.75, "the place said first, then what is there")
        return made.with_(start=clauses[before].start) if made else None
    return None


def _is_at(talk: Talk, clauses: tuple[Clause, ...], at: int, verb: int, things: Things, asked: str | None) -> Found | None:
    """ "the flap's in the nose, right behind the badge"; "they're in the locker"; "it runs along the sill"."""
    doc, clause = talk.doc, clauses[at]
    start, stop = clause.body, verb
    begins = verb + 1
    while begins < clause.end and (doc[begins].lower_ in _LIE | {"just", "right", "always", "all", "still", "both", "actually", "usually", "straight", "mounted", "n't"} or doc[begins].tag_ in {"VBN", "RB"}) and not is_place_start(doc, begins, clause.end):
        begins += 1
    first_of_head = doc[start].lower_
    place_end = clause.end
    if begins >= clause.end and at + 1 < len(clauses) and doc[verb].lower_ not in _ARE and _is_place_only(talk, clauses[at + 1]):
        place, place_end = _place_from(talk, clauses, at + 1, clauses[at + 1].body)
    elif begins < clause.end and is_place_start(doc, begins, clause.end):
        place, place_end = _place_from(talk, clauses, at, begins)
    elif begins < clause.end and doc[verb].lower_ in _ARE and (following := _noun_then_place(talk, clause, begins)):
        # "the brake's the switch under that": what it is, and where
        place, place_end = _place_from(talk, clauses, at, following)
    else:
        return None
    if stop - start == 1 and first_of_head in PRONOUNS:
        if first_of_head in {"she", "he", "her", "him"}:
            return None
        meant = things.before(start, plural=first_of_head in {"they", "those", "these", "them"})
        part = asked or (things.text(meant) if meant else None)
        made = _made(talk, clauses, at, part, place, place_end, 0.65, "said where it is; what it is was said before")
        return made.with_(also=((meant.start, meant.end),)) if made and meant and not asked else made
    if doc[stop - 1].lower_ in _NO_PART:
        return None
    return _made(talk, clauses, at, thing(doc, start, stop), place, place_end, 0.85, "said where it is")


def _noun_then_place(talk: Talk, clause: Clause, at: int) -> int | None:
    stop = with_of(talk.doc, at, clause.end)
    return stop if at < stop < clause.end and is_place_start(talk.doc, stop, clause.end) else None


def _fragment(talk: Talk, clauses: tuple[Clause, ...], at: int) -> Found | None:
    """ "main switch, in the door, on your right": a part and then its place, without a verb."""
    clause, following = clauses[at], clauses[at + 1]
    if not _is_place_only(talk, following) or not any(talk.mentions_in(clause.body, clause.end, "part", "tool", "sign")):
        return None
    place, stop = _place_from(talk, clauses, at + 1, following.body)
    return _made(talk, clauses, at, thing(talk.doc, clause.body, clause.end), place, stop, 0.7, "a part named, then its place")


def _is_place_only(talk: Talk, clause: Clause) -> bool:
    return clause.marker is None and is_place_start(talk.doc, clause.body, clause.end) and not _has_verb(talk, clause)


def _has_verb(talk: Talk, clause: Clause) -> bool:
    return any(t.tag_ in {"VBZ", "VBP", "VBD", "MD", "VB"} for t in talk.doc[clause.body : clause.end])


def _place_from(talk: Talk, clauses: tuple[Clause, ...], at: int, begins: int) -> tuple[str, int]:
    """The place from token ``begins`` of clause ``at``, carried on over up to two clauses that are only a place."""
    stop, last = clauses[at].end, at
    while last + 1 < len(clauses) and last - at < 2 and _is_place_only(talk, clauses[last + 1]):
        last += 1
        stop = clauses[last].end
    return text_of(talk.doc, begins, stop), stop


def _made(talk: Talk, clauses: tuple[Clause, ...], at: int, part: str | None, place: str, end: int, act: float, why: str) -> Found | None:
    if not part or part.lower() in _NO_PART | PRONOUNS or _DEICTIC_ONLY.match(place.lower()) or len(place.split()) < 2 and place.lower() not in {"underneath", "outside", "inside"}:
        return None
    clause = clauses[at]
    return Found("location", clause.start, max(end, clause.end), clause.line, {"part": part, "place": place}, act, (why,))
