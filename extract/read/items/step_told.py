"""The step that a clause tells in so many words: its deed, what it is done to, where and with what."""

from dataclasses import dataclass, replace

from vouchbook.extract.read.deeds.deed import Deed
from vouchbook.extract.read.deeds.instruct import deed
from vouchbook.extract.read.failing import is_behind_failure
from vouchbook.extract.read.found import Found
from vouchbook.extract.read.items.step_context import StepContext
from vouchbook.extract.read.items.step_counts import count_of
from vouchbook.extract.read.items.step_time import time_told
from vouchbook.extract.read.items.step_until import left_as
from vouchbook.extract.read.phrases import (
    PARTICLES,
    first_place,
    is_at_once,
    is_place_start,
    noun_phrase,
    text_of,
    thing,
    with_of,
)
from vouchbook.extract.read.places import has_verb
from vouchbook.extract.read.sentences import Clause
from vouchbook.extract.read.things import PRONOUNS, Thing

Span = tuple[int, int]

_ACTS = {"order": 0.9, "you": 0.8, "need": 0.75, "goes": 0.7, "wanted": 0.7}
_SAID_AS = {
    "order": "said as an order", "you": "said as what you do", "need": "said as what has to be done",
    "goes": "said as where the thing goes", "wanted": "said as the state that is wanted",
}  # fmt: skip
_NEEDS_NO_THING = frozenset(
    """
    wait stop approach evacuate walk step stand get stay back go look check keep withdraw ventilate ring isolate
    """.split()
)
"""Deeds that are whole without a thing: "stand back"."""
_WHOLE_ALONE = frozenset({"wait", "stop", "isolate", "evacuate", "withdraw", "ventilate"})
"""Of these the ones that say enough with not a word behind them."""
_GOES_ITSELF = frozenset("climb come lean walk crawl approach evacuate withdraw".split())
"""Deeds of the crew's own bodies: where they go stands for the thing."""
_CREW = "you"
"""Stands for the thing of a deed of the crew's own bodies that names none: "lean in"."""
_CUTS = frozenset("cut saw spread drill pierce shear snip grind".split())
"""Deeds whose thing is never guessed: after "there's an airbag in the post, so cut above it" it would be the airbag."""
_TELLS_HOW = frozenset("get go look stand keep check wait walk step".split())
"""Deeds whose words behind the verb are told whole: "look for the green lamp"."""
_ENDS_PARTICLE = frozenset(
    "by with till until and slow slowly gently hard straight first too then on of together".split()
)
_WAYS = frozenset("clockwise anticlockwise counterclockwise forwards backwards upwards downwards sideways".split())
"""Which way a thing is turned or moved is never left out of a step."""
_TAKEN_FOR_A_JOB = frozenset("use take get grab fetch bring".split())
_TOO_VAGUE = frozenset(
    "thing things something anything everything stuff lot one ones way bit it that this them".split()
)
_PLURAL_SUBJECTS = frozenset("they them those these".split())
_PLURAL_OBJECTS = frozenset("them those these em 'em both all".split())
_PRONOUN_WORDS = PRONOUNS | frozenset("all both of just the whole thing lot".split())


@dataclass(frozen=True, slots=True)
class _Aim:
    """What a deed aims at, once it is settled.

    ``target`` are the tokens that name the thing, ``stand_in`` the words that stand for it where none do; ``support``
    is where it was named before. What follows begins at token ``rest``.
    """

    action: str
    rest: int
    target: Span | None = None
    stand_in: str | None = None
    support: tuple[Span, ...] = ()

    @property
    def verb(self) -> str:
        """The deed without its particle."""
        return self.action.split()[0]


def told(context: StepContext) -> Found | None:
    """The step that the clause tells by a deed, or None without one, or where what it is done to stays unclear."""
    found = deed(context.talk, context.clause)
    return told_by(context, found) if found else None


def told_by(context: StepContext, found: Deed) -> Found | None:
    """The step of the deed ``found`` in the clause, or None where what it is done to stays unclear."""
    aim = _named_before(context, found, found.object) if found.object else _named_after(context, found)
    if aim is None:
        return None
    if (lasts := _time_given(context, aim)) is not None:
        return context.step(_ACTS[found.form], _SAID_AS[found.form], action="wait", object=lasts)
    aim = _with_particle_behind(context, aim)
    if aim.target is None and aim.stand_in is None and aim.verb in _TELLS_HOW:
        name, place = text_of(context.doc, found.rest, context.end), None
    else:
        name, place = _name(context, aim), place_told(context, aim.rest, context.following)
    if aim.target and (state := left_as(context.doc, aim.action, aim.target[1], context.end)):
        name, place = f"{name} {state}", None
    if _says_too_little(aim, name) or _is_tool_taken_up(context, aim):
        return None
    name = "" if name == _CREW else name
    tool = _tool_told(context, found.rest)
    step = context.step(_ACTS[found.form], _SAID_AS[found.form], action=aim.action, object=name, place=place, tool=tool)
    outside = tuple(s for s in aim.support if not context.clause.start <= s[0] < context.end)
    return step.with_(count=count_of(context.talk, *aim.target) if aim.target else None, also=outside)


def _time_given(context: StepContext, aim: _Aim) -> str | None:
    """ "Give it a full minute", "allow ten minutes": what is told is to wait, and how long."""
    if aim.verb not in {"give", "allow"}:
        return None
    return time_told(context.talk, context.body, context.end)


def is_pronoun(context: StepContext, start: int, end: int) -> bool:
    """Whether tokens ``start`` to ``end`` only point at a thing: "it", "the whole lot of them"."""
    return all(t.lower_ in _PRONOUN_WORDS for t in context.doc[start:end])


def place_told(context: StepContext, at: int, following: tuple[Clause, ...]) -> str | None:
    """The place from token ``at`` on, or the clause behind if it tells nothing else: "unclip it, behind the seat"."""
    doc = context.doc
    begins = first_place(doc, at, context.end)
    if begins is not None:
        return text_of(doc, begins, context.end)
    if not following or following[0].marker is not None:
        return None
    start, end = following[0].body, following[0].end
    if is_place_start(doc, start, end) and not has_verb(context.talk, start, end):
        return text_of(doc, start, end)
    return None


def _named_before(context: StepContext, found: Deed, named: Span) -> _Aim | None:
    """The thing told before its verb: "the cover has to come off", "that comes off", or in an earlier clause."""
    start, end = named
    if start < 0:  # "a quarter turn to the left": the thing was told before the clause
        return _meant(found, context.things.before(found.verb))
    if not is_pronoun(context, start, end):
        return _Aim(found.action, found.rest, target=named)
    meant = context.things.before(start, plural=context.doc[start].lower_ in _PLURAL_SUBJECTS)
    return _meant(found, meant) or _Aim(found.action, found.rest, stand_in="it")


def _named_after(context: StepContext, found: Deed) -> _Aim | None:
    """The thing told behind its verb, after adverbs and particles: "push the lid down", "take them all off"."""
    doc, end = context.doc, context.end
    action, at = found.action, found.rest
    while at < end and doc[at].tag_ in {"RB", "RP"} and doc[at].lower_ not in {"there", "here"}:
        if is_at_once(doc, at, end):
            at += 2
            continue
        if doc[at].lower_ in PARTICLES and " " not in action:
            action = f"{action} {doc[at].lower_}"
        at += 1
    deed_so_far = replace(found, action=action, rest=at)
    stop = noun_phrase(doc, at, end)
    if stop > at and not is_pronoun(context, at, stop):
        stop = with_of(doc, at, end)
        return _Aim(action, stop, target=(at, stop))
    if at < end and doc[at].lower_ in PRONOUNS | {"all", "both"}:
        return _pointed_at(context, replace(deed_so_far, rest=max(at + 1, stop)), at)
    verb = action.split()[0]
    if verb in _GOES_ITSELF:
        return _Aim(action, end, stand_in=text_of(doc, at, end) or _CREW)
    if verb in _NEEDS_NO_THING:
        return _Aim(action, at)
    if found.form not in {"order", "you"}:
        return None
    if verb in _CUTS:
        return _Aim(action, end, stand_in=text_of(doc, at, end) or "it")
    says_only_where = at >= end or is_place_start(doc, at, end) or doc[at].tag_ in {"IN", "CD", "TO"}
    return _meant(deed_so_far, context.things.left_out(found.verb)) if says_only_where else None


def _pointed_at(context: StepContext, found: Deed, at: int) -> _Aim:
    """The thing that the pronoun at token ``at`` means; the pronoun itself where that cannot be told."""
    said = context.doc[at].lower_
    meant = context.things.before(at, plural=said in _PLURAL_OBJECTS)
    stand_in = said if said in {"it", "them", "that", "those"} else "it"
    return _meant(found, meant) or _Aim(found.action, found.rest, stand_in=stand_in)


def _meant(found: Deed, meant: Thing | None) -> _Aim | None:
    """The aim at a thing that was named before, with the place of its name as support."""
    if meant is None:
        return None
    span = (meant.start, meant.end)
    return _Aim(found.action, found.rest, target=span, support=(span,))


def _with_particle_behind(context: StepContext, aim: _Aim) -> _Aim:
    """Takes in a particle that stands behind the thing: "push the panel in" is "push in"; "in the frame" is a place."""
    doc, at, end = context.doc, aim.rest, context.end
    if at < end and doc[at].lower_ in _WAYS and " " not in aim.action:
        return replace(aim, action=f"{aim.action} {doc[at].lower_}", rest=at + 1)
    if at >= end or " " in aim.action or doc[at].lower_ not in PARTICLES or aim.action == "use":
        return aim
    if at + 1 < end and doc[at + 1].lower_ not in _ENDS_PARTICLE and is_place_start(doc, at, end):
        return aim
    return replace(aim, action=f"{aim.action} {doc[at].lower_}", rest=at + 1)


def _name(context: StepContext, aim: _Aim) -> str:
    if aim.target:
        return thing(context.doc, *aim.target)
    return aim.stand_in or text_of(context.doc, aim.rest, context.end)


def _says_too_little(aim: _Aim, name: str) -> bool:
    """ "Do the thing" says nothing that a crew can do; "wait" does."""
    if not name:
        return aim.action not in _WHOLE_ALONE
    return aim.stand_in is None and name.lower() in _TOO_VAGUE


def _is_tool_taken_up(context: StepContext, aim: _Aim) -> bool:
    """Whether what is taken up is there to work with ("grab a ten mil socket"), which makes it a tool and no step."""
    if aim.target is None or aim.action not in _TAKEN_FOR_A_JOB:
        return False
    if is_behind_failure(context.talk, context.sentence, context.clause):
        return False  # "if that's stiff, use a pipe wrench" is another way, with its condition
    talk = context.talk
    return any(talk.mentions_in(*aim.target, "tool")) or any(v.is_size for v in talk.values_in(*aim.target))


def _tool_told(context: StepContext, start: int) -> str | None:
    """ "with a hex bit", "using the long bar": the tool told with the deed."""
    doc, end = context.doc, context.end
    for at in range(start, end - 1):
        if doc[at].lower_ in {"with", "using"}:
            stop = noun_phrase(doc, at + 1, end)
            if any(context.talk.mentions_in(at + 1, stop, "tool")):
                return thing(doc, at + 1, stop)
    return None
