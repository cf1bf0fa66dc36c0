"""Steps: what the crew does, in the order in which it is said. What a clause forbids never becomes one."""

import re
from collections.abc import Callable, Iterator, Mapping

from vouchbook.extract.read.deeds.deed import Deed
from vouchbook.extract.read.found import Found
from vouchbook.extract.read.items.alarms import retreat
from vouchbook.extract.read.items.answered import confirmed_deed, only_asked
from vouchbook.extract.read.items.denial import breaks_off, is_denied
from vouchbook.extract.read.items.goes_wrong import tells_harm
from vouchbook.extract.read.items.likeness import is_alike
from vouchbook.extract.read.items.step_context import StepContext
from vouchbook.extract.read.items.step_fasteners import fasteners
from vouchbook.extract.read.items.step_implied import approach, carried_off, fallback, put_on, wait
from vouchbook.extract.read.items.step_set import set_in_place
from vouchbook.extract.read.items.step_told import told, told_by
from vouchbook.extract.read.items.step_until import with_end
from vouchbook.extract.read.phrases import text_of
from vouchbook.extract.read.places import has_verb
from vouchbook.extract.read.scope import prohibition
from vouchbook.extract.read.sentences import Clause
from vouchbook.extract.read.tags import BASE_VERBS
from vouchbook.extract.read.talk import Sentence, Talk, once
from vouchbook.extract.read.things import Things, things_of

FORMS: tuple[Callable[[StepContext], Found | None], ...] = (
    told, fallback, wait, put_on, set_in_place, fasteners, carried_off, approach, retreat,
)  # fmt: skip
"""The forms in which a step is said; the first that fits a clause makes its step."""

_CONDITIONS = frozenset({"if", "when", "once", "before", "after", "unless", "whenever"})
_PRONOUNS = frozenset({"it", "them", "that", "those", ""})
_SAME_IT_LINES = 2
"""Lines further on, "it" is another thing."""
_TIMES = frozenset({"before", "when", "once"})
_DENIES = re.compile(r"(?<!\S)(?:ca|wo|does|do|did) n't(?!\S)")


def steps(talk: Talk) -> Iterator[Found]:
    """The steps of ``talk`` in the order in which they are said; no question gives one, nor does the one who asks."""
    things, conditions = things_of(talk), conditions_told(talk)
    for sentence in talk.sentences:
        if sentence.line not in talk.askers and not sentence.asks and sentence.line not in talk.chatter:
            yield from _of_sentence(talk, sentence, things, conditions)
        elif sentence.asks and (confirmed := confirmed_deed(talk, sentence)):
            yield from _confirmed(talk, sentence, things, *confirmed)


@once
def conditions_told(talk: Talk) -> dict[int, str]:
    """For the first token of each clause its condition: told before it, asked for, or told behind."""
    asked: str | None = None
    told: dict[int, str] = {}
    is_held_back = False
    for sentence in talk.sentences:
        if sentence.line in talk.askers:
            asked = _asked_condition(talk, sentence)
        else:
            conditions = ((s, text) for s, text in _conditions(talk, sentence, asked) if text)
            told |= {
                s: _exception(text) if is_held_back and _is_exception(sentence) else text for s, text in conditions
            }
        is_held_back = any(_holds_back(talk, clause) for clause in sentence.clauses)
    return told


def _holds_back(talk: Talk, clause: Clause) -> bool:
    return talk.doc[clause.start].lower_ == "not" or prohibition(talk.doc, clause.body, clause.end) is not None


def _is_exception(sentence: Sentence) -> bool:
    """ "Not until he's free. Unless there's a fire, then isolate": what was held back is done when there is a fire."""
    first, following = sentence.clauses[0], sentence.clauses[1:2]
    return first.marker == "unless" and any("then" in clause.leads for clause in following)


def _exception(condition: str) -> str:
    return re.sub(r"^unless\b", "if", condition, flags=re.IGNORECASE)


def _conditions(talk: Talk, sentence: Sentence, asked: str | None) -> Iterator[tuple[int, str | None]]:
    condition = asked
    for n, clause in enumerate(sentence.clauses):
        following = sentence.clauses[n + 1 :]
        if clause.marker and clause.body > clause.start:
            # "…, once it's off" at the end of a sentence tells when, and ends no later clause
            if clause.marker in _CONDITIONS and (following or clause.marker not in _TIMES):
                condition = _condition_text(talk, clause)
            continue
        behind = next((c for c in following if c.marker in _CONDITIONS), None)
        yield clause.start, condition or (_condition_text(talk, behind) if behind else None)


def repeats(earlier: Found, later: Found) -> bool:
    """Whether ``later`` says the same step again: the same deed, and the same thing or an "it" in the same line."""
    one, other = earlier.fields, later.fields
    if one["action"].split()[0] != other["action"].split()[0]:
        return False
    if one["condition"] != other["condition"]:
        return False  # what is done in one case only is not what is always done
    is_pronoun = "it" in {one["object"], other["object"]}
    if {one["object"], other["object"]} <= _PRONOUNS and later.line - earlier.line > _SAME_IT_LINES:
        return False
    if is_pronoun and earlier.line == later.line and one["action"] == other["action"]:
        return True
    return is_alike(one["object"], other["object"])


def _asked_condition(talk: Talk, sentence: Sentence) -> str | None:
    """ "And if the bonnet can't be reached?" is the condition of the answer; "how do I know if it's off" is none."""
    for clause in sentence.clauses:
        if clause.marker == "if" and "know" not in talk.tape(clause.start, clause.end).text:
            return _condition_text(talk, clause)
    return None


def _of_sentence(talk: Talk, sentence: Sentence, things: Things, conditions: Mapping[int, str]) -> Iterator[Found]:
    """A step for each clause that tells one, under its condition."""
    for clause, is_forbidden in _judged(talk, sentence):
        if is_forbidden or (clause.marker and clause.body > clause.start):
            continue
        context = StepContext(talk, sentence, clause, things)
        step = next(filter(None, (form(context) for form in FORMS)), None)
        if step:
            condition = conditions.get(clause.start) or step.fields.get("condition")
            yield with_end(talk, step.with_(fields={**step.fields, "condition": condition}), clause)


def _confirmed(talk: Talk, question: Sentence, things: Things, asked: Deed, answer: Sentence) -> Iterator[Found]:
    """The step that the one who asks puts as a question and the other confirms, with both as its words."""
    clause = next(c for c in question.clauses if c.start <= asked.verb < c.end)
    step = told_by(StepContext(talk, question, clause, things), asked)
    if step:
        also = (*step.also, (answer.start, answer.end))
        yield step.with_(fields={**step.fields, "condition": None}, reasons=("asked, and answered yes",), also=also)


@once
def forbidden_clauses(talk: Talk) -> tuple[tuple[int, int], ...]:
    """The token ranges that give no step: clauses that forbid or tell a harm, and questions without a yes."""
    forbidden = [
        (clause.start, clause.end)
        for sentence in talk.sentences
        for clause, is_forbidden in _judged(talk, sentence)
        if is_forbidden
    ]
    return (*forbidden, *only_asked(talk))


def _judged(talk: Talk, sentence: Sentence) -> Iterator[tuple[Clause, bool]]:
    """The clauses of ``sentence``, each with whether it gives no step: it forbids, carries that on, or tells a harm."""
    is_forbidding = is_outcome = False
    for clause in sentence.clauses:
        if clause.marker and clause.body > clause.start:
            # "…, until it's cold" tells how long the prohibition before it holds
            yield clause, is_forbidding or prohibition(talk.doc, clause.body, clause.end) is not None
            continue
        if breaks_off(talk.doc, clause):
            # "don't, whatever you do, lift it": better no step than this one
            yield from ((c, True) for c in sentence.clauses if c.start >= clause.start)
            return
        goes_on = is_forbidding and (_carries_on(talk, clause) or not has_verb(talk, clause.start, clause.end))
        is_forbidding = goes_on or _forbids(talk, clause)
        harms = tells_harm(talk, sentence, clause)
        # "undo that cap and you wear it": what comes of it is no more a step than the deed
        yield clause, is_forbidding or is_outcome or harms or is_denied(talk.doc, clause)
        is_outcome = harms


def _condition_text(talk: Talk, clause: Clause) -> str:
    """The condition from its marker on: "so if it's on its nose" is "if it's on its nose"."""
    body = range(clause.start, clause.body)
    return text_of(talk.doc, next((i for i in body if talk.doc[i].lower_ == clause.marker), clause.start), clause.end)


def _forbids(talk: Talk, clause: Clause) -> bool:
    """Whether the clause opens a scope of negation; "so it can't spring back" does, and "and touch …" carries it on."""
    if prohibition(talk.doc, clause.body, clause.end) is not None:
        return True
    return bool(_DENIES.search(talk.tape(clause.start, clause.end).text))


def _carries_on(talk: Talk, clause: Clause) -> bool:
    """Whether a negation in the clause before covers this one too.

    "Never cut it, or grind it" and "don't put a rope on and pull" go on; "don't touch it, and press the button", with
    a pause, and "… and it stops", with a subject of its own, do not.
    """
    first, body = talk.doc[clause.start], talk.doc[clause.body]
    if body.tag_ in {"PRP", "EX"} or body.lower_ in {"that", "this"}:
        return False
    if first.lower_ in {"or", "nor"}:
        return True
    has_pause = clause.start > 0 and talk.doc[clause.start - 1].is_punct
    return first.lower_ == "and" and not has_pause and body.tag_ in BASE_VERBS | {"NN"}
