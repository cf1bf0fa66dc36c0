from collections.abc import Mapping
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any, Protocol

import pytest
from sqlalchemy import func, select

from vouchbook.library.audit.journal import verify
from vouchbook.library.open import Library
from vouchbook.library.people.people import set_roles
from vouchbook.library.queue.kind import Kind, Told, Write
from vouchbook.library.queue.kinds import INDEX, KINDS, LISTEN
from vouchbook.library.queue.run import do_next
from vouchbook.library.queue.tasks import LEASE, MOST_ATTEMPTS, Task, claim, enqueue, finish, hold, retry, task
from vouchbook.library.store.tables import DraftRow
from vouchbook.library.visits.media import attach
from vouchbook.library.visits.visits import add_visit
from vouchbook.models.errors import ConflictError, NotAllowedError, StoreError
from vouchbook.models.people import THE_LIBRARY, Actor
from vouchbook.models.visits import Visit

Staff = dict[str, Actor]
CAPTIONS = b"WEBVTT\n\n00:01.000 --> 00:05.000\nRemove the two ten millimetre bolts from the cover.\n"


class Wound(Protocol):
    """The clock of the tests: it goes where it is put."""

    at: datetime


def ask(library: Library, who: Actor, kind: str = INDEX, key: str | None = None, **arguments: object) -> int:
    with library.work(who) as work:
        return enqueue(work, kind, arguments, key).id


def look(library: Library, number: int) -> Task:
    with library.reading() as session:
        return task(session, number)


def failing(_library: Library, _arguments: Mapping[str, Any], _told: Told) -> Write:
    raise StoreError("disk", "busy", "Try again")


def defect(_library: Library, _arguments: Mapping[str, Any], _told: Told) -> Write:
    raise ZeroDivisionError


def test_a_task_is_done_once_and_keeps_its_result(library: Library, staff: Staff) -> None:
    number = ask(library, staff["archivist"])
    assert do_next(library, "one")
    assert not do_next(library, "one")
    done = look(library, number)
    assert (done.state, done.progress, done.result, done.attempts) == ("done", 1.0, {"sentences": 0}, 1)


def test_the_same_key_is_the_same_task_until_it_is_over(library: Library, staff: Staff) -> None:
    first = ask(library, staff["archivist"], key="index")
    assert ask(library, staff["archivist"], key="index") == first
    assert do_next(library, "one")
    second = ask(library, staff["archivist"], key="index")
    assert second != first
    assert ask(library, staff["archivist"], key="index") == second
    assert ask(library, staff["archivist"]) != first
    assert ask(library, staff["archivist"]) != first


def test_what_is_claimed_is_free_again_after_its_lease(library: Library, staff: Staff, clock: Wound) -> None:
    number = ask(library, staff["archivist"])
    with library.work(THE_LIBRARY) as work:
        first = claim(work, "one")
    with library.work(THE_LIBRARY) as work:
        assert claim(work, "two") is None
    clock.at += LEASE
    with library.work(THE_LIBRARY) as work:
        second = claim(work, "two")
    assert first is not None
    assert second is not None
    assert second.id == first.id == number
    with library.work(THE_LIBRARY) as work:
        assert not hold(work, first, 0.5, "too late")
        assert not finish(work, first, {"by": "one"})
        assert finish(work, second, {"by": "two"})
    assert look(library, number).result == {"by": "two"}


def test_a_claim_that_is_held_lasts(library: Library, staff: Staff, clock: Wound) -> None:
    ask(library, staff["archivist"])
    with library.work(THE_LIBRARY) as work:
        claimed = claim(work, "one")
    assert claimed is not None
    for _ in range(3):
        clock.at += LEASE * 0.8
        with library.work(THE_LIBRARY) as work:
            assert hold(work, claimed, 0.5, "listening")
            assert claim(work, "two") is None


def test_a_clock_that_went_back_keeps_no_task(library: Library, staff: Staff, clock: Wound) -> None:
    ask(library, staff["archivist"])
    with library.work(THE_LIBRARY) as work:
        assert claim(work, "one") is not None
    clock.at -= timedelta(days=2)
    with library.work(THE_LIBRARY) as work:
        assert claim(work, "two") is not None


def test_what_never_ends_is_not_begun_for_ever(library: Library, staff: Staff, clock: Wound) -> None:
    number = ask(library, staff["archivist"])
    for attempt in range(MOST_ATTEMPTS):
        with library.work(THE_LIBRARY) as work:
            assert claim(work, f"worker {attempt}") is not None
        clock.at += LEASE
    with library.work(THE_LIBRARY) as work:
        assert claim(work, "another") is None
    assert look(library, number).state == "failed"
    assert "never ended" in look(library, number).message


@pytest.mark.parametrize(
    ("kind", "attempts", "message"),
    [
        pytest.param(failing, MOST_ATTEMPTS, "disk: busy. Try again.", id="what-may-pass-is-tried-again"),
        pytest.param(defect, 1, "a defect of Vouchbook (ZeroDivisionError); the log of the server tells more",
                     id="a-defect-ends-the-task-alone"),
    ],
)  # fmt: skip
def test_what_goes_wrong_ends_the_task_and_not_the_worker(
    library: Library, staff: Staff, kind: Kind, attempts: int, message: str
) -> None:
    number = ask(library, staff["archivist"], "wrong")
    while do_next(library, "one", kinds={"wrong": kind}):
        pass
    failed = look(library, number)
    assert (failed.state, failed.attempts, failed.message) == ("failed", attempts, message)
    with library.work(staff["archivist"]) as work:
        assert retry(work, number).state == "waiting"
    with library.work(staff["archivist"]) as work, pytest.raises(ConflictError, match="waiting"):
        retry(work, number)


def test_somebody_elses_task_is_begun_again_by_an_administrator_alone(library: Library, staff: Staff) -> None:
    number = ask(library, staff["archivist"], "unknown")
    for _ in range(MOST_ATTEMPTS):
        do_next(library, "one")
    assert "nobody here does" in look(library, number).message
    with pytest.raises(NotAllowedError), library.work(staff["officer"]) as work:
        retry(work, number)
    with library.work(staff["administrator"]) as work:
        assert retry(work, number).attempts == 0


def test_a_visit_with_captions_gets_its_draft_once(
    library: Library, staff: Staff, visit: Visit, tmp_path: Path
) -> None:
    """Begun twice, because its first worker was thought dead: both read, one writes."""
    captions = tmp_path / "talk.vtt"
    captions.write_bytes(CAPTIONS)
    stored = library.media.add(captions)
    with library.work(staff["officer"]) as work:
        visit_id = add_visit(work, visit)
        attach(work, visit_id, stored, "captions", "../../talk.vtt")
        number = enqueue(work, LISTEN, {"visit_id": visit_id}).id
    said: list[tuple[float, str]] = []
    KINDS[LISTEN](library, {"visit_id": visit_id}, lambda share, what: said.append((share, what)))
    assert do_next(library, "two")
    result = look(library, number).result
    assert result is not None
    assert result["items"] > 0
    assert said == sorted(said)
    assert said[-1] == (0.9, "reading")
    with library.reading() as session:
        assert session.scalar(select(func.count()).select_from(DraftRow)) == 1
        assert session.get_one(DraftRow, result["draft_id"]).drafted_by == staff["officer"].person
        assert session.get_one(DraftRow, result["draft_id"]).document["transcript"]["sources"][0]["name"] == "talk.vtt"
        assert verify(session) is None


def test_a_task_is_done_with_the_roles_that_its_person_has_by_then(library: Library, staff: Staff) -> None:
    number = ask(library, staff["archivist"])
    with library.work(staff["administrator"]) as work:
        set_roles(work, staff["archivist"].person or 0, ["reviewer"])
    do_next(library, "one")
    assert look(library, number).state == "failed"
    assert "only an archivist or an administrator" in look(library, number).message


def test_nothing_to_listen_to_is_told(library: Library, staff: Staff, visit: Visit) -> None:
    with library.work(staff["officer"]) as work:
        number = enqueue(work, LISTEN, {"visit_id": add_visit(work, visit)}).id
    do_next(library, "one")
    assert "neither recording nor captions" in look(library, number).message
