"""kill -9 at any statement, commit and touch of a file, in the midst of much work: the library against a model.

What was acknowledged is there, once; of what was not, at most one more; all else is as if it had never begun.
"""

import json
import select as ready
import subprocess
import sys
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from random import Random
from typing import Any

import pytest
from sqlalchemy import select

from vouchbook.library.audit.journal import entries, verify
from vouchbook.library.editions.shelf import altered
from vouchbook.library.keeping.backup import restore
from vouchbook.library.keeping.check import check
from vouchbook.library.open import Library, open_library
from vouchbook.library.review.cases import Drafted
from vouchbook.library.review.witness import altered_in_draft
from vouchbook.library.store.tables import DraftRow, EditionRow, ItemRow, VisitMediumRow, VisitRow
from vouchbook.library.visits.visits import new_key
from vouchbook.models.draft import Draft
from vouchbook.models.people import THE_LIBRARY, Actor

Act = dict[str, Any]
Taken = tuple[tuple[int, str], ...]
"""The decisions that stand on one item: by whom, and what."""
CUE, DANGER, DOUBTFUL = "i1", "i2", "i3"
RUNA, SVEN = 3, 4
PLAN = ((CUE, RUNA, "confirmed"), (DANGER, RUNA, "rejected"), (DANGER, SVEN, "rejected"), (DOUBTFUL, SVEN, "rejected"))
"""What decides a draft fully; a danger warning needs two."""
WHY = {"confirmed": None, "rejected": "unsafe"}
OFTEN = {"add": 2, "decide": 8, "undo": 2, "publish": 8, "backup": 3}
LIVES, MOST_POINTS, MOST_S = 20, (40, 240), 60.0


@dataclass(frozen=True)
class Known:
    """One visit: the decisions that stand on each item of its draft, and whether it is published."""

    taken: Mapping[str, Taken]
    is_published: bool = False


Model = dict[str, Known]
"""What must be in the library: its visits, by their keys."""


def after(model: Model, act: Act) -> Model:
    """The model when ``act`` has come about."""
    match act:
        case {"act": "add", "key": key}:
            return {**model, key: Known({CUE: (), DANGER: (), DOUBTFUL: ()})}
        case {"act": "publish", "key": key}:
            return {**model, key: replace(model[key], is_published=True)}
        case {"act": "decide", "key": key, "item": item, "who": who, "verdict": verdict}:
            taken = (*model[key].taken[item], (who, verdict))
        case {"act": "undo", "key": key, "item": item, "who": who}:
            taken = tuple(one for one in model[key].taken[item] if one[0] != who)
        case _:
            return model
    return {**model, key: replace(model[key], taken={**model[key].taken, item: taken})}


def state_of(item: str, taken: Taken) -> str:
    if not taken:
        return "open"
    return "waits for a second person" if item == DANGER and len(taken) < 2 else taken[0][1]


def found_in(library: Library) -> Model:
    """What is in the library, in the words of the model. What it keeps twice must say the same twice."""
    model: Model = {}
    with library.reading() as session:
        told = [(entry.act, entry.what, entry.what_id) for entry in entries(session)]
        for draft in session.scalars(select(DraftRow)):
            items = Drafted(session, draft.id).items()
            key = session.get_one(VisitRow, draft.visit_id).key
            assert key not in model
            standing = {one.case.key: [by for by in one.decisions if not by.undone_at] for one in items}
            taken = {item: tuple((by.by, by.verdict) for by in mine) for item, mine in standing.items()}
            model[key] = Known(taken, draft.state == "published")
            for item in items:
                assert item.state.name == state_of(item.case.key, taken[item.case.key])
                assert session.get_one(ItemRow, item.item_id).state == item.state.name
                changes = len(item.decisions) + sum(by.undone_at is not None for by in item.decisions)
                assert [number for _, what, number in told if what == "item"].count(str(item.item_id)) == changes
            assert list(altered_in_draft(session, draft.id)) == []
        assert sorted(session.scalars(select(VisitRow.key))) == sorted(model)
        assert len(session.scalars(select(VisitMediumRow.id)).all()) == len(model)
        editions = list(session.scalars(select(EditionRow.draft_id)))
        assert len(editions) == len(set(editions)) == [act for act, _, _ in told].count("published")
        assert len(editions) == sum(known.is_published for known in model.values())
        assert (verify(session), list(altered(session))) == (None, [])
    return model


class Mortals:
    """A process that forks one life after another, all of them on one library."""

    def __init__(self, where: str, media: Path, draft: Draft, folder: Path) -> None:
        self.where, self.media, self.folder = where, media, folder
        (folder / "draft.json").write_text(draft.to_json())
        command = [sys.executable, str(Path(__file__).with_name("mortal.py"))]
        self.process = subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, bufsize=0)
        assert self._answer() == "ready"

    def live(self, acts: list[Act], dies_at: int) -> tuple[int, bool]:
        """One life, killed at a point or never (0): how many acts it acknowledged, and whether it was killed."""
        life = {
            "where": self.where, "media": str(self.media), "draft": str(self.folder / "draft.json"),
            "around": str(self.folder), "acts": acts, "dies_at": dies_at,
        }  # fmt: skip
        assert self.process.stdin is not None
        self.process.stdin.write(json.dumps(life).encode() + b"\n")
        said = list(iter(self._answer, "over"))
        assert said[-1:] in (["killed"], ["alive"]), "it failed of itself"
        return said.count("done"), said[-1] == "killed"

    def _answer(self) -> str:
        assert self.process.stdout is not None
        assert ready.select([self.process.stdout], [], [], MOST_S)[0], "no answer for a minute"
        return self.process.stdout.readline().decode().rstrip("\n")


@pytest.fixture
def mortals(
    library: Library, staff: dict[str, Actor], where: str, media: Path, draft: Draft, tmp_path: Path
) -> Iterator[Mortals]:
    assert staff
    library.close()
    made = Mortals(where, media, draft.model_copy(update={"open_questions": ()}), tmp_path)
    yield made
    made.process.kill()
    made.process.communicate(timeout=MOST_S)


def some_acts(model: Model, chance: Random, folder: Path, number: int) -> list[Act]:
    """What can be done one after another, beginning with what ``model`` says."""
    acts: list[Act] = []
    for place in range(5):
        may: list[Act] = [{"act": "add", "key": new_key(), "film": str(folder / "film.mp4")}]
        for key, known in model.items():
            if known.is_published:
                continue
            left = [one for one in PLAN if (one[1], one[2]) not in known.taken[one[0]]]
            may += [
                {"act": "decide", "key": key, "item": item, "who": who, "verdict": said, "reason": WHY[said]}
                for item, who, said in left
            ]
            taken = [(item, by) for item, those in known.taken.items() for by, _ in those]
            may += [{"act": "undo", "key": key, "item": item, "who": who} for item, who in taken[:1]]
            may += [] if left else [{"act": "publish", "key": key}]
        if not any(act["act"] == "backup" for act in acts):
            may.append({"act": "backup", "folder": str(folder / f"backup-{number}-{place}")})
        kinds = sorted({act["act"] for act in may})
        turn = sorted(OFTEN)[number % len(OFTEN)]
        kind = turn if place == 0 and turn in kinds else chance.choices(kinds, [OFTEN[one] for one in kinds])[0]
        acts.append(next(act for act in may if act["act"] == kind))
        model = after(model, acts[-1])
    return acts


def restored(backup: Path, where: Path) -> Model:
    assert restore(backup, where).wrong() == ()
    with open_library(where) as library:
        return found_in(library)


def test_a_library_that_is_killed_again_and_again_is_as_it_was_acknowledged(mortals: Mortals, tmp_path: Path) -> None:
    chance, model, kills = Random(7), Model(), 0  # noqa: S311
    came_about: Counter[str] = Counter()
    cut: Counter[str] = Counter()
    for number in range(LIVES):
        acts = some_acts(model, chance, tmp_path, number)
        dies_at = chance.randrange(1, MOST_POINTS[number % 2]) if number % 9 else 0
        done, was_killed = mortals.live(acts, dies_at)
        kills += was_killed
        for act in acts[:done]:
            model = after(model, act)
            came_about[act["act"]] += 1
            if act["act"] == "backup":
                assert restored(Path(act["folder"]), tmp_path / f"restored-{number}") == model
        with open_library(mortals.where, media=mortals.media) as library:
            with library.work(THE_LIBRARY):  # what was killed while the server committed has come to its end
                pass
            found, report = found_in(library), check(library)
        assert report.wrong() == ()
        assert sum(len(finding.odd) for finding in report.findings) <= kills
        cut.update(act["act"] for act in acts[done : done + 1])
        assert found in [model, *(after(model, act) for act in acts[done : done + 1])]
        model = found
    assert set(came_about) == set(cut) == {"add", "decide", "undo", "publish", "backup"}, (came_about, cut)
    assert kills > LIVES / 2
