"""A script spoken: one line of sound and the second at which every sentence starts and ends."""

from dataclasses import dataclass

import numpy as np

from maker.script import Cue, Script
from maker.voices import SAMPLE_RATE_HZ, Sound, Voice

LEAD_IN_S = 0.8
TAIL_S = 1.2
PAUSE_IN_TURN_S = (0.22, 0.38)
PAUSE_BETWEEN_TURNS_S = (0.38, 0.75)

Span = tuple[float, float]


@dataclass(frozen=True)
class SpokenCue:
    """A cue with the time range of each of its sentences, in seconds from the start of the recording."""

    cue: Cue
    sentences_s: tuple[Span, ...]

    @property
    def span_s(self) -> Span:
        """From the first to the last sound of the cue."""
        return self.sentences_s[0][0], self.sentences_s[-1][1]

    def quote_span_s(self, quote: str) -> Span:
        """The sentences that hold the quote, as one range."""
        first, last = self.cue.sentences_of(quote)
        return self.sentences_s[first][0], self.sentences_s[last][1]


@dataclass(frozen=True)
class Talk:
    """Clean speech of a whole script."""

    script: Script
    cues: tuple[SpokenCue, ...]
    speech: Sound


def speak(script: Script, voices: dict[str, Voice]) -> Talk:
    """Every sentence is spoken alone and laid on the line, so its times are known and not estimated."""
    rng = np.random.default_rng(11)
    parts: list[Sound] = [_silence(LEAD_IN_S)]
    at = len(parts[0])
    spoken = []
    for cue in script.cues:
        spans = []
        for sentence in cue.sentences:
            sound = voices[script.voices[cue.speaker]].say(sentence)
            spans.append((round(at / SAMPLE_RATE_HZ, 3), round((at + len(sound)) / SAMPLE_RATE_HZ, 3)))
            last_of_turn = sentence is cue.sentences[-1]
            pause = _silence(rng.uniform(*(PAUSE_BETWEEN_TURNS_S if last_of_turn else PAUSE_IN_TURN_S)))
            parts += [sound, pause]
            at += len(sound) + len(pause)
        spoken.append(SpokenCue(cue, tuple(spans)))
    parts.append(_silence(TAIL_S))
    return Talk(script, tuple(spoken), np.concatenate(parts))


def _silence(seconds: float) -> Sound:
    return np.zeros(int(seconds * SAMPLE_RATE_HZ), np.float32)
