"""One small talk, and the pieces of a draft about it."""

import pytest

from vouchbook.models.draft import Draft, ReadBy
from vouchbook.models.evidence import quote
from vouchbook.models.items import StepItem
from vouchbook.models.phases import Phase
from vouchbook.models.quantities import Quantity
from vouchbook.models.transcript import Line, Source, Transcript, UnheardStretch, Word

SAID = "Take the three ten-millimetre bolts out here. Never cut the orange cable behind the seat."


@pytest.fixture
def transcript() -> Transcript:
    """Fifteen words, half a second each, in two lines of one captions file."""
    words = tuple(
        Word(text=text, start_s=n / 2, end_s=n / 2 + 0.5, probability=0.9, voice="Dov")
        for n, text in enumerate(SAID.split())
    )
    return Transcript(
        sources=(Source(name="talk.vtt", sha256="0" * 64, duration_s=7.5, kind="captions"),),
        made_by="by hand",
        duration_s=7.5,
        words=words,
        lines=(
            Line(first_word=0, last_word=6, start_s=0, end_s=3.5),
            Line(first_word=7, last_word=14, start_s=3.5, end_s=7.5),
        ),
        unheard=(UnheardStretch(start_s=7, end_s=7.5, reason="no words"),),
        notes=("One caption was empty and is left out.",),
    )


@pytest.fixture
def ten_mm() -> Quantity:
    return Quantity(normal="10 mm", dimension="length", value=10, unit="mm", said="ten-millimetre")


@pytest.fixture
def three() -> Quantity:
    return Quantity(normal="3", dimension="count", value=3, said="three")


@pytest.fixture
def step(transcript: Transcript, ten_mm: Quantity, three: Quantity) -> StepItem:
    fields = {
        "id": "i1",
        "phase": Phase.DISABLE,
        "evidence": (quote(transcript, 0, 6),),
        "confidence": 0.8,
        "reasons": ("an order, complete",),
        "action": "take out",
        "object": "bolts",
        "size_said": ten_mm,
        "count_said": three,
    }
    return StepItem.model_validate(fields, context={"transcript": transcript})


@pytest.fixture
def draft(transcript: Transcript, step: StepItem, ten_mm: Quantity) -> Draft:
    """One item of each kind and two open questions."""
    common = {"phase": "disable", "confidence": 0.7, "reasons": ("said once",), "evidence": (quote(transcript, 7, 14),)}
    shock = {"text": "orange cable", "hazard": "electric shock", "signal": "danger", "prohibits": "cutting the cable"}
    shock |= {"signal_reason": "cutting live high voltage will kill"}
    pointer = {"kind": "pointer", "start": 3, "end": 3.5, "about": "out here", "ask": "Which bolts are these?"}
    uncovered = {"kind": "uncovered", "start": 0, "end": 7.5, "about": "fire", "ask": "What does it do in a fire?"}
    fields = {
        "subject": "battery-electric van",
        "read_by": ReadBy(vouchbook="0.1.0", language_model="small 3.8.0", packs=("road_vehicles",)),
        "items": (
            step,
            {"id": "i2", "kind": "tool", "name": "socket", "size_said": ten_mm, "implied": True}
            | common
            | {"evidence": (quote(transcript, 2, 4),)},
            {"id": "i3", "kind": "warning"} | shock | common,
            {"id": "i4", "kind": "location", "part": "orange cable", "place": "behind the seat"} | common,
            {"id": "i5", "kind": "cue", "text": "the cable is orange"} | common,
        ),
        "open_questions": (
            {"id": "q1", "evidence": (quote(transcript, 5, 6),)} | pointer,
            {"id": "q2", "phase": "fire"} | uncovered,
        ),
        "transcript": transcript,
    }
    return Draft.model_validate(fields, context={"transcript": transcript})
