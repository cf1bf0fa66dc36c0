"""Which steps a warning guards, so that it can stand before the first of them.

Precise rather than greedy: a warning that nothing in the talk ties to a step guards none and stays with its topic.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from vouchbook.extract.read.found import Found, Placed, Tie
from vouchbook.extract.read.items.warning_hazards import prohibitions
from vouchbook.extract.read.naming import is_about, is_same_thing, names
from vouchbook.extract.read.talk import Sentence, Talk
from vouchbook.extract.read.tape import words_pattern
from vouchbook.extract.read.things import PRONOUNS, Things, things_of

_ABOUT_ALL = words_pattern(
    # "stay back from it all", "mind yourself the whole time"; not "don't touch anything orange"
    r"(?:from|off|near|of|to|around) (?:it all|all of (?:it|that|this)|everything|the (?:whole )?lot)",
    r"(?:from|off|near|of|to|around) any of (?:it|this)",
    r"(?:the|this) whole (?:time|job|thing)|all the time|at all times|the entire time|from start to finish",
    r"(?:everything|anything) (?:here|in here|on (?:it|her|this)|about (?:it|her|this))",
)
_AT_TIMES = frozenset({"before", "while", "when", "whenever", "as"})
_PLAIN_DEEDS = frozenset("be have do get go come take put touch want need let say".split())
_FAR_LINES, _NEAR_LINES, _NOUN_LINES, _BESIDE_LINES = 25, 7, 3, 2
"""How far a warning may stand from its step: where the full name of a thing ties them, a describing word with its noun,
the noun alone ("the door"), or only the topic."""
_MOST = 3
"""Steps that a thing may tie a warning to: the nearest ones."""
_CONCLUDES = frozenset("so therefore hence first".split())
_POINTS_BACK = frozenset("it that they them those these this and because so or which else otherwise".split())


@dataclass(frozen=True, slots=True)
class _Warning:
    """A warning with the sentences that tell it and the things that they name."""

    placed: Placed
    sentences: tuple[Sentence, ...]
    things: tuple[str, ...]

    @property
    def found(self) -> Found:
        return self.placed.found


Steps = Sequence[tuple[int, Placed]]


def with_guards(talk: Talk, placed: Sequence[Placed]) -> tuple[Placed, ...]:
    """``placed`` with each warning before the first step that it guards; steps keep their order."""
    steps = [(n, p) for n, p in enumerate(placed) if p.found.kind == "step"]
    things = things_of(talk)
    tied = [
        p._replace(guards=tuple(_guarded(talk, _warning(talk, things, p), steps))) if p.found.kind == "warning" else p
        for p in placed
    ]
    return _warnings_first(tied)


def _warnings_first(placed: Sequence[Placed]) -> tuple[Placed, ...]:
    """The same items, each warning that stands behind a step that it guards moved right before the first of them."""
    moved: dict[int, list[int]] = {}
    for n, p in enumerate(placed):
        if p.guards and (first := min(tie.step for tie in p.guards)) < n:
            moved.setdefault(first, []).append(n)
    away = {n for of_step in moved.values() for n in of_step}
    order = [m for n in range(len(placed)) if n not in away for m in (*moved.get(n, ()), n)]
    place_of = {old: new for new, old in enumerate(order)}
    return tuple(placed[n].renumbered(place_of) for n in order)


def _warning(talk: Talk, things: Things, placed: Placed) -> _Warning:
    found = placed.found
    sentences = tuple(
        s for line in range(found.line, min(found.line + 2, len(talk.transcript.lines)))
        for s in talk.sentences_of(line) if s.start < found.end and found.start < s.end
    )  # fmt: skip
    named = [things.text(t).lower() for t in things.all if found.start <= t.start and t.end <= found.end]
    return _Warning(placed, sentences, tuple(dict.fromkeys(named)))


def _guarded(talk: Talk, warning: _Warning, steps: Steps) -> list[Tie]:
    """The steps that ``warning`` guards, by the first of the rules that ties it to any."""
    near = [(n, p) for n, p in steps if _lines_between(warning.found, p.found) <= _FAR_LINES]
    ties = [*_at_a_time(talk, warning, near), *_forbidden(talk, warning, near)]
    if not ties:
        if _ABOUT_ALL.search(talk.tape(warning.found.start, warning.found.end).text):
            return []
        ties = [*_same_thing(warning, near), *_in_the_same_breath(talk, warning, near)]
    ties = ties or list(_told_beside(talk, warning, near)) or list(_of_its_topic(talk, warning, near))
    once = {tie.step: tie for tie in reversed(ties)}
    return [once[step] for step in sorted(once)]


def _at_a_time(talk: Talk, warning: _Warning, steps: Steps) -> Iterator[Tie]:
    """Steps that the warning names as what comes next or goes on: "mind your head when you lift the bonnet"."""
    forbids = any(True for s in warning.sentences for _ in prohibitions(talk, s))
    for clause in (c for s in warning.sentences for c in s.clauses):
        if clause.marker not in _AT_TIMES or (forbids and clause.marker == "before"):
            continue  # "never open it before the valve is shut" guards the opening, not the valve
        named = [name for name in names(talk, clause.body, clause.end) if name not in PRONOUNS]
        deeds = _deeds(talk, clause.body, clause.end)
        if not any(t.lower_ in {"you", "we", "he", "they", "anybody"} for t in talk.doc[clause.body : clause.end]):
            continue  # "when it's hot" tells a state
        of_deed = [(n, p) for n, p in steps if p.found.fields["action"].split()[0] in deeds and _is_near(warning, p)]
        both = [(n, p) for n, p in of_deed if any(is_about(p.found, name) for name in named)]
        why = f"it speaks of “{talk.transcript.text(talk.word(clause.start), talk.word(clause.end - 1))}”"
        for n, _ in _nearest(warning, both or ([] if named else of_deed)):
            yield Tie(n, why)


def _forbidden(talk: Talk, warning: _Warning, steps: Steps) -> Iterator[Tie]:
    """Steps that do, in another way or at another time, what the warning forbids: "never pull it by the lead"."""
    for forbidden in (p for s in warning.sentences for p in prohibitions(talk, s)):
        deeds = _deeds(talk, forbidden.start, forbidden.end)
        named = [name for name in names(talk, forbidden.start, forbidden.end) if name not in PRONOUNS]
        for n, p in steps:
            verb = p.found.fields["action"].split()[0]
            is_thing = any(is_same_thing(name, p.found.fields["object"]) for name in named)
            lines = _lines_between(warning.found, p.found)
            if verb in deeds and ((is_thing and lines <= _FAR_LINES) or (not named and lines <= 1)):
                yield Tie(
                    n, f"it forbids to {verb} {p.found.fields['object']}, or to do so in such a way".replace("  ", " ")
                )


def _same_thing(warning: _Warning, steps: Steps) -> Iterator[Tie]:
    """Steps on a thing that the warning names."""
    for name in warning.things:
        tied = [
            (n, p) for n, p in steps
            if _lines_between(warning.found, p.found) <= _reach(name, p.found)
        ]  # fmt: skip
        for n, _ in _nearest(warning, tied):
            yield Tie(n, f"both name the {name}")


def _in_the_same_breath(talk: Talk, warning: _Warning, steps: Steps) -> Iterator[Tie]:
    """The step told in a sentence of the warning: "undo that slowly, it's under pressure"."""
    inside = [(n, p) for n, p in steps if any(s.start <= p.found.start < s.end for s in warning.sentences)]
    for n, _ in _closest(talk, warning, inside):
        yield Tie(n, "they are told in one sentence")


def _told_beside(talk: Talk, warning: _Warning, steps: Steps) -> Iterator[Tie]:
    """The step told in the same line, next to the warning."""
    inside = [(n, p) for n, p in steps if p.found.line == warning.found.line]
    for n, _ in _closest(talk, warning, inside):
        yield Tie(n, "they are told together")


def _of_its_topic(talk: Talk, warning: _Warning, steps: Steps) -> Iterator[Tie]:
    """The step of its topic in the line beside, where words at the seam join the two.

    "That's still under pressure." behind the step, or "So wedge it first." behind the warning. That they share a topic
    and stand close is not enough: such ties are wrong more often than right.
    """
    inside = [
        (n, p) for n, p in steps
        if p.phase is warning.placed.phase and _lines_between(warning.found, p.found) <= _BESIDE_LINES
        and not _is_asked_between(talk, warning.found.line, p.found.line) and _is_joined(talk, warning, p.found)
    ]  # fmt: skip
    for n, p in _closest(talk, warning, inside):
        yield Tie(n, f"told right beside it, and about “{p.phase.label}” too")


def _is_joined(talk: Talk, warning: _Warning, step: Found) -> bool:
    """Whether the later of the two begins with a word that points back to the earlier."""
    if step.start < warning.found.start:
        return bool(set(_first_words(talk, warning.found.line)) & _POINTS_BACK)
    return bool(set(_first_words(talk, step.line)) & _CONCLUDES)


def _first_words(talk: Talk, line: int) -> list[str]:
    start = talk.sentences_of(line)[0].start if talk.sentences_of(line) else 0
    return [token.lower_ for token in talk.doc[start : start + 2]]


def _is_asked_between(talk: Talk, one: int, other: int) -> bool:
    """Whether somebody asks between two lines, which turns the talk to another matter."""
    first, last = sorted((one, other))
    return any(line in talk.askers for line in range(first + 1, last))


def _deeds(talk: Talk, start: int, end: int) -> frozenset[str]:
    return frozenset(t.lemma_.lower() for t in talk.doc[start:end] if t.tag_.startswith("VB")) - _PLAIN_DEEDS


def _reach(name: str, step: Found) -> int:
    """How many lines away a step may stand that the name of a thing ties to a warning; below 0 where it does not."""
    thing = step.fields["object"].lower()
    if is_same_thing(name, thing):
        if len(name.split()) > 1 and name == thing:
            return _FAR_LINES
        return _NEAR_LINES if set(name.split()[:-1]) & set(thing.split()[:-1]) else _NOUN_LINES
    return _NOUN_LINES if is_same_thing(name, _place(step)) else -1


def _place(step: Found) -> str:
    """The thing in the place of a step: "behind the seat" is "seat"."""
    words = (step.fields["place"] or "").split()
    return " ".join(w for w in words if w not in {"behind", "under", "in", "on", "of", "off", "from", "at", "the"})


def _is_near(warning: _Warning, placed: Placed) -> bool:
    return _lines_between(warning.found, placed.found) <= _NEAR_LINES


def _lines_between(one: Found, other: Found) -> int:
    return abs(one.line - other.line)


def _nearest(warning: _Warning, steps: Steps) -> Steps:
    return sorted(steps, key=lambda step: _lines_between(warning.found, step[1].found))[:_MOST]


def _closest(talk: Talk, warning: _Warning, steps: Steps) -> Steps:
    """The step that stands closest in words; of two as close, or where the warning begins with "it", the one before."""
    first = talk.doc[warning.found.start].lower_
    costs_ahead = 6 if first in _POINTS_BACK else 1

    def distance(step: tuple[int, Placed]) -> int:
        found = step[1].found
        ahead = found.start - warning.found.end
        return ahead + costs_ahead if ahead >= 0 else max(0, warning.found.start - found.end)

    return sorted(steps, key=distance)[:1]
