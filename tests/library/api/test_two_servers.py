"""Two real servers on one library, a reviewer at each: who was slower is told so, nothing is lost or taken twice."""

import subprocess
import sys
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import ExitStack, contextmanager
from pathlib import Path
from threading import Barrier
from typing import Any

import httpx2
import pytest

from vouchbook.library.audit.journal import entries, verify
from vouchbook.library.keeping.check import check
from vouchbook.library.open import open_library
from vouchbook.library.people.people import add_person
from vouchbook.library.people.tokens import make_token
from vouchbook.library.review.cases import draft_items
from vouchbook.library.visits.bring import bring
from vouchbook.library.visits.visits import new_key
from vouchbook.models.draft import Draft
from vouchbook.models.people import THE_LIBRARY, Role, actor_of
from vouchbook.models.visits import Visit

STAFF: dict[str, Role] = {"olin": "officer", "runa": "reviewer", "sven": "reviewer", "alva": "archivist"}
DRAFTS = range(1, 6)
ITEMS = range(1, 3 * len(DRAFTS) + 1)
DANGERS = {number for number in ITEMS if number % 3 == 2}
"""Of each three the second is a danger warning, for which two are needed."""
CONFIRMED = {"verdict": "confirmed"}
Client = httpx2.Client
Answer = httpx2.Response


@pytest.fixture
def tokens(where: str, media: Path, visit: Visit, draft: Draft) -> dict[str, str]:
    """A library with drafts on the table, each of another machine, and a token for everybody."""
    with open_library(where, media=media) as library:
        with library.work(THE_LIBRARY) as work:
            staff = {
                login: actor_of(add_person(work, login, login.capitalize(), [role])) for login, role in STAFF.items()
            }
        for number in DRAFTS:
            subject = visit.subject.model_copy(update={"model": f"L{number}"})
            one = visit.model_copy(update={"key": new_key(), "subject": subject})
            bring(library, staff["olin"], one, draft.model_copy(update={"subject": f"L{number}", "open_questions": ()}))
        made = {}
        for login, actor in staff.items():
            with library.work(actor) as work:
                made[login] = make_token(work, "test")[1]
        return made


@pytest.fixture
def servers(where: str, media: Path, tokens: dict[str, str], tmp_path: Path) -> Iterator[tuple[str, str]]:
    """The addresses of two; neither may have met a defect."""
    assert tokens
    logs = [tmp_path / f"{name}.log" for name in ("one", "other")]
    with ExitStack() as running:
        one, other = (running.enter_context(_served(where, media, log)) for log in logs)
        yield one, other
    assert [log.read_text() for log in logs] == ["", ""]


@contextmanager
def _served(where: str, media: Path, log: Path) -> Iterator[str]:
    command = [sys.executable, "-m", "vouchbook", "serve", "--port", "0", "--library", where, "--media", str(media)]
    with log.open("w") as told:
        process = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=told, text=True)
        assert process.stdout is not None
        try:
            yield process.stdout.readline().strip()
        finally:
            process.terminate()
            process.wait(30)
            process.stdout.close()


@contextmanager
def _at(address: str, token: str) -> Iterator[Client]:
    with Client(base_url=address, headers={"authorization": f"Bearer {token}"}, timeout=60) as client:
        yield client


def at_once(*acts: Callable[[Callable[[], object]], Answer]) -> list[Answer]:
    """What each of ``acts`` is answered, in threads of their own; each is given what makes it wait for all others."""
    together = Barrier(len(acts), timeout=60)
    with ThreadPoolExecutor(len(acts)) as threads:
        return [one.result(60) for one in [threads.submit(act, together.wait) for act in acts]]


def seen(client: Client, item: int) -> dict[str, str]:
    return {"if-match": client.get(f"/items/{item}").headers["etag"]}


def deciding(client: Client, item: int, judgement: dict[str, str]) -> Callable[[Callable[[], object]], Answer]:
    def act(wait: Callable[[], object]) -> Answer:
        version = seen(client, item)
        wait()
        return client.post(f"/items/{item}/decisions", json=judgement, headers=version)

    return act


def undoing(client: Client, item: int) -> Callable[[Callable[[], object]], Answer]:
    def act(wait: Callable[[], object]) -> Answer:
        version = seen(client, item)
        wait()
        return client.delete(f"/items/{item}/decisions/last", headers=version)

    return act


def refused(answer: Answer) -> int:
    """The status of a refusal, which is told as a problem that says why."""
    told: dict[str, Any] = answer.json()
    assert answer.headers["content-type"] == "application/problem+json"
    assert told["status"] == answer.status_code
    assert told["detail"]
    return answer.status_code


def test_two_reviewers_at_two_servers(
    servers: tuple[str, str], tokens: dict[str, str], where: str, media: Path
) -> None:
    versions = dict.fromkeys(ITEMS, 1)
    standing: dict[int, list[str]] = {item: [] for item in ITEMS}
    with _at(servers[0], tokens["runa"]) as runa, _at(servers[1], tokens["sven"]) as sven:
        people = {"Runa": runa, "Sven": sven}
        for item in ITEMS:  # both saw the same version: one is in time, and the other learns who was
            answers = at_once(*(deciding(client, item, CONFIRMED) for client in people.values()))
            assert sorted(answer.status_code for answer in answers) == [201, 412]
            slower = next(place for place, answer in enumerate(answers) if answer.status_code == 412)
            names = [*people]
            assert refused(answers[slower]) == 412
            assert f"confirmed by {names[1 - slower]} at" in answers[slower].json()["detail"]
            standing[item].append(names[1 - slower])
            versions[item] += 1
            again = deciding(people[names[slower]], item, CONFIRMED)(lambda: None)
            if item in DANGERS:
                assert again.status_code == 201
                standing[item].append(names[slower])
                versions[item] += 1
            else:
                assert refused(again) == 409
        for one, other in zip(ITEMS, reversed(ITEMS), strict=True):  # at the same time, on different items
            if one < other:
                mine = [(number, standing[number][-1]) for number in (one, other)]
                assert [a.status_code for a in at_once(*(undoing(people[who], number) for number, who in mine))] == [
                    200,
                    200,
                ]
                redo = at_once(*(deciding(people[who], number, CONFIRMED) for number, who in mine))
                assert [answer.status_code for answer in redo] == [201, 201]
                for number in (one, other):
                    versions[number] += 2
    with open_library(where, media=media) as library, library.reading() as session:
        found = [item for number in DRAFTS for item in draft_items(session, number)]
        numbers = {"Runa": 2, "Sven": 3}
        assert {item.item_id: item.version for item in found} == versions
        for one_item in found:
            stands = [one.by for one in one_item.decisions if one.undone_at is None]
            assert stands == [numbers[name] for name in standing[one_item.item_id]]
            assert one_item.state.name == "confirmed"
        assert sum(entry.what == "item" for entry in entries(session)) == sum(versions.values()) - len(versions)
        assert verify(session) is None
        assert check(library).wrong() == ()


def test_an_edition_or_a_decision_that_is_taken_back_but_never_both(
    servers: tuple[str, str], tokens: dict[str, str], where: str, media: Path
) -> None:
    """The archivist publishes at one server while a reviewer has second thoughts at the other."""
    with ExitStack() as clients:
        runa, sven, alva = (
            clients.enter_context(_at(servers[place], tokens[login]))
            for place, login in ((0, "runa"), (1, "sven"), (0, "alva"))
        )
        for item in ITEMS:
            assert deciding(runa, item, CONFIRMED)(lambda: None).status_code == 201
            if item in DANGERS:
                assert deciding(sven, item, CONFIRMED)(lambda: None).status_code == 201
        published = []
        for draft in DRAFTS:

            def publishes(wait: Callable[[], object], draft: int = draft) -> Answer:
                wait()
                return alva.post(f"/drafts/{draft}/edition", json={})

            edition, undone = at_once(publishes, undoing(sven, 3 * draft - 1))
            if edition.status_code == 201:
                assert refused(undone) == 409
                published.append(draft)
            else:
                assert (refused(edition), undone.status_code) == (409, 200)
        assert len(alva.get("/editions").json()) == len(published)
    with open_library(where, media=media) as library, library.reading() as session:
        for draft in DRAFTS:
            states = {item.state.name for item in draft_items(session, draft)}
            assert (states == {"confirmed"}) == (draft in published)
        assert [entry.body["draft"] for entry in entries(session) if entry.act == "published"] == published
        assert verify(session) is None
        assert check(library).wrong() == ()
