"""Steps: what the crew does. Built on deeds; a clause that forbids never reaches this file's makers."""

import re
from collections.abc import Iterator

from vouchbook.extract.read.deeds import Deed, deed
from vouchbook.extract.read.found import Found, Said
from vouchbook.extract.read.phrases import PARTICLES, first_place, is_place_start, noun_phrase, text_of, thing, with_of
from vouchbook.extract.read.scope import prohibition
from vouchbook.extract.read.sentences import Clause
from vouchbook.extract.read.talk import Sentence, Talk
from vouchbook.extract.read.tape import words_pattern
from vouchbook.extract.read.things import PRONOUNS, Things
from vouchbook.extract.read.values import as_count

_MOST = 60
"""More things than this are not counted off a machine; the number belongs to something else."""
_NEEDS_NO_THING = frozenset(
    [
        "wait",
        "stop",
        "approach",
        "evacuate",
        "walk",
        "step",
        "stand",
        "get",
        "stay",
        "back",
        "go",
        "look",
        "check",
        "keep",
        "withdraw",
        "ventilate",
        "ring",
    ]
)
_CONDITIONS = frozenset({"if", "when", "once", "before", "after", "unless", "whenever"})
_GOES_ITSELF = frozenset(["climb", "come", "lean", "walk", "crawl", "approach", "evacuate", "withdraw"])
_ENDS_PARTICLE = frozenset(
    [
        "by",
        "with",
        "till",
        "until",
        "and",
        "slow",
        "slowly",
        "gently",
        "hard",
        "straight",
        "first",
        "too",
        "then",
        "on",
        "of",
        "together",
    ]
)
_TAKEN_FOR_A_JOB = frozenset(["use", "take", "get", "grab", "fetch", "bring"])
_TOO_VAGUE = frozenset(
    [
        "thing",
        "things",
        "something",
        "anything",
        "everything",
        "stuff",
        "lot",
        "one",
        "ones",
        "way",
        "bit",
        "it",
        "that",
        "this",
        "them",
    ]
)
_SETS = {
    "chock": "chock",
    "wedge": "wedge",
    "wheel chock": "chock",
    "block": "chock",
    "prop": "set",
    "stand": "set",
    "axle stand": "set",
    "cribbing": "build",
    "strut": "set",
    "padlock": "put on",
    "lock": "put on",
    "tag": "hang",
}
_HELD = frozenset(["held", "hold", "holds", "held-on", "fixed", "secured", "fastened", "bolted", "screwed"])
_ACTS = {"order": 0.9, "you": 0.8, "need": 0.75, "goes": 0.7, "wanted": 0.7}
_SAID_AS = {
    "order": "said as an order", "you": "said as what you do", "need": "said as what has to be done",
    "goes": "said as where the thing goes", "wanted": "said as the state that is wanted",
}  # fmt: skip


def steps(talk: Talk) -> Iterator[Found]:
    """The steps of ``talk`` in the order in which they are said."""
    things = Things(talk)
    condition_asked: str | None = None
    for sentence in talk.sentences:
        if sentence.line in talk.askers or sentence.asks:
            condition_asked = _asked_condition(talk, sentence) if sentence.line in talk.askers else condition_asked
            continue
        if sentence.line not in talk.chatter:
            yield from _of_sentence(talk, sentence, things, condition_asked)


def _of_sentence(talk: Talk, sentence: Sentence, things: Things, asked: str | None) -> Iterator[Found]:
    doc = talk.doc
    condition = asked
    forbidding = False
    for number, clause in enumerate(sentence.clauses):
        following = sentence.clauses[number + 1 :]
        if clause.marker and clause.body > clause.start:
            if clause.marker in _CONDITIONS and not (
                clause.marker in {"before", "when", "once"} and number == len(sentence.clauses) - 1
            ):
                condition = text_of(doc, _marker_at(talk, clause), clause.end)
            continue
        in_scope = forbidding and _carries_on(talk, clause)
        forbidding = in_scope or prohibition(doc, clause.body, clause.end) is not None or _cannot(talk, clause)
        if forbidding:
            continue
        told = deed(talk, clause)
        step = _step(talk, clause, told, following, things) if told else None
        step = step or _wait(talk, sentence, clause)
        step = (
            step
            or _put_on(talk, sentence, clause)
            or _set_in_place(talk, sentence, clause)
            or _fasteners(talk, sentence, clause, things)
        )
        step = step or _carried_off(talk, clause) or _approach(talk, sentence, clause)
        if step:
            later = next((c for c in following if c.marker in _CONDITIONS), None)
            said = condition or (text_of(doc, _marker_at(talk, later), later.end) if later else None)
            yield step.with_(fields={**step.fields, "condition": said})


def _carries_on(talk: Talk, clause: Clause) -> bool:
    """Whether a negation in the clause before covers this one: "never open it, or drill it", "don't put a rope on and pull"."""
    first = talk.doc[clause.start].lower_
    paused = clause.start > 0 and talk.doc[clause.start - 1].is_punct
    own_subject = talk.doc[clause.body].tag_ in {"PRP", "EX"} or talk.doc[clause.body].lower_ in {"that", "this"}
    return (first in {"or", "nor"} and not own_subject) or (
        first == "and" and not paused and not own_subject and talk.doc[clause.body].tag_ in {"VB", "VBP", "NN"}
    )


def _cannot(talk: Talk, clause: Clause) -> bool:
    """ "so it can't flop over" opens a scope that "and touch" carries on."""
    return bool(re.search(r"(?<!\S)(?:ca|wo|does|do|did) n't(?!\S)", talk.tape(clause.start, clause.end).text))


def _marker_at(talk: Talk, clause: Clause) -> int:
    return next((i for i in range(clause.start, clause.body) if talk.doc[i].lower_ == clause.marker), clause.start)


def _asked_condition(talk: Talk, sentence: Sentence) -> str | None:
    """ "And if the bonnet can't be reached?" is the condition of the answer."""
    for clause in sentence.clauses:
        words = talk.tape(clause.start, clause.end).text
        if clause.marker == "if" and "know" not in words:
            return text_of(talk.doc, _marker_at(talk, clause), clause.end)
    return None


def _step(talk: Talk, clause: Clause, told: Deed, following: tuple[Clause, ...], things: Things) -> Found | None:
    doc, end = talk.doc, clause.end
    action, at, support = told.action, told.rest, []
    target: tuple[int, int] | None = told.object
    unnamed: str | None = None
    if target and target[0] < 0:
        meant = things.before(told.verb)
        if meant is None:
            return None
        target = (meant.start, meant.end)
        support.append(target)
    elif target and _is_pronoun(talk, *target):
        meant = things.before(target[0], plural=doc[target[0]].lower_ in {"they", "them", "those", "these"})
        target, unnamed = ((meant.start, meant.end), None) if meant else (None, "it")
        if meant:
            support.append((meant.start, meant.end))
    if target is None and unnamed is None:
        while at < end and doc[at].tag_ in {"RB", "RP"} and doc[at].lower_ not in {"there", "here"}:
            if doc[at].lower_ in PARTICLES and action.count(" ") == 0:
                action = f"{action} {doc[at].lower_}"
            at += 1
        stop = noun_phrase(doc, at, end)
        if stop > at and not _is_pronoun(talk, at, stop):
            target, at = (at, with_of(doc, at, end)), with_of(doc, at, end)
        elif at < end and doc[at].lower_ in PRONOUNS | {"all", "both"}:
            meant = things.before(at, plural=doc[at].lower_ in {"them", "those", "these", "em", "'em", "both", "all"})
            said = doc[at].lower_
            at = max(at + 1, stop)
            if meant is None:
                unnamed = said if said in {"it", "them", "that", "those"} else "it"
            else:
                target = (meant.start, meant.end)
                support.append(target)
        elif action.split()[0] in _GOES_ITSELF:
            unnamed = text_of(doc, at, end) or "you"
            at = end
        elif action.split()[0] not in _NEEDS_NO_THING:
            meant = (
                things.before(told.verb)
                if told.form in {"order", "you"}
                and (at >= end or is_place_start(doc, at, end) or doc[at].tag_ in {"IN", "CD", "TO"})
                else None
            )
            if meant is None:
                return None
            target = (meant.start, meant.end)
            support.append(target)
    if (
        at < end
        and doc[at].lower_ in PARTICLES
        and " " not in action
        and (at + 1 >= end or doc[at + 1].lower_ in _ENDS_PARTICLE or not is_place_start(doc, at, end))
    ):
        action, at = f"{action} {doc[at].lower_}", at + 1
    place = _place(talk, at, end, following)
    name = thing(doc, *target) if target else unnamed or text_of(doc, at, end)
    if (
        target is None
        and unnamed is None
        and action.split()[0] in {"get", "go", "look", "stand", "keep", "check", "wait", "walk", "step"}
    ):
        name = text_of(doc, told.rest, end)
        place = None
    if not name and action not in {"wait", "stop"}:
        return None
    if name.lower() in _TOO_VAGUE and unnamed is None:
        return None
    if (
        target
        and action in _TAKEN_FOR_A_JOB
        and (any(talk.mentions_in(*target, "tool")) or any(v.is_size for v in talk.values_in(*target)))
    ):
        return None  # what is taken up to work with is a tool
    fields = {"action": action, "object": name, "place": place, "tool": _with_tool(talk, told.rest, end)}
    return Found(
        "step", clause.start, clause.end, clause.line, fields, _ACTS[told.form], (_SAID_AS[told.form],),
        count=_count(talk, target), also=tuple(s for s in support if not clause.start <= s[0] < clause.end),
    )  # fmt: skip


def _is_pronoun(talk: Talk, start: int, end: int) -> bool:
    words = [t.lower_ for t in talk.doc[start:end]]
    return all(w in PRONOUNS | {"all", "both", "of", "just", "the", "whole", "thing", "lot"} for w in words)


def _place(talk: Talk, at: int, end: int, following: tuple[Clause, ...]) -> str | None:
    doc = talk.doc
    begins = first_place(doc, at, end)
    if begins is not None:
        return text_of(doc, begins, end)
    if following and following[0].marker is None and is_place_start(doc, following[0].body, following[0].end):
        if not any(t.tag_ in {"VBZ", "VBP", "VBD", "MD", "VB"} for t in doc[following[0].body : following[0].end]):
            return text_of(doc, following[0].body, following[0].end)
    return None


def _with_tool(talk: Talk, start: int, end: int) -> str | None:
    """ "with a hex bit", "using the long bar": the tool told with the deed."""
    doc = talk.doc
    for at in range(start, end - 1):
        if doc[at].lower_ in {"with", "using"}:
            stop = noun_phrase(doc, at + 1, end)
            if any(talk.mentions_in(at + 1, stop, "tool")):
                return thing(doc, at + 1, stop)
    return None


def _count(talk: Talk, target: tuple[int, int] | None) -> Said | None:
    """The number of things in the noun phrase: "three", "both", "all six"."""
    if target is None:
        return None
    for value in talk.values_in(max(0, target[0] - 3), target[1]):
        counted = as_count(value)
        if (
            counted
            and (counted.value or 0) <= _MOST
            and (value.quantity.dimension == "count" or _is_plural(talk, target))
        ):
            return Said(counted, value.first, value.last)
    return None


def _is_plural(talk: Talk, target: tuple[int, int]) -> bool:
    return any(t.tag_ in {"NNS", "NNPS"} for t in talk.doc[target[0] : target[1]])


_NO_WAIT = words_pattern(
    r"(?:ago|old|last|every|hour drive|late|minutes? away|years?|older|since|took|takes|took me|warranty|battery life)"
)


def _wait(talk: Talk, sentence: Sentence, clause: Clause) -> Found | None:
    """A time that stands alone is a time to wait: "so five minutes, by the watch", "sixty seconds, then"."""
    doc = talk.doc
    if any(t.tag_ in {"VBZ", "VBP", "VBD", "MD"} for t in doc[clause.body : clause.end]) or _NO_WAIT.search(
        talk.tape(sentence.start, sentence.end).text
    ):
        return None
    for value in talk.values_in(clause.body, clause.end):
        if (
            value.quantity.dimension == "time"
            and value.is_usable
            and not value.is_asked
            and value.quantity.unit in {"s", "min", "h"}
        ):
            start = talk.token_of(value.first)
            if (
                start is None
                or start - clause.body > 3
                or (value.quantity.unit == "s" and (value.quantity.value or 0) < 20)
            ):
                continue
            fields = {"action": "wait", "object": text_of(doc, start, clause.end), "place": None, "tool": None}
            return Found(
                "step", clause.start, clause.end, clause.line, fields, 0.6, ("a time told on its own, to be waited",)
            )
    return None


def _put_on(talk: Talk, sentence: Sentence, clause: Clause) -> Found | None:
    """Protective equipment named is to be worn: "first the gloves, class zero"."""
    doc = talk.doc
    worn = next(((m.start, m.end) for m in talk.mentions_in(clause.body, clause.end, "ppe")), None)
    worn = worn or next(
        (
            (talk.token_of(v.first) or clause.body, (talk.token_of(v.last) or clause.body) + 1)
            for v in talk.values_in(clause.body, clause.end)
            if v.quantity.dimension == "glove class"
        ),
        None,
    )
    if worn is None or any(t.tag_ in {"VBD"} for t in doc[clause.body : clause.end]):
        return None
    verbs = [
        t
        for t in doc[clause.body : clause.end]
        if t.tag_ in {"VB", "VBP", "VBZ", "MD"} and t.lower_ not in {"is", "'s", "are", "'re", "need", "want", "wants"}
    ]
    if verbs or (prohibition(doc, sentence.start, sentence.end) is not None and clause.leads[:1] == ("no",)):
        return None
    start, stop = worn
    while start > clause.body and doc[start - 1].pos_ in {"ADJ", "NUM", "NOUN", "DET", "PROPN"}:
        start -= 1
    fields = {"action": "put on", "object": thing(doc, start, stop), "place": None, "tool": None}
    return Found("step", clause.start, clause.end, clause.line, fields, 0.7, ("protective equipment named to be worn",))


def _set_in_place(talk: Talk, sentence: Sentence, clause: Clause) -> Found | None:
    """Chocks, props and locks named without a verb are to be set: "two chocks on the back axle"."""
    doc = talk.doc
    if any(t.tag_ in {"VB", "VBP", "VBZ", "VBD", "MD"} for t in doc[clause.body : clause.end]):
        return None
    for mention in talk.mentions_in(clause.body, clause.end, "tool", "part"):
        if mention.entry.term not in _SETS or mention.start - clause.body > 4:
            continue
        action = _SETS[mention.entry.term]
        name = thing(doc, clause.body, mention.end)
        count = _count(talk, (clause.body, mention.end)) or _of_them(talk, mention.end)
        rest = [c for c in sentence.clauses if c.start >= clause.end][:2]
        spots = [(clause, mention.end), *((c, c.body) for c in rest)]
        for spot, at in spots:
            if (
                any(t.tag_ in {"VB", "VBP", "VBZ", "VBD", "MD"} for t in doc[spot.body : spot.end])
                and spot is not clause
            ):
                break
            place = first_place(doc, at, spot.end)
            if (
                place is None
                and spot is not clause
                and noun_phrase(doc, spot.body, spot.end) == spot.end
                and action in {"chock", "wedge"}
            ):
                place = spot.body
            if place is not None:
                where = text_of(doc, place, spot.end)
                inner = place + 1 if doc[place].tag_ == "IN" else place
                of = next((i for i in range(inner, spot.end - 1) if doc[i].lower_ == "of"), None)
                inner = of + 1 if of is not None and noun_phrase(doc, of + 1, spot.end) > of + 1 else inner
                target = thing(doc, inner, noun_phrase(doc, inner, spot.end)) or where
                fields = {
                    "action": action,
                    "object": target if action in {"chock", "wedge"} else name,
                    "place": where,
                    "tool": mention.entry.term,
                }
                return Found(
                    "step",
                    clause.start,
                    spot.end,
                    clause.line,
                    fields,
                    0.7,
                    ("a thing to be set and its place named",),
                    count=count,
                )
        if clause.end - clause.body <= 5:
            fields = {"action": action, "object": name, "place": None, "tool": mention.entry.term}
            return Found(
                "step", clause.start, clause.end, clause.line, fields, 0.6, ("a thing to be set named",), count=count
            )
    return None


_OF_THEM = words_pattern(
    r"(?:two|three|four|six|eight|both|a pair|one pair|a couple)(?: of (?:'em|em|them|those))?(?= ,| \.|$)"
)


def _of_them(talk: Talk, after: int) -> Said | None:
    """ "Chocks. Two of 'em": the number told right after the thing."""
    end = min(len(talk.doc), after + 7)
    match = talk.tape(after, end).first(_OF_THEM)
    if match is None:
        return None
    for value in talk.values_in(after, match[1]):
        counted = as_count(value)
        if counted and (counted.value or 0) <= _MOST:
            return Said(counted, value.first, value.last)
    return None


_CARRIERS = words_pattern(
    r"flat ?-?bed|transporter|low ?-?loader|trailer|recovery truck|beavertail|lowboy|rollback|roll-back"
)
_WALKS_UP = words_pattern(
    r"walk(?:ing)? (?:up|in|over|towards?)|approach(?:ing)?|com(?:e|ing) (?:up|at) .*|from where|"
    r"where from|where do i (?:come|start|go)|go(?:ing)? (?:up )?to it|step(?:ping)? off the truck"
)
_FROM = words_pattern(
    r"(?:from|off|at) (?:the |your |its )?(?:\w+ ){0,2}?(?:side|sides|corner|corners|front|rear|"
    r"back|left|right|end|doors?|quarter|upwind).*",
    r"(?:front|rear|back|left|right|side)(?: \w+)? (?:corner|side|quarter).*",
)


def _carried_off(talk: Talk, clause: Clause) -> Found | None:
    """ "flat bed", "on a low loader, all wheels up": how it is taken away."""
    doc = talk.doc
    line = talk.tape(clause.body, clause.end)
    match = _CARRIERS.search(line.text)
    if (
        match is None
        or clause.end - clause.body > 6
        or any(t.tag_ in {"VBZ", "VBP", "VBD", "MD", "VB"} for t in doc[clause.body : clause.end])
    ):
        return None
    said = text_of(doc, clause.body, clause.end)
    place = said if said.lower().startswith("on ") else f"on {said}"
    fields = {"action": "load", "object": "it", "place": place, "tool": None}
    return Found("step", clause.start, clause.end, clause.line, fields, 0.6, ("what carries it away is named",))


def _approach(talk: Talk, sentence: Sentence, clause: Clause) -> Found | None:
    """ "from the side", in answer to how to walk up to it."""
    asked = talk.sentences_of(sentence.line - 1) if sentence.line else ()
    if not any(_WALKS_UP.search(talk.tape(s.start, s.end).text) for s in asked):
        return None
    if any(t.tag_ in {"VBZ", "VBP", "VBD", "MD", "VB"} for t in talk.doc[clause.body : clause.end]) or not _FROM.search(
        talk.tape(clause.body, clause.end).text
    ):
        return None
    fields = {"action": "approach", "object": text_of(talk.doc, clause.body, clause.end), "place": None, "tool": None}
    return Found(
        "step",
        clause.start,
        clause.end,
        clause.line,
        fields,
        0.6,
        ("the side to come from, in answer to how to walk up",),
    )


def _fasteners(talk: Talk, sentence: Sentence, clause: Clause, things: Things) -> Found | None:
    """Fasteners counted or said to hold something are to be undone: "it's on four bolts", "four screws"."""
    doc = talk.doc
    for mention in talk.mentions_in(clause.body, clause.end, "fastener"):
        start = mention.start
        while (
            start > clause.body
            and doc[start - 1].pos_ in {"ADJ", "NUM", "NOUN", "DET", "PROPN", "PRON"}
            and doc[start - 1].tag_ != "PRP"
        ):
            start -= 1
        count = _count(talk, (start, mention.end))
        held = any(t.lower_ in _HELD for t in doc[clause.body : clause.end])
        if count is None and not held:
            continue
        meant = None if any(t.tag_ in {"NN", "NNS"} for t in doc[clause.body : start]) else things.before(clause.body)
        subject = noun_phrase(doc, clause.body, start)
        name = thing(doc, start, mention.end)
        plain_name = text_of(doc, mention.start, mention.end)
        if subject > clause.body and not _is_pronoun(talk, clause.body, subject):
            owner: str | None = thing(doc, clause.body, subject)
        else:
            owner = things.text(meant) if meant else None
        stop = with_of(doc, start, clause.end)
        if stop > mention.end:
            owner = None
            plain_name = thing(doc, mention.start, stop)
        fields = {
            "action": "remove",
            "object": f"{plain_name} of {owner}" if owner else plain_name or name,
            "place": _place(talk, mention.end, clause.end, ()),
            "tool": None,
        }
        return Found(
            "step",
            clause.start,
            clause.end,
            clause.line,
            fields,
            0.6,
            ("fasteners told with their number or what they hold",),
            count=count,
        )
    return None
