"""What the run of many reviewers calls lost, in libraries where we know what is kept."""

from datetime import UTC, datetime
from pathlib import Path

import pytest
from library_talks import walk
from one_reviewer import Acknowledged
from reviewers import lost

from vouchbook.extract.run import Drafting, transcript_of
from vouchbook.library.open import open_library
from vouchbook.library.people.people import add_person
from vouchbook.library.review.decide import decide
from vouchbook.library.store.tables import DecisionRow
from vouchbook.library.visits.bring import bring
from vouchbook.models.decisions import Judgement
from vouchbook.models.people import THE_LIBRARY, actor_of

TALK = """WEBVTT

00:00:01.000 --> 00:00:04.000
<v Dov>Open the hatch. Pull the red lever.
"""


@pytest.fixture
def kept(tmp_path: Path) -> Acknowledged:
    """A library with one decision, as its server would have acknowledged it."""
    talk = tmp_path / "talk.vtt"
    talk.write_text(TALK, encoding="utf-8")
    document = Drafting().draft(transcript_of([talk])).model_dump(mode="json")
    visit, draft, _ = walk([document], 1)
    with open_library(str(tmp_path / "library"), media=tmp_path / "media") as library:
        with library.work(THE_LIBRARY) as work:
            officer = actor_of(add_person(work, "olin", "Olin", ["officer"]))
            reviewer = actor_of(add_person(work, "runa", "Runa", ["reviewer"]))
        bring(library, officer, visit, draft)
        with library.work(reviewer) as work:
            taken = decide(work, 1, 1, Judgement(verdict="rejected", reason="not a step")).decisions[-1]
    return Acknowledged("decision", 1, taken.by, taken.at, taken.verdict)


def test_nothing_is_lost_where_all_is_kept(kept: Acknowledged, tmp_path: Path) -> None:
    assert lost(str(tmp_path / "library"), tmp_path / "media", [kept]) == []


def test_what_was_acknowledged_and_is_not_there_is_lost(kept: Acknowledged, tmp_path: Path) -> None:
    other = kept._replace(at=datetime(2031, 3, 1, tzinfo=UTC))
    (told,) = lost(str(tmp_path / "library"), tmp_path / "media", [kept, other])
    assert told.startswith("acknowledged 1 times, kept 0 times")


def test_what_is_there_once_and_was_acknowledged_twice_is_told(kept: Acknowledged, tmp_path: Path) -> None:
    (told,) = lost(str(tmp_path / "library"), tmp_path / "media", [kept, kept])
    assert told.startswith("acknowledged 2 times, kept 1 times")


def test_what_nobody_was_told_of_is_told(kept: Acknowledged, tmp_path: Path) -> None:
    (told,) = lost(str(tmp_path / "library"), tmp_path / "media", [])
    assert told.startswith(f"kept, but nobody was told: {kept}")


def test_a_decision_without_its_entry_is_told(kept: Acknowledged, tmp_path: Path) -> None:
    where, media = str(tmp_path / "library"), tmp_path / "media"
    with open_library(where, media=media) as library, library.work(THE_LIBRARY) as work:
        fields = {"item_id": 1, "person_id": kept.person, "at": kept.at, "verdict": kept.told, "reason": "other"}
        work.session.add(DecisionRow(**fields, note="behind the back of the journal"))
        work.journal("tested", "item", 1)
    found = lost(where, media, [kept, kept])
    assert [one.split(" for ")[0] for one in found] == ["0 journal entries"]
