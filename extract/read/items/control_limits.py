"""What a control does not do, where a crew could rely on it: "that switch does not shut off the gas"."""

import re
from collections.abc import Iterator

from vouchbook.extract.read.hazards.judge import HazardWord
from vouchbook.extract.read.talk import Sentence, Talk
from vouchbook.extract.read.tape import words_pattern
from vouchbook.models.items import Hazard, Signal

REASON = "told what a control does not do"
_CONDITIONS = frozenset({"if", "when", "once", "before", "after", "unless", "until", "whenever"})
""" "If the button doesn't stop the belt" tells another way, and nothing of what the button is for."""
_FAILS = (
    # "it doesn't", "that won't"; not "you won't", nor "don't", which forbids
    r"(?:does (?:n't|not)|(?<!you )(?<!i )(?<!we )(?<!they )(?:wo n't|will not|will never)|"
    r"(?:buttons|switches|stops|valves|breakers|isolators|fuses|keys|levers|those|these) do (?:n't|not))"
    r"(?: actually| really| fully| always| even| quite| on its own)*"
)
_TAKES_AWAY = (
    r"(?:shut|turn|switch|cut|take(?! long| much| any| a )|kill|isolate|"
    r"stop|release|bleed|vent|drain|discharge|relieve|close|disconnect|"
    r"remove|drop|dump|lock|hold|brake|make|de-?energi[sz]e)"
)
_ENERGY: tuple[tuple[str, Hazard, Signal], ...] = (
    (r"(?:high voltage|high-voltage|hv|h v|traction \w+|traction)", "electric shock", "danger"),
    (
        r"(?:power|current|voltage|volts|electric\w*|battery|pack|panels?|array|strings?|circuit|mains|inverter|supply)",
        "electric shock",
        "warning",
    ),
    (r"(?:pressure|hydraulics?|air|steam|rams?|accumulators?|cylinders?)", "pressure release", "warning"),
    (
        r"(?:motor|engine|belt|drive|rotor|drum|blades?|wheels?|car|lift|load|boom|mast|arm|platform|machine)",
        "unexpected movement",
        "warning",
    ),
    (r"(?:gas|fuel|petrol|diesel|hydrogen|oil|water|oxygen|ammonia|refrigerant)", "other", "warning"),
    (r"(?:dead|safe|off)", "other", "warning"),
)
"""What is not taken away, and what that can do; live high voltage is danger. Gas alone names no hazard."""
_LIMIT = words_pattern(
    rf"{_FAILS} {_TAKES_AWAY}(?: [a-z'-]+){{0,5}}? (?P<left>{'|'.join(words for words, _, _ in _ENERGY)})(?!\S)"
)


def limits(talk: Talk, sentence: Sentence) -> Iterator[HazardWord]:
    """The places in ``sentence`` that tell which energy a control leaves on; none in a condition or a question."""
    if sentence.asks:
        return
    for clause in sentence.clauses:
        if clause.marker in _CONDITIONS:
            continue
        line = talk.tape(clause.start, clause.end)
        match = _LIMIT.search(line.text)
        if match is None:
            continue
        hazard, signal = next((h, s) for words, h, s in _ENERGY if re.fullmatch(words, match["left"]))
        first, last = line.token(match.start()), line.token(match.end() - 1)
        yield HazardWord(first, last + 1, hazard, signal, 2)
