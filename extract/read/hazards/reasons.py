"""Why a warning has its signal word: the words that tell the harm, and the definition that they meet."""

from collections.abc import Mapping, Sequence

from vouchbook.extract.read.hazards.judge import HazardWord
from vouchbook.extract.read.tags import NOUNS
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


def reason_told(
    talk: Talk, deciding: Sequence[HazardWord], hazard: Hazard, signal: Signal, own: tuple[int, int]
) -> str:
    """The reason where words of the talk decide: "“under pressure”: pressure release could kill or maim …".

    ``own`` are the tokens of the warning; words outside of them are told as such.
    """
    if not deciding:
        return f"forbidden without a reason that is told: it {CONSEQUENCE['warning']}"
    what = hazard if hazard != "other" else "what is told"
    beside = "" if any(own[0] <= word.start < own[1] for word in deciding) else ", told beside it"
    return f"{_quoted(talk, deciding)}{beside}: {what} {CONSEQUENCE[signal]}"


def reason_marked(talk: Talk, among: Sequence[HazardWord], signal: str, share: float) -> str:
    """The reason where the tagger decides, in a reviewer's words, with its ``share`` of certainty, 0 to 1.

    ``among`` are the words in the warning that tell harm of that weight by the rules too; there may be none.
    """
    words = _quoted(talk, among) if among else "no single word tells the harm"
    return f"{words}; judged by the talk around it ({share:.2f} sure), it {CONSEQUENCE[signal]}"


def _quoted(talk: Talk, words: Sequence[HazardWord]) -> str:
    spans = ((talk.word(w.start), talk.word(_end(talk, w) - 1)) for w in words)
    said = [talk.transcript.text(first, last).strip(".,;:?!") for first, last in spans]
    return " and ".join(f"“{text}”" for text in list(dict.fromkeys(said))[:_MOST])


def _end(talk: Talk, word: HazardWord) -> int:
    """The end of the words, carried on over the thing that they describe: "the orange" is "the orange cables"."""
    end = word.end
    while end < len(talk.doc) and talk.doc[end].tag_ in NOUNS and not talk.doc[end].is_sent_start:
        end += 1
    return end
