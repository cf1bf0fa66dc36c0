"""Where each cue of a talk is said in the sound, and everything else that has seconds moved there."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from vouchbook.models.transcript import Transcript

Range = tuple[float, float]
MOVED_LISTS = ("items", "pointers", "borrowed", "conflicts")
"""Lists of a gold file whose entries have their seconds in ``at``."""


@dataclass(frozen=True, slots=True)
class SpokenCue:
    """Seconds of one cue: in the captions, and in the sound that says it."""

    captioned: Range
    spoken: Range


class Timeline:
    """The clock of the captions moved to the clock of the sound: straight inside a cue, and between two cues."""

    def __init__(self, cues: Iterable[SpokenCue]) -> None:
        """Cues in the order in which they are said. A cue that starts before the end of the last keeps its end only."""
        self._from_s, self._to_s = [0.0], [0.0]
        for cue in cues:
            for captioned_s, spoken_s in zip(cue.captioned, cue.spoken, strict=True):
                if captioned_s > self._from_s[-1]:
                    self._from_s.append(captioned_s)
                    self._to_s.append(spoken_s)

    def moved(self, captioned_s: float) -> float:
        """The second of the sound; behind the last cue time runs on as in the captions."""
        if captioned_s > self._from_s[-1]:
            return round(self._to_s[-1] + captioned_s - self._from_s[-1], 3)
        return round(float(np.interp(captioned_s, self._from_s, self._to_s)), 3)


def moved_gold(gold: dict[str, Any], timeline: Timeline) -> dict[str, Any]:
    """A copy of ``gold`` with the seconds of what is scored on the clock of the sound."""
    lists = {
        name: [{**entry, "at": _moved(entry["at"], timeline)} for entry in gold[name]]
        for name in MOVED_LISTS
        if name in gold
    }
    chatter = {"chatter": _moved(gold["chatter"], timeline)} if "chatter" in gold else {}
    return {**gold, **lists, **chatter}


def moved_transcript(transcript: Transcript, timeline: Timeline) -> Transcript:
    """The same words and lines on the clock of the sound."""

    def seconds(start_s: float, end_s: float) -> dict[str, float]:
        return {"start_s": timeline.moved(start_s), "end_s": timeline.moved(end_s)}

    return transcript.model_copy(
        update={
            "duration_s": timeline.moved(transcript.duration_s),
            "words": tuple(w.model_copy(update=seconds(w.start_s, w.end_s)) for w in transcript.words),
            "lines": tuple(n.model_copy(update=seconds(n.start_s, n.end_s)) for n in transcript.lines),
        }
    )


def _moved(seconds: float | Sequence[Any], timeline: Timeline) -> Any:  # noqa: ANN401  as nested as what it gets
    if isinstance(seconds, (int, float)):
        return timeline.moved(seconds)
    return [_moved(part, timeline) for part in seconds]
