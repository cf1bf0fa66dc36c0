"""Values that belong together: ranges, alternatives, corrected values, and how many of which size."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from fractions import Fraction

from vouchbook.extract.read.atoms import Atom
from vouchbook.extract.read.contexts import counts_noun, is_adjective
from vouchbook.extract.read.readings import EN_DASH, Reading
from vouchbook.extract.read.units import INCH, MM

_MARKERS = frozenset({
    "no", "nope", "nah", "sorry", "lie", "lying", "scratch", "rather", "correction", "mistake", "pardon", "saying",
    "apologies", "actually", "wrong", "strike", "scrub",
})  # fmt: skip
_MARKER_PHRASES = {"wait": (), "hang": ("on",), "hold": ("on",), "make": ("that", "it"), "mean": ()}
_STRONG = frozenset({"lie", "lying", "scratch", "saying", "mistake", "wrong", "strike", "scrub"})
"""After these a few words of any kind may stand before the right value."""
_LIGHT = frozenset(
    {
        "",
        "a",
        "an",
        "the",
        "it's",
        "its",
        "it",
        "'s",
        "is",
        "was",
        "that's",
        "they're",
        "er",
        "um",
        "uh",
        "erm",
        "well",
        "so",
    }
)
_FILLERS = _MARKERS | _LIGHT | frozenset({
    "wait", "hang", "hold", "on", "make", "that", "mean", "i", "i'm", "im", "tell", "what", "am", "let", "me", "think",
    "not", "beg", "your", "my", "oh", "excuse", "they", "are", "one", "was", "meant", "say", "did", "should", "be",
    "would", "minute", "second", "sec", "yeah", "of", "course", "'re", "for", "this", "these", "them's", "ah", "now",
    "'m", "out", "there", "there's",
})  # fmt: skip
_HEDGES = frozenset({"maybe", "perhaps", "possibly", "could", "might"})
_AFTER_NOT = frozenset(
    {"a", "an", "the", "it's", "its", "that's", "they're", "but", "it", "is", "'s", "use", "", "you", "want"}
)
_NEGATIONS = frozenset({"ain't", "isn't", "aren't", "wasn't"})
_LONGEST_GAP = 12
_LONGEST_CHAIN = 6


def settle(atoms: Sequence[Atom], readings: Sequence[Reading]) -> list[Reading]:
    """``readings`` with ranges and alternatives joined, corrected values under the one that stands, counts marked."""
    settled: list[Reading] = []
    for reading in readings:
        current = reading
        if settled:
            for rule in _RULES:
                joined = rule(atoms, settled[-1], current)
                if joined is not None:
                    settled.pop()
                    current = joined
                    _reach_back(atoms, settled, current)
                    break
            else:
                _mark_count(atoms, settled[-1], current)
        settled.append(current)
    _mark_denied(atoms, settled)
    return _mark_counting_aloud(atoms, settled)


def _gap(atoms: Sequence[Atom], first: Reading, second: Reading) -> list[str]:
    return [atom.word for atom in atoms[first.end + 1 : second.start]]


def _class(reading: Reading) -> str:
    if reading.is_label:
        return "label"
    if reading.is_count:
        return "count"
    if reading.is_bare:
        return "bare"
    if reading.is_drive or reading.family or reading.unit in (MM, INCH):
        return "size"
    return reading.dimension


def _may_replace(first: Reading, second: Reading) -> bool:
    """Whether ``second`` can stand for ``first``: the same kind of value, or one of them a bare number."""
    one, other = _class(first), _class(second)
    return other in (one, "bare") or (one == "bare" and other != "label")


def _range(atoms: Sequence[Atom], first: Reading, second: Reading) -> Reading | None:
    """As in "five to ten minutes", "between five and ten", "six-fifty, seven hundred volts", "oh-five to oh-nine"."""
    gap, stop = _gap(atoms, first, second), atoms[first.end].stop
    is_between = gap == ["and"] and first.start > 0 and atoms[first.start - 1].word == "between"
    if not stop and (gap in (["to"], ["through"], ["till"]) or is_between):
        if first.is_label != second.is_label or not _same_unit(first, second) or first.amount >= second.amount:
            return None
    elif gap or not _is_loose_range(first, second, stop):
        return None
    joined = replace(second, start=first.start, amount=first.amount, upper=second.amount, bound="range",
                     withdrawn=first.withdrawn + second.withdrawn)  # fmt: skip
    if first.is_label:
        joined.name = f"{first.name}{EN_DASH}{second.name}"
    return joined


def _same_unit(first: Reading, second: Reading) -> bool:
    if first.upper is not None or second.upper is not None or first.family != second.family or first.is_plural:
        return False
    return first.is_bare or first.is_label or (first.unit is second.unit and first.is_count == second.is_count)


def _is_loose_range(first: Reading, second: Reading, stop: str) -> bool:
    """Two numbers side by side before one unit: a range, unless the first counts ("two twelve-volt batteries")."""
    if not first.is_bare or first.is_plural or second.unit is None or second.is_size or second.upper is not None:
        return False
    if not (stop == "," or (not stop and second.unit_is_plural)) or second.bound != "exact":
        return False
    return first.amount < second.amount <= 2 * first.amount


def _alternatives(atoms: Sequence[Atom], first: Reading, second: Reading) -> Reading | None:
    """As in "ten or twelve mil", "eight mil? nine?", "ten, maybe twelve": no usable value."""
    gap, stop = _gap(atoms, first, second), atoms[first.end].stop
    words = set(gap) - _LIGHT
    is_or = "or" in words and words <= {"or", "even"} | _HEDGES and stop in ("", ",", "?")
    is_hedged = bool(words) and words & _HEDGES and words <= _HEDGES | {"be"}
    is_asked = stop == "?" and not words and second.is_asked
    is_loose = not gap and stop == "," and first.is_bare and second.is_count and 0 < second.amount - first.amount <= 2
    if not (is_or or is_hedged or is_asked or is_loose) or len(gap) > 4 or first.is_label or second.is_label:
        return None
    if first.upper is not None or second.upper is not None or first.amount == second.amount:
        return None
    if not (_may_replace(first, second) or _may_replace(second, first)):
        return None
    earlier = first.choices or [first]
    _share_unit(earlier[-1], second)
    for choice in earlier[:-1]:
        _share_unit(choice, second)
    return replace(second, start=first.start, is_open=True, choices=[*earlier, second], bound="exact",
                   withdrawn=first.withdrawn + second.withdrawn)  # fmt: skip


def _share_unit(first: Reading, second: Reading) -> None:
    """A unit said once holds for both; inches are not handed on to a whole number ("a half inch or a thirteen")."""
    for source, target in ((second, first), (first, second)):
        if target.is_bare and not source.is_bare and source.unit is not INCH:
            _inherit(target, source)


def _inherit(target: Reading, source: Reading) -> None:
    target.unit, target.family, target.is_count = source.unit, source.family, source.is_count
    target.unit_said = False
    if source.is_label:
        target.is_label, target.name = True, str(target.amount)


def _correction(atoms: Sequence[Atom], first: Reading, second: Reading) -> Reading | None:
    """As in "ten, no, twelve millimetre"; "a seven mil, no, I tell a lie, it's the nine"."""
    if not _may_replace(first, second) or first.is_open or second.is_asked:
        return None
    place = first.end + 1
    is_named = False
    if not atoms[first.end].stop:
        noun_end = _noun_before_stop(atoms, place, second.start)
        is_named, place = noun_end > place, noun_end
    gap = list(atoms[place : second.start])
    if not gap or len(gap) > _LONGEST_GAP or not any(_is_marker(atoms, place + offset) for offset in range(len(gap))):
        return None
    words = {atom.word for atom in gap}
    is_strong = bool(words & _STRONG) and _class(first) in ("size", "bare")
    if not (words <= _FILLERS or is_strong or _is_long_no(first, second, atoms[first.end].stop, gap)):
        return None
    if is_named and _class(second) not in (_class(first), "bare"):
        return None
    if first.amount == second.amount and _class(first) == _class(second) and first.upper is None:
        second.withdrawn, second.restated_from = [*first.withdrawn, *second.withdrawn], first.start
        return second
    return _withdraw(first, second)


def _is_long_no(first: Reading, second: Reading, stop: str, gap: Sequence[Atom]) -> bool:
    """As in "thirty, no, they changed it on us, thirty-five feet": one sentence, a unit only on the right value."""
    is_no = stop == "," and gap[0].word == "no" and gap[0].stop == ","
    return is_no and first.is_bare and second.unit is not None and all(atom.stop in ("", ",") for atom in gap)


def _noun_before_stop(atoms: Sequence[Atom], start: int, limit: int) -> int:
    """Behind the noun of "four mil hex. Four" or "four bolts, no, five": at most two words, then punctuation."""
    for place in range(start, min(start + 2, limit)):
        if _is_marker(atoms, place):
            return start
        if atoms[place].stop:
            return place + 1
    return start


def _is_marker(atoms: Sequence[Atom], at: int) -> bool:
    word, following = atoms[at].word, atoms[at + 1].word
    if word in _MARKERS:
        return True
    if word not in _MARKER_PHRASES:
        return False
    if word == "mean":
        return atoms[at - 1].word == "i"
    if word == "wait":  # "five minutes. Wait ten minutes" is no correction
        return bool(atoms[at].stop) or following in ("no", "i'm", "sorry", "it's", "that's", "a")
    return following in _MARKER_PHRASES[word]


def _withdraw(first: Reading, second: Reading) -> Reading:
    """``second`` stands, ``first`` is kept under it. A bare number takes the unit of the other."""
    if second.is_bare and not first.is_bare and first.unit is not INCH:
        _inherit(second, first)
    elif first.is_bare and second.unit not in (None, INCH):
        _inherit(first, second)
    if second.bound == "exact" and first.upper is None:  # "at least ten, no, twelve minutes" keeps its limit
        second.bound, second.is_strict = first.bound, first.is_strict
    second.withdrawn = [*first.withdrawn, replace(first, withdrawn=[]), *second.withdrawn]
    return second


def _denied(atoms: Sequence[Atom], first: Reading, second: Reading) -> Reading | None:
    """As in "not a ten, a twelve", "a twelve, not a ten": the denied one is withdrawn."""
    gap = _gap(atoms, first, second)
    if first.is_denied == second.is_denied or len(gap) > 4 or first.is_open or second.is_open:
        return None
    if first.is_denied:
        is_contrast = bool(atoms[first.end].stop) and set(gap) <= _AFTER_NOT
        return _withdraw(first, second) if is_contrast and _may_replace(first, second) else None
    if not gap or not set(gap) <= {"not", "a", "an", "the", "and"} or not _may_replace(second, first):
        return None
    return _withdraw(second, first)


def _answer(atoms: Sequence[Atom], first: Reading, second: Reading) -> Reading | None:
    """As in "Nineteen? Seventeen.": the value that was asked about gives way to the answer."""
    gap = _gap(atoms, first, second)
    if not first.is_asked or second.is_asked or len(gap) > 3 or not set(gap) <= _LIGHT:
        return None
    if first.amount == second.amount or first.is_open or not _may_replace(first, second):
        return None
    return _withdraw(first, second)


def _repeat(atoms: Sequence[Atom], first: Reading, second: Reading) -> Reading | None:
    """As in "it's eight, eight mil": one value, said again with its unit."""
    is_unit_new = first.is_bare or (not first.unit_said and first.withdrawn and first.unit is second.unit)
    if not is_unit_new or second.is_bare or second.is_label or first.amount != second.amount or first.is_plural:
        return None
    if not atoms[first.end].stop or not set(_gap(atoms, first, second)) <= _LIGHT or second.is_count:
        return None
    second.withdrawn = [*first.withdrawn, *second.withdrawn]
    second.restated_from = first.start
    return second


_RULES: tuple[Callable[[Sequence[Atom], Reading, Reading], Reading | None], ...] = (
    _range, _alternatives, _denied, _correction, _answer, _repeat,
)  # fmt: skip


def _reach_back(atoms: Sequence[Atom], settled: list[Reading], current: Reading) -> None:
    """A correction said in two goes: "Four mil hex. Four, no. Six mil", "T thirty. Forty. T forty"."""
    if not settled or current.is_open or current.upper is not None:
        return
    earlier = settled[-1]
    if earlier.is_open or earlier.upper is not None or _class(earlier) != _class(current):
        return
    if current.withdrawn:
        start = current.withdrawn[0].start
        is_same = earlier.amount == current.withdrawn[0].amount and 0 < start - earlier.end <= _LONGEST_CHAIN
    else:
        start = current.restated_from
        between = atoms[earlier.end : max(start, earlier.end)]
        is_next = 0 < len(between) <= 3 and bool(between[-1].stop) and not any(atom.stop for atom in between[:-1])
        is_same = is_next and earlier.amount != current.amount
    if is_same:
        settled.pop()
        current.withdrawn = [*earlier.withdrawn, replace(earlier, withdrawn=[]), *current.withdrawn]


def _mark_count(atoms: Sequence[Atom], first: Reading, second: Reading) -> None:
    """As in "three twelve-mil bolts", "four of the tens": the bare number in front counts."""
    if not first.is_bare or first.is_plural or first.amount.denominator > 1 or not 0 < first.amount <= 100:
        return
    gap = atoms[first.end : second.start]
    is_counted = second.is_size or (second.is_bare and second.is_plural)
    if second.unit and not second.unit_is_plural:  # "two twelve-volt batteries"
        is_counted = is_counted or counts_noun(atoms, second.end + 1)
    if any(atom.stop for atom in gap) or not is_counted:
        return
    if all(is_adjective(atom.word) for atom in gap[1:]):
        first.is_count = True


def _mark_denied(atoms: Sequence[Atom], readings: Sequence[Reading]) -> None:
    """As in "Half inch. No it ain't, half inch is the tractor.": neither can be shown as the size."""
    denied: Reading | None = None
    for reading in readings:
        if denied and reading.amount == denied.amount and reading.start - denied.end <= _LONGEST_CHAIN:
            reading.is_denied = _class(reading) == _class(denied)
        words = [atom.word for atom in atoms[reading.end + 1 : reading.end + 4]]
        is_taken_back = words[:1] == ["no"] and words[1:2] in (["it"], ["that"], ["they"]) and words[2] in _NEGATIONS
        if is_taken_back and atoms[reading.end].stop:
            reading.is_denied, denied = True, reading


def _mark_counting_aloud(atoms: Sequence[Atom], readings: list[Reading]) -> list[Reading]:
    """As in "one, two, three" and numbers spelled digit by digit are no sizes and no counts."""
    run: list[Reading] = []
    for reading in [*readings, None]:
        is_digit = reading is not None and reading.is_bare and not reading.is_plural and reading.amount in _DIGITS
        if is_digit and reading and (not run or reading.start == run[-1].end + 1) and not reading.is_open:
            run.append(reading)
            continue
        is_from_one = bool(run) and run[0].amount == 2 and run[0].start > 0 and atoms[run[0].start - 1].word == "one"
        if len(run) >= (2 if is_from_one else 3):
            for part in run:
                part.is_label, part.name = True, str(part.amount)
        run = [reading] if is_digit and reading else []
    return readings


_DIGITS = frozenset(Fraction(value) for value in range(10))
