"""Steps that the tagger marks: a deed with its things and its place, or a thing alone with the deed that is implied."""

from collections.abc import Iterator, Sequence, Set
from dataclasses import dataclass, field, replace

from vouchbook.extract.read.deeds.moved import MOVED_BY
from vouchbook.extract.read.deeds.verbs import is_verb_of_pack
from vouchbook.extract.read.found import Found
from vouchbook.extract.read.items.step_counts import count_beside, count_of
from vouchbook.extract.read.items.step_time import time_told
from vouchbook.extract.read.items.step_until import left_as, with_end
from vouchbook.extract.read.items.steps import conditions_told
from vouchbook.extract.read.marked.candidate import Candidate
from vouchbook.extract.read.marked.stretches import Stretch, is_word, stretches
from vouchbook.extract.read.marked.whole_places import whole_place
from vouchbook.extract.read.marked.wholes import (
    Span,
    is_aside,
    is_of_deed,
    is_way_of_doing,
    joined,
    own_object,
    particles,
    verb_of,
    whole_things,
)
from vouchbook.extract.read.phrases import PARTICLES, noun_phrase, text_of, thing
from vouchbook.extract.read.scope import prohibition
from vouchbook.extract.read.tags import BASE_VERBS, NOUNS
from vouchbook.extract.read.talk import Talk
from vouchbook.extract.read.things import PRONOUNS, Thing, Things
from vouchbook.extract.tagger.card import DEED
from vouchbook.extract.tagger.labels import SAID
from vouchbook.extract.tagger.marks import Marks

_OPENS, _GOES_ON, _ALONE_GOES_ON = 0.35, 0.35, 0.5
"""Probability from which a token opens a deed, carries one on, and opens one though it looks like the rest of one."""
_THING, _PLACE, _ALONE, _THING_ALONE = 0.3, 0.4, 0.4, 0.6
"""From which a token is part of a thing or a place, and a thing has its deed implied, marked so or without a deed."""
_IMPLIED = 0.5
"""From which a deed is told in a plainer verb than the words hold."""
_GUESSED = 0.15
"""From which a deed is told by the tagger where the marked words hold no verb."""
_LEAD = 1.5
"""How many times likelier than the next a deed is that nobody said; of two that are near, neither is told."""
_LONGEST_GAP = 5
"""Tokens between the verb and its particle: "push the panel in"."""
_LEFT_COSTS, _OTHER_CLAUSE, _HAS_ONE, _PLACE_LEFT = 1.5, 4.0, 6.0, 5.0
"""What makes a thing or place less likely a deed's own: before the verb, in another clause, one is there already."""
_MOST_THINGS = 3
_PLURALS = frozenset("them those these 'em both".split())
_STANDS_FOR_IT = frozenset("it that them those".split())
_NEEDS_NO_THING = frozenset("get stay stand keep run go walk step move back evacuate withdraw leave".split())
"""Deeds of the crew's own bodies: "get out", "stay back" are whole without a thing."""
_LEADS_TO_THING = frozenset("for at to".split())
_LETS_TIME_PASS = frozenset({"give", "allow", "leave", "wait"})
_NEAR = 4
"""Tokens behind a verb in which a plural may stand for its things."""


@dataclass
class _Deed:
    """The tokens of a deed's verb and particle, of its things and of its place."""

    tokens: list[int]
    things: list[Stretch] = field(default_factory=list)
    place: Stretch | None = None

    @property
    def verb(self) -> int:
        return self.tokens[0]


def marked_steps(talk: Talk, marks: Marks, things: Things, forbidden: Set[int] = frozenset()) -> Iterator[Candidate]:
    """The steps in the order of their verbs, then those whose deed is implied; no word of ``forbidden`` is in one."""
    deeds = _deeds(talk, marks, forbidden)
    taken = forbidden | {token for deed in deeds for token in deed.tokens}
    alone = marks.column("step", "B-alone", "I-alone")
    inside = marks.column("step", "B-thing", "I-thing") + alone
    opens = marks.column("step", "B-thing", "B-alone")
    implied: list[Stretch] = []
    for stretch in stretches(talk, inside, opens, _THING, taken):
        share = float(alone[stretch.start : stretch.end].mean())
        near = [deed for deed in deeds if _same_sentence(talk, deed.verb, stretch.start)]
        if share > _ALONE or (not near and stretch.score > _THING_ALONE):
            implied.append(stretch._replace(score=max(share, stretch.score)))
        elif near:
            min(near, key=lambda deed: _thing_cost(talk, deed, stretch)).things.append(stretch)
    places = marks.column("step", "B-place", "I-place")
    for stretch in stretches(talk, places, 0 * places, _PLACE, taken):
        near = [deed for deed in deeds if _same_sentence(talk, deed.verb, stretch.start)]
        if near:
            deed = min(near, key=lambda deed: _place_cost(deed, stretch))
            deed.place = deed.place or stretch
    conditions = conditions_told(talk)
    told = [_told(talk, marks, things, deed) for deed in deeds]
    for candidate in filter(None, (*told, *(_implied(talk, marks, s) for s in implied))):
        clause = talk.clause_at(candidate.head)
        fields = {**candidate.found.fields, "condition": conditions.get(clause.start) if clause else None}
        found = candidate.found.with_(fields=fields)
        yield replace(candidate, found=with_end(talk, found, clause) if clause else found)


def _deeds(talk: Talk, marks: Marks, forbidden: Set[int]) -> list[_Deed]:
    opens, goes_on = marks.column("step", "B-deed"), marks.column("step", "I-deed")
    deeds: list[_Deed] = []
    for token in range(len(talk.doc)):
        if token in forbidden or not is_word(talk, token):
            continue
        last = deeds[-1] if deeds and _same_sentence(talk, deeds[-1].verb, token) else None
        if opens[token] >= _OPENS and opens[token] >= goes_on[token]:
            deeds.append(_Deed([token]))
        elif last and goes_on[token] > _GOES_ON and token - last.tokens[-1] <= _LONGEST_GAP:
            last.tokens.append(token)
        elif last is None and goes_on[token] > _ALONE_GOES_ON:
            deeds.append(_Deed([token]))
    return deeds


def _same_sentence(talk: Talk, one: int, other: int) -> bool:
    return bool(talk.doc[one].sent.start == talk.doc[other].sent.start)


def _thing_cost(talk: Talk, deed: _Deed, stretch: Stretch) -> float:
    behind = stretch.start - deed.verb
    cost = behind if behind > 0 else -behind * _LEFT_COSTS
    cost += _HAS_ONE * bool(deed.things)
    return cost + _OTHER_CLAUSE * (talk.clause_at(deed.verb) != talk.clause_at(stretch.start))


def _place_cost(deed: _Deed, stretch: Stretch) -> float:
    behind = stretch.start - deed.verb
    return behind if behind > 0 else -behind + _PLACE_LEFT


def _told(talk: Talk, marks: Marks, things: Things, deed: _Deed) -> Candidate | None:
    action, is_said = _action(talk, marks, deed)
    if not action:
        return None
    if action in _NEEDS_NO_THING and (at := deed.tokens[-1] + 1) < len(talk.doc) and talk.doc[at].lower_ in PARTICLES:
        action = f"{action} {talk.doc[at].lower_}"  # "get out", "stay back"
    led = _led(talk, deed)
    named = _named(talk, deed) or _behind(talk, deed)
    if led and not named and (object_ := whole_things(talk, led.start + 1, led.end)):
        named, action = object_[:1], f"{action} {talk.doc[led.start].lower_}"  # "wait for the click"
    reasons = ["read as what the crew does"]
    support: tuple[tuple[int, int], ...] = ()
    if named:
        clause = talk.clause_at(named[-1][0])
        state = left_as(talk.doc, action, named[-1][1], clause.end) if clause else ""
        text = f"{' and '.join(thing(talk.doc, *span) for span in named)} {state}".strip()
    elif (lasts := _duration(talk, deed)) and action.split()[0] in _LETS_TIME_PASS:
        action, text = "wait", lasts
    else:
        meant = None if action.split()[0] in _NEEDS_NO_THING | {"wait", "approach"} else _meant(talk, things, deed)
        text = things.text(meant) if meant else ""
        if meant:
            support = ((meant.start, meant.end),)
            reasons.append("the thing was named before")
    if not is_said:
        reasons.append("the deed is told in a plainer verb")
    spans = [(t, t + 1) for t in deed.tokens] + named
    at_place = next(
        (
            p
            for s in ([deed.place] if deed.place else deed.things if not named else [])
            if (p := whole_place(talk, s.start, s.end))
        ),
        None,
    )
    if at_place:
        spans.append(at_place)
    place = text_of(talk.doc, *at_place) if at_place else None
    start, end = whole_clauses(talk, min(s for s, _ in spans), max(e for _, e in spans))
    count = (count_of(talk, *named[0]) if named else None) or count_beside(talk, start, end, text)
    fields = {"action": action, "object": text, "place": place, "tool": None, "condition": None}
    sure = float(marks.column("step", "B-deed", "I-deed")[deed.verb])
    also = tuple(s for s in support if not start <= s[0] < end)
    found = Found("step", start, end, talk.line_at(start), fields, sure, tuple(reasons), count=count, also=also)
    return Candidate(found, "tagger", sure, deed.verb)


def _named(talk: Talk, deed: _Deed) -> list[Span]:
    """The things of the deed, whole: the nearest one and what is joined to it by "and".

    A thing with a verb of its own is no object of another deed.
    """
    verb = verb_of(talk.doc, deed.tokens)
    at = deed.verb if verb is None else verb
    ordered = sorted(deed.things, key=lambda stretch: _own_cost(talk, deed, stretch))
    spans = [s for stretch in ordered for s in whole_things(talk, stretch.start, stretch.end, deed.tokens)]
    own = [span for span in spans if is_of_deed(talk, span, at, deed.tokens)]
    own.sort(key=lambda span: is_aside(talk.doc, span))
    if own:
        return joined(talk.doc, own[1:], own[0], deed.tokens)[:_MOST_THINGS]
    has = own_object(talk.doc, at, len(talk.doc)) if spans else None
    return whole_things(talk, has.i, has.i + 1, deed.tokens) if has is not None else []


def _own_cost(talk: Talk, deed: _Deed, stretch: Stretch) -> float:
    return _thing_cost(talk, _Deed(deed.tokens), stretch)


def _led(talk: Talk, deed: _Deed) -> Stretch | None:
    """A thing that a preposition right behind the deed leads to: "wait for the click", "look at the gauge"."""
    behind = deed.tokens[-1] + 1
    leads = (s for s in deed.things if s.start == behind and talk.doc[s.start].lower_ in _LEADS_TO_THING)
    return next(leads, None)


def _duration(talk: Talk, deed: _Deed) -> str | None:
    """The time that the clause of the deed tells: "allow ten minutes"."""
    clause = talk.clause_at(deed.verb)
    return time_told(talk, clause.start, clause.end) if clause else None


def _behind(talk: Talk, deed: _Deed) -> list[tuple[int, int]]:
    """The noun phrase right behind the deed, where there is one: "use the kiosk"."""
    at = deed.tokens[-1] + 1
    clause = talk.clause_at(deed.verb)
    end = clause.end if clause else at
    stop = noun_phrase(talk.doc, at, end)
    is_thing = stop > at and talk.doc[stop - 1].lower_ not in PRONOUNS and not is_way_of_doing(talk.doc, at, stop)
    return [(at, stop)] if is_thing else []


def _meant(talk: Talk, things: Things, deed: _Deed) -> Thing | None:
    """The thing that was named before and that the deed is done to: the one that a pronoun there means."""
    near = range(deed.verb + 1, min(len(talk.doc), deed.verb + _NEAR))
    if not any(talk.doc[t].lower_ in _PLURALS | PRONOUNS for t in near):
        return things.left_out(min(deed.verb + 1, len(talk.doc) - 1))
    plural = next((t for t in near if talk.doc[t].lower_ in _PLURALS), None)
    behind = min(deed.verb + 1, len(talk.doc) - 1)  # a talk may end with its verb
    return things.before(behind if plural is None else plural, plural=plural is not None)


def _implied(talk: Talk, marks: Marks, stretch: Stretch) -> Candidate | None:
    spans = whole_things(talk, stretch.start, stretch.end)
    at_place = None if spans else whole_place(talk, stretch.start, stretch.end)
    if (not spans and not at_place) or _is_named_for(talk, stretch):
        return None
    spans = spans and joined(talk.doc, spans[1:], spans[0])[:_MOST_THINGS]
    covered = [*spans, *([at_place] if at_place else [])]
    action = _guessed(marks, stretch.start, stretch.end)
    if not action:
        return None
    start, end = whole_clauses(talk, min(stretch.start, covered[0][0]), max(stretch.end, covered[-1][1]))
    name = " and ".join(thing(talk.doc, *span) for span in spans)
    fields = {
        "action": action,
        "object": name,
        "place": text_of(talk.doc, *at_place) if at_place else None,
        "tool": None,
        "condition": None,
    }
    reasons = ("read as what the crew does", "the deed is implied, nobody said it")
    count = count_of(talk, stretch.start, stretch.end) or count_beside(talk, start, end, name)
    found = Found("step", start, end, talk.line_at(start), fields, stretch.score, reasons, count=count)
    return Candidate(found, "tagger", stretch.score, stretch.start, is_implied=True)


def _is_named_for(talk: Talk, stretch: Stretch) -> bool:
    """Whether the thing is only named, and what is done to it is said right behind: "the red lever. Pull it"."""
    clause = talk.clause_at(stretch.end - 1)
    behind = talk.clause_at(min(clause.end + 1, len(talk.doc) - 1)) if clause else None
    if behind is None or clause is None or behind == clause:
        return False
    if behind.sentence == clause.sentence and prohibition(talk.doc, behind.body, behind.end) is not None:
        return True  # "the flat chain, leave well alone"
    if talk.doc[behind.body].tag_ not in BASE_VERBS:
        return False
    following = talk.doc[behind.body + 1 : behind.body + 1 + _NEAR]
    return any(t.lower_ in _STANDS_FOR_IT and t.dep_ == "dobj" for t in following)


def _guessed(marks: Marks, start: int, end: int) -> str:
    """The deed that tokens ``start`` to ``end`` tell without a verb; empty where none leads clearly."""
    deeds = [each for each in marks.labels[DEED] if each != SAID]
    best, share = marks.best(DEED, start, end, deeds)
    _, next_share = marks.best(DEED, start, end, [each for each in deeds if each != best])
    return best if share > _GUESSED and share > _LEAD * next_share else ""


def _action(talk: Talk, marks: Marks, deed: _Deed) -> tuple[str, bool]:
    """The deed in its base form, or in the plainer verb that the tagger knows it by; and whether it is the said one.

    Empty when the words hold no verb and none can be told.
    """
    plainer, share = marks.best(DEED, deed.verb, deed.verb + 1)
    verb = verb_of(talk.doc, deed.tokens)
    if verb is not None and talk.clause_at(verb) != talk.clause_at(deed.verb):
        verb = None
    if plainer != SAID and share > _IMPLIED and not (verb is not None and is_verb_of_pack(talk, talk.doc[verb])):
        return plainer, False
    deeds = [each for each in marks.labels[DEED] if each != SAID]
    if verb is None:  # "a call to the controller": a noun that is a deed of the trade
        verb = next((t for t in deed.tokens if _is_deed_by_noun(talk, t, deeds)), None)
    if verb is None:  # "chocks", "gloves": the thing tells the deed
        ends = particles(talk.doc, deed.tokens)
        if ends and _has_verb_before(talk, deed.verb):
            return "", False  # "carries the fob five metres away": the rest of another deed
        moved = [each for each in deeds if ends and each.split()[1:] == ends[-1:]]
        if moved:
            return marks.best(DEED, deed.verb, deed.verb + 1, moved)[0], False
        guessed = _guessed(marks, deed.verb, deed.verb + 1)
        return guessed or (MOVED_BY.get(ends[-1], "") if ends else ""), False
    words = [talk.doc[verb].lemma_.lower(), *particles(talk.doc, [t for t in deed.tokens if t > verb])]
    return " ".join(words), True


def _has_verb_before(talk: Talk, token: int) -> bool:
    clause = talk.clause_at(token)
    return clause is not None and any(
        t.tag_.startswith("VB") and t.lemma_ not in {"be", "have", "do"} for t in talk.doc[clause.start : token]
    )


def _is_deed_by_noun(talk: Talk, token: int, deeds: Sequence[str]) -> bool:
    word = talk.doc[token]
    is_known = word.lemma_.lower() in {each.split()[0] for each in deeds} or bool(
        list(talk.mentions_in(token, token + 1, "verb"))
    )
    return word.tag_ in NOUNS and is_known


def whole_clauses(talk: Talk, start: int, end: int) -> tuple[int, int]:
    """Tokens ``start`` to ``end`` widened to the clauses in which they begin and end."""
    first, last = talk.clause_at(start), talk.clause_at(end - 1)
    return (first.start if first else start), (last.end if last else end)
