"""A draft made by hand, so that what is printed can be tested without hearing or reading anything."""

import io
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from vouchbook.library.open import open_library
from vouchbook.library.people.people import add_person
from vouchbook.library.people.tokens import make_token
from vouchbook.models.draft import Draft
from vouchbook.models.evidence import quote
from vouchbook.models.people import THE_LIBRARY, Role, actor_of
from vouchbook.models.transcript import Line, Source, Transcript, Word

TALK = (
    "There is a yellow badge on the tailgate.",
    "Quiet is not off, it can drive away without a sound.",
    "So chock one rear wheel, front and back.",
    "Take the two ten-millimetre bolts out of the cover.",
    "Under it is the service plug.",
    "Never cut the orange cable, it kills.",
    "Pull the plug out here.",
    "And before all that, put the gloves on.",
)
Items = Callable[..., Draft]
Run = Callable[..., tuple[int, str, str]]
Reviews = Callable[..., str]
STAFF: dict[str, Role] = {"ada": "administrator", "olin": "officer", "runa": "reviewer", "sven": "reviewer",
                          "alva": "archivist"}  # fmt: skip
ADD = ("--kind", "van", "--maker", "Halden", "--model", "V2", "--held", "2031-03-01")


def transcript_of(lines: tuple[str, ...], seconds_a_line: float = 10) -> Transcript:
    """Each line fills its seconds; the words of a line share them evenly."""
    words: list[Word] = []
    spans: list[Line] = []
    for number, text in enumerate(lines):
        start, first, parts = number * seconds_a_line, len(words), text.split()
        for index, part in enumerate(parts):
            word_s = (seconds_a_line - 1) / len(parts)
            begin = start + index * word_s
            words.append(Word(text=part, start_s=begin, end_s=begin + word_s, probability=0.9, voice="Dov"))
        end = start + seconds_a_line - 1
        spans.append(Line(first_word=first, last_word=len(words) - 1, start_s=start, end_s=end))
    source = Source(name="van.ogg", sha256="a" * 64, duration_s=len(lines) * seconds_a_line, kind="recording")
    duration_s = len(lines) * seconds_a_line
    return Transcript(sources=(source,), duration_s=duration_s, words=tuple(words), lines=tuple(spans))


@pytest.fixture
def transcript() -> Transcript:
    return transcript_of(TALK)


@pytest.fixture
def draft_with(transcript: Transcript) -> Items:
    """Makes a draft of items and questions given as dicts; ``line`` names the line of the talk that says each."""

    def make(items: list[dict[str, Any]], questions: list[dict[str, Any]] | None = None) -> Draft:
        def supported(entry: dict[str, Any]) -> dict[str, Any]:
            line = transcript.lines[entry["line"]]
            evidence = quote(transcript, line.first_word, line.last_word)
            return {key: value for key, value in entry.items() if key != "line"} | {"evidence": [evidence]}

        common = {"confidence": 0.9, "reasons": ["an order"]}
        fields = {
            "subject": "delivery van",
            "read_by": {"vouchbook": "0.1.0", "language_model": "small", "packs": ["road_vehicles"]},
            "items": [common | {"id": f"i{n}"} | supported(entry) for n, entry in enumerate(items, 1)],
            "open_questions": [
                {"id": f"q{n}", "start": 0, "end": 80} | (supported(entry) if "line" in entry else entry)
                for n, entry in enumerate(questions or [], 1)
            ],
            "transcript": transcript,
        }
        return Draft.model_validate(fields, context={"transcript": transcript})

    return make


@pytest.fixture
def draft(draft_with: Items) -> Draft:
    """Gloves first though said last, a danger inside the disconnect, one pointer and one topic left out."""
    bolts = {
        "size_said": {"normal": "10 mm", "dimension": "length", "value": 10, "unit": "mm", "said": "ten-millimetre"}
    }
    two = {"count_said": {"normal": "2", "dimension": "count", "value": 2, "said": "two"}}
    shock: dict[str, Any] = {
        "text": "orange cable kills",
        "hazard": "electric shock",
        "signal": "danger",
        "prohibits": "cutting it",
    }
    shock |= {"signal_reason": "“kills”: electric shock will kill or maim if it is not avoided", "guards": ["i8"]}
    moving: dict[str, Any] = {"text": "it drives without a sound", "hazard": "unexpected movement", "signal": "warning"}
    moving |= {"signal_reason": "“without a sound”: it could kill or maim if it is not avoided", "guards": ["i3"]}
    return draft_with(
        [
            {"kind": "step", "phase": "disable", "line": 7, "action": "put on", "object": "gloves"},
            {"kind": "warning", "phase": "immobilise", "line": 1} | moving,
            {"kind": "step", "phase": "immobilise", "line": 2, "action": "chock", "object": "rear wheel"},
            {"kind": "step", "phase": "disable", "line": 3, "action": "take out", "object": "bolts"} | bolts | two,
            {"kind": "tool", "phase": "disable", "line": 3, "name": "socket", "fastener": "bolts", "implied": True}
            | bolts
            | two,
            {"kind": "location", "phase": "disable", "line": 4, "part": "service plug", "place": "under the cover"},
            {"kind": "warning", "phase": "disable", "line": 5} | shock,
            {"kind": "step", "phase": "disable", "line": 6, "action": "pull", "object": "plug", "confidence": 0.5},
            {"kind": "cue", "phase": "identify", "line": 0, "text": "yellow badge on the tailgate means electric"},
        ],
        [
            {"kind": "uncovered", "phase": "fire", "about": "fire", "ask": "What does it do in a fire?"},
            {"kind": "pointer", "line": 6, "start": 60, "about": "here", "ask": "Which plug is it?"},
        ],
    )


@pytest.fixture
def tokens(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> dict[str, str]:
    """A library with its people; their tokens by login."""
    monkeypatch.setenv("VOUCHBOOK_LIBRARY", str(tmp_path / "library"))
    made: dict[str, str] = {}
    with open_library(tmp_path / "library", may_make=True) as library:
        for login, role in STAFF.items():
            with library.work(THE_LIBRARY) as work:
                person = add_person(work, login, login.capitalize(), [role])
            with library.work(actor_of(person)) as work:
                made[login] = make_token(work, "test")[1]
    return made


@pytest.fixture
def brings(run: Run, tokens: dict[str, str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Callable[..., None]:
    """Adds a draft, with files and further options."""

    def add(draft: Draft, *files: Path | str) -> None:
        monkeypatch.setenv("VOUCHBOOK_TOKEN", tokens["olin"])
        path = tmp_path / "talk.draft.json"
        path.write_text(draft.to_json(), encoding="utf-8")
        code, _, err = run("add", path, *files, *ADD)
        assert (code, err) == (0, "")

    return add


@pytest.fixture
def reviews(run: Run, tokens: dict[str, str], monkeypatch: pytest.MonkeyPatch) -> Reviews:
    """What somebody is told who types ``keys``, one line for each part between bars."""

    def review(who: str, keys: str, *arguments: object) -> str:
        monkeypatch.setenv("VOUCHBOOK_TOKEN", tokens[who])
        monkeypatch.setattr("sys.stdin", io.StringIO("".join(f"{key}\n" for key in keys.split("|"))))
        code, out, err = run("review", *arguments)
        assert (code, err) == (0, "")
        return out

    return review
