"""kill -9 at every point of every kind of work, and at any moment of much of it: the library against a model.

What was acknowledged is there, once; of what was not, at most one more; all else is as if it had never begun.
"""

import json
import subprocess
import sys
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from hashlib import sha256
from itertools import count
from pathlib import Path
from random import Random
from typing import Any, NamedTuple

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
ON_SQLITE = pytest.mark.parametrize("where", ["sqlite"], indirect=True)



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


class Life(NamedTuple):
    """How many acts were acknowledged, whether it came to its own end, and the points that it passed."""

    done: int
    is_over: bool
    points: tuple[str, ...]


class Mortals:
    """A process that forks one life after another, all of them on one library."""

    def __init__(self, where: str, media: Path, draft: Draft, folder: Path) -> None:
        self.where, self.media, self.folder = where, media, folder
        (folder / "draft.json").write_text(draft.to_json())
        self._process = subprocess.Popen(
            [sys.executable, str(Path(__file__).with_name("mortal.py"))],
            stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True,
        )  # fmt: skip
        assert self._answer() == ["ready"]

    def live(self, acts: list[Act], *, dies_at: int = 0, after_s: float | None = None) -> Life:
        """One life; it is killed at a point, or after a while, or not at all."""
        life = {
            "where": self.where, "media": str(self.media), "draft": str(self.folder / "draft.json"),
            "around": str(self.folder), "acts": acts, "dies_at": dies_at, "after_s": after_s,
        }  # fmt: skip
        assert self._process.stdin is not None
        self._process.stdin.write(json.dumps(life) + "\n")
        self._process.stdin.flush()
        said = list(iter(self._answer, ["over"]))
        ends = [one for one in said if one[0] == "end"]
        is_over = any(how == "alive" for _, how, *_ in ends)
        return Life(said.count(["done"]), is_over, tuple(point for _, _, *points in ends for point in points))

    def close(self) -> None:
        assert self._process.stdin is not None
        assert self._process.stdout is not None
        self._process.stdin.close()
        self._process.wait(60)
        self._process.stdout.close()

    def _answer(self) -> list[str]:
        assert self._process.stdout is not None
        line = self._process.stdout.readline()
        assert line, "the process that forks has ended"
        return line.rstrip("\n").split("\t")


@pytest.fixture
def mortals(library: Library, staff: dict[str, Actor], where: str, media: Path, draft: Draft, tmp_path: Path) -> Iterator[Mortals]:
    assert staff
    library.close()
    made = Mortals(where, media, draft.model_copy(update={"open_questions": ()}), tmp_path)
    yield made
    made.close()


class Watched:
    """The library and its model, from one kill to the next."""

    def __init__(self, mortals: Mortals) -> None:
        self.mortals, self.model = mortals, Model()
        self.backup, self.backed_up = mortals.folder / "backup", Model()
        self._restored = count()

    def live(self, acts: list[Act], **fate: Any) -> Life:
        """One life, after which the library is opened anew and must be as the model says."""
        life = self.mortals.live(acts, **fate)
        assert life.is_over == (life.done == len(acts)) or life.done == len(acts)
        for act in acts[: life.done]:
            self._came_about(act)
        perhaps = acts[life.done : life.done + 1]
        with open_library(self.mortals.where, media=self.mortals.media) as library:
            with library.work(THE_LIBRARY):  # whoever was killed while the server committed has come to an end
                pass
            found = found_in(library)
            report = check(library)
        assert (report.wrong(), _halves(self.mortals.media)) == ((), [])
        assert sum(len(finding.odd) for finding in report.findings) <= 1
        if found != self.model:
            assert [after(self.model, act) for act in perhaps] == [found], life.points[-1:]
            self._came_about(perhaps[0])
        if any(act["act"] == "backup" for act in perhaps):
            self.restores()
        return life

    def restores(self) -> None:
        """The backup gives the library as it was at the last one that was acknowledged, or as it was at this one."""
        if self.backup.exists() or self.backed_up:
            where = self.mortals.folder / f"restored-{next(self._restored)}"
            assert restore(self.backup, where).wrong() == ()
            with open_library(where) as library:
                assert found_in(library) in (self.backed_up, self.model)

    def _came_about(self, act: Act) -> None:
        self.model = after(self.model, act)
        if act["act"] == "backup":
            self.backed_up = self.model


def _halves(media: Path) -> list[Path]:
    """The media that are not what their name says."""
    return [
        path for path in media.glob("??/*") if path.parent.name + path.name != sha256(path.read_bytes()).hexdigest()
    ]


@pytest.fixture
def watched(mortals: Mortals) -> Watched:
    return Watched(mortals)


def add(watched: Watched) -> Act:
    return {"act": "add", "key": new_key(), "film": str(watched.mortals.folder / "film.mp4")}


def backup(watched: Watched) -> Act:
    return {"act": "backup", "folder": str(watched.backup)}


def decisions(key: str) -> list[Act]:
    return [{"act": "decide", "key": key, "item": item, "who": who, "verdict": verdict} for item, who, verdict in PLAN]


@pytest.mark.parametrize("kind", ["add", "decide", "undo", "publish"])
def test_killed_at_any_point_of_it_all_of_it_is_there_or_nothing(watched: Watched, *, kind: str) -> None:
    """One life for each point, until one comes to its end. What has come about is done anew, on another visit."""
    states: list[bool] = []
    kinds: set[str] = set()
    for point in count(1):
        key, act = ready(watched, kind)
        before = watched.model
        life = watched.live([act], dies_at=point)
        states.append(watched.model != before)
        kinds.update(life.points)
        if life.is_over:
            break
    print(kind, len(states), kinds)
    assert states == sorted(states)
    assert states[0] is False
    assert {"before INSERT", "after INSERT", "before COMMIT", "after the commit"} <= kinds


def ready(watched: Watched, kind: str) -> tuple[str, Act]:
    """An act of that kind that can be done now; what it needs is done before, unharmed."""
    if kind == "add":
        act = add(watched)
        return act["key"], act
    wanted = {"decide": 2, "undo": 3, "publish": 4}[kind]
    for key, known in watched.model.items():
        if not known.is_published and sum(map(len, known.taken.values())) == wanted:
            break
    else:
        first = add(watched)
        key = first["key"]
        assert watched.mortals.live([first, *decisions(key)[:wanted]]).is_over
        for act in (first, *decisions(key)[:wanted]):
            watched.model = after(watched.model, act)
    if kind == "decide":
        return key, decisions(key)[wanted]
    if kind == "undo":
        return key, {"act": "undo", "key": key, "item": DANGER, "who": SVEN}
    return key, {"act": "publish", "key": key}
