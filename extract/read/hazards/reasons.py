"""Why a warning has its signal word: the words that tell the harm, and the definition that they meet."""

from collections.abc import Mapping, Sequence

from vouchbook.extract.read.hazards.judge import HazardWord
from vouchbook.extract.read.talk import Talk
from vouchbook.models.items import Hazard, Signal

CONSEQUENCE: Mapping[str, str] = {
    "danger": "will kill or maim if it is not avoided",
    "warning": "could kill or maim if it is not avoided",
    "caution": "could do minor or moderate injury if it is not avoided",
    "notice": "damages things only",
}
"""The signal words by their consequence: ANSI Z535.6 (2011)."""
_MOST = 2
"""Words that tell the harm; more of them say no more."""


def reason_told(talk: Talk, deciding: Sequence[HazardWord], hazard: Hazard, signal: Signal) -> str:
    """The reason where words of the talk decide: "“under pressure”: pressure release could kill or maim …"."""
    if not deciding:
        return f"forbidden without a reason that is told: it {CONSEQUENCE['warning']}"
    what = hazard if hazard != "other" else "what is told"
    return f"{_quoted(talk, deciding)}: {what} {CONSEQUENCE[signal]}"


def reason_marked(talk: Talk, among: Sequence[HazardWord], signal: str, share: float) -> str:
    """The reason where the trained tagger decides, with its ``share`` of certainty, 0 to 1.

    ``among`` are the words in the warning that tell harm of that weight by the rules too; there may be none.
    """
    words = f"{_quoted(talk, among)}; " if among else ""
    return f"{words}as the trained tagger reads it ({share:.2f} sure), it {CONSEQUENCE[signal]}"


def _quoted(talk: Talk, words: Sequence[HazardWord]) -> str:
    said = [talk.transcript.text(talk.word(w.start), talk.word(w.end - 1)).strip(".,;:?!") for w in words]
    return " and ".join(f"“{text}”" for text in list(dict.fromkeys(said))[:_MOST])
