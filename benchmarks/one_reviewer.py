"""One reviewer over HTTP: opens a draft, listens, decides, settles, leaves; keeps what was acknowledged."""

import random
import time
from collections import Counter
from collections.abc import Callable
from datetime import datetime
from typing import Any, NamedTuple

import httpx2

_TRIES = 4
_AT_THE_HEAD = 20
"""Reviewers of one draft begin in the same stretch of it, so that they meet."""


class Acknowledged(NamedTuple):
    """A decision or settlement that the server said is kept: by whom, on what, when, and what."""

    what: str
    number: int
    person: int
    at: datetime
    told: str


class Change(NamedTuple):
    """Something to do, once it is known in which version; ``is_to_do`` says whether it still is."""

    what: str
    method: str
    address: str
    part: str
    body: dict[str, str]
    is_to_do: Callable[[dict[str, Any]], bool]


class Notes:
    """What one reviewer met; each has their own, so that nothing is shared between threads."""

    def __init__(self) -> None:
        self.times: dict[str, list[float]] = {}
        self.statuses: Counter[int] = Counter()
        self.acknowledged: list[Acknowledged] = []
        self.conflicts = self.retries = self.given_up = 0
        self.unanswered: list[str] = []
        self.unexpected: list[str] = []


class Reviewer:
    """A person with a token. ``think_s`` is the longest pause between two requests."""

    def __init__(self, address: str, token: str, chance: random.Random, think_s: float) -> None:
        headers = {"authorization": f"Bearer {token}"}
        self.client = httpx2.Client(base_url=address, headers=headers, timeout=60)
        self.chance, self.think_s, self.notes, self.person = chance, think_s, Notes(), 0

    def review(self, draft: int, visit: int, sha256: str) -> Notes:
        """A whole sitting. Conflicts are met by a new look; what else goes wrong is noted, never hidden."""
        try:
            with self.client:
                self._review(draft, visit, sha256)
        except httpx2.HTTPError as error:
            self.notes.unanswered.append(f"{type(error).__name__}: {error}")
        return self.notes

    def _review(self, draft: int, visit: int, sha256: str) -> None:
        self.person = self._ask("who am I", "GET", "/me").json()["id"]
        items = self._ask("items", "GET", f"/drafts/{draft}/items").json()
        questions = self._ask("questions", "GET", f"/drafts/{draft}/questions").json()
        self._ask("counts", "GET", f"/drafts/{draft}/counts")
        undecided = [item for item in items if item["state"]["name"] in ("open", "waits for a second person")]
        near = undecided[:_AT_THE_HEAD]
        for item in self.chance.sample(near, min(len(near), self.chance.randint(3, 6))):
            self._think()
            ranges = [{"sha256": sha256, "start_s": max(0, a), "end_s": b} for a, b in item["case"]["ranges"]]
            self._ask("plays", "POST", f"/visits/{visit}/plays", body=ranges)
            self._think()
            self._decide(item)
        asked = [question for question in questions if not self._is_settled(question)][:_AT_THE_HEAD]
        for question in self.chance.sample(asked, min(len(asked), 2)):
            self._think()
            self._settle(question)

    @staticmethod
    def _is_settled(question: dict[str, Any]) -> bool:
        return any(one["undone_at"] is None for one in question["settlements"])

    def _decide(self, item: dict[str, Any]) -> None:
        number = item["item_id"]
        verdict = {"verdict": "confirmed"}
        if self.chance.random() < 0.15:
            verdict = {"verdict": "rejected", "reason": "not a step"}

        def is_to_do(now: dict[str, Any]) -> bool:
            mine = any(one["by"] == self.person and one["undone_at"] is None for one in now["decisions"])
            return not mine and now["state"]["name"] in ("open", "waits for a second person")

        done = self._change(Change("decision", "POST", f"/items/{number}", "decisions", verdict, is_to_do), item)
        if done:
            self._keep("decision", number, done["decisions"][-1], "verdict")

    def _settle(self, question: dict[str, Any]) -> None:
        number, carried = question["question_id"], {"outcome": "carried"}

        def is_to_do(now: dict[str, Any]) -> bool:
            return not self._is_settled(now)

        change = Change("settlement", "PUT", f"/questions/{number}", "settlement", carried, is_to_do)
        done = self._change(change, question)
        if done:
            self._keep("settlement", number, done["settlements"][-1], "outcome")

    def _change(self, change: Change, seen: dict[str, Any]) -> dict[str, Any] | None:
        """Changes what was seen; who was slower looks again, and tries again if there is still something to do."""
        for _ in range(_TRIES):
            answer = self._ask(
                change.what, change.method, f"{change.address}/{change.part}", body=change.body, seen=seen["version"]
            )
            if answer.status_code in (200, 201):
                changed: dict[str, Any] = answer.json()
                return changed
            if answer.status_code not in (409, 412):
                return None
            self.notes.conflicts += 1
            seen = self._ask("look again", "GET", change.address).json()
            if not change.is_to_do(seen):
                break
            self.notes.retries += 1
            self._think()
        self.notes.given_up += 1
        return None

    def _keep(self, what: str, number: int, taken: dict[str, Any], name: str) -> None:
        at = datetime.fromisoformat(taken["at"])
        self.notes.acknowledged.append(Acknowledged(what, number, taken["by"], at, taken[name]))

    def _ask(self, what: str, method: str, path: str, body: object = None, seen: int | None = None) -> httpx2.Response:
        headers = {} if seen is None else {"if-match": f'"v{seen}"'}
        began = time.perf_counter()
        answer = self.client.request(method, path, json=body, headers=headers)
        self.notes.times.setdefault(what, []).append((time.perf_counter() - began) * 1000)
        self.notes.statuses[answer.status_code] += 1
        if answer.status_code not in (200, 201, 409, 412):
            self.notes.unexpected.append(f"{method} {path}: {answer.status_code} {answer.text[:200]}")
        return answer

    def _think(self) -> None:
        time.sleep(self.chance.uniform(0, self.think_s))
