"""Waits, limits and distances that are told twice of one thing: "five minutes for the inverter", later "ten"."""

from collections.abc import Iterator, Sequence
from itertools import combinations

from vouchbook.extract.read.mentions import Mention
from vouchbook.extract.read.questions.claims import Claim, claims, differ
from vouchbook.extract.read.questions.raised import Raised
from vouchbook.extract.read.questions.value_conflict import value_conflict
from vouchbook.extract.read.talk import Talk
from vouchbook.extract.read.tape import words_pattern

_LIMITS = frozenset({"pressure in bar", "pressure in [psi]", "percent in %"})
"""Sorts of which one thing has one value."""
_KEEPS_BACK = words_pattern(
    # "everybody back, thirty metres", "no nearer than ten feet"
    r"(?:back|away|off|clear|everybody|everyone|anybody|nobody|distance|stand|keep|fog|spray|jet|nearer|closer|"
    r"wi'in|within)"
)
_WAITS = words_pattern(
    # "give it five minutes", "it takes ten minutes to bleed down"
    r"(?:wait|waits|waiting|give|leave|leaves|discharge|bleeds?|bleed down|drain)"
)
_STAYS_BACK = words_pattern(
    # "everybody back thirty metres", "stay fifty metres off", "no nearer than ten feet"
    r"(?:everybody|everyone|anybody|nobody|people|folk|crowd|public|them|'em|stay|stays|stand|keep|keeps) "
    r"(?:[a-z0-9'-]+ ){0,4}?(?:back|away|off|clear|near|nearer|closer|metres?|meters?|feet|foot|yards)"
)
_HOW_LONG = words_pattern(r"how long|how many minutes|how much time")
_WAITED_FOR = {
    # what runs out while one waits, in whatever words: two waits for the same are of one thing unless they name two
    "charge": words_pattern(
        r"discharged?|discharges|discharging|bleeds? (?:down|off)|capacitors?|residual|voltage|charge|zero volts|"
        r"goes? dead|is dead|touch (?:any |the )?(?:orange|terminals?|busbars?)"
    ),
    "heat": words_pattern(r"cools?(?: down| off)?|cooling|cold|hot|temperature|embers"),
    "motion": words_pattern(r"coasts?|coasting|runs? down|spins?|spinning|stops? turning|stands? still|run-on"),
    "pressure": words_pattern(r"pressure|depressurised?|vents?|venting|hissing"),
}
_SHORTEST_WAIT_S = 60
_MOST_SHARED = 3
"""Lemmas; two sentences that share more are one list read back, which says little of what its value belongs to."""


def conflicting_told_twice(talk: Talk) -> Iterator[Raised]:
    """One question for each later value that a talk told otherwise of the same thing."""
    every = [claim for claim in claims(talk) if claim.sentence.line not in talk.chatter]
    alone = [[c for c in every if tells(talk, c)] for tells in (_is_wait, _tells_to_stay_back)]
    asked: set[int] = set()
    for one, other in combinations(every, 2):
        if other.value.first in asked or one.sort != other.sort or one.sentence.line == other.sentence.line:
            continue
        if differ(one, other) and (
            _of_one_thing(talk, one, other)
            or _for_the_same(talk, one, other)
            or any(_are_the_only(told, one, other) for told in alone)
        ):
            asked.add(other.value.first)
            yield from value_conflict(talk, every, one, other)


def _of_one_thing(talk: Talk, one: Claim, other: Claim) -> bool:
    if not 0 < len(one.around & other.around) <= _MOST_SHARED:
        return False
    waited_for, other_waited_for = _waited_for(talk, one), _waited_for(talk, other)
    if waited_for and other_waited_for and not waited_for & other_waited_for:
        return False
    if one.sort == "distance":
        return _keeps_back(talk, one) and _keeps_back(talk, other)
    return one.sort == "time" or one.sort in _LIMITS


def _for_the_same(talk: Talk, one: Claim, other: Claim) -> bool:
    """Whether both are waits for one thing to run out, said in other words, and they do not name two parts."""
    if not (_is_wait(talk, one) and _is_wait(talk, other)):
        return False
    first, second = (_waited_for(talk, claim) for claim in (one, other))
    if len(first) != 1 or first != second:
        return False
    parts, others = ({m.entry.term for m in _near(talk, claim)} for claim in (one, other))
    return not parts or not others or bool(parts & others)


def _waited_for(talk: Talk, claim: Claim) -> set[str]:
    said = talk.tape(claim.sentence.start, claim.sentence.end).text
    return {name for name, pattern in _WAITED_FOR.items() if pattern.search(said)}


def _near(talk: Talk, claim: Claim) -> Iterator[Mention]:
    return talk.mentions_in(claim.sentence.start, claim.sentence.end, "part")


def _are_the_only(told: Sequence[Claim], one: Claim, other: Claim) -> bool:
    """Whether a talk tells two waits, or two distances to keep, and no third: there is one thing that they are of."""
    return one in told and other in told and len({claim.amount for claim in told}) == 2


def _is_wait(talk: Talk, claim: Claim) -> bool:
    """Whether it is told to wait that long, or answered alone to "how long?"."""
    if claim.sort != "time" or claim.amount < _SHORTEST_WAIT_S:
        return False
    sentence = claim.sentence
    before = talk.sentences_of(sentence.line - 1)[-1:] if sentence.line else ()
    answers = any(_HOW_LONG.search(talk.tape(s.start, s.end).text) for s in before)
    return answers or _WAITS.search(talk.tape(sentence.start, sentence.end).text) is not None


def _tells_to_stay_back(talk: Talk, claim: Claim) -> bool:
    said = talk.tape(claim.sentence.start, claim.sentence.end).text
    return claim.sort == "distance" and _STAYS_BACK.search(said) is not None


def _keeps_back(talk: Talk, claim: Claim) -> bool:
    line = talk.sentences_of(claim.sentence.line)
    return any(_KEEPS_BACK.search(talk.tape(s.start, s.end).text) for s in line)
