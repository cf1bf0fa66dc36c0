"""Fifty reviewers a minute at one server, and nothing of theirs is lost.

    python benchmarks/reviewers.py --minutes 10 --databases sqlite postgresql

Reviewers come at random times with tokens to a real `vouchbook serve` on loopback. Each opens a draft, reports what
they played, decides some items and settles questions with the version that they saw, looks again where somebody was
quicker, and leaves. All who come within the same stretch of time sit at the same few drafts, so that they meet; the
department asks for two people for steps, so that who was slower often still has something to say.

Afterwards the server ends and the library is read: each acknowledged decision and settlement must be there exactly
once, by that person at that time, with exactly one entry in the journal; there must be none that nobody was told of;
the journal must verify; and no request may have ended in a 5xx or without an answer. Otherwise the run fails.
"""

import argparse
import random
import statistics
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Iterable, Sequence
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import NamedTuple

from databases import place_of, with_databases
from library_talks import documents, walk
from machine import machine
from one_reviewer import Acknowledged, Notes, Reviewer
from serving import served
from sqlalchemy import select

from vouchbook.library.audit.journal import entries, verify
from vouchbook.library.open import open_library
from vouchbook.library.people.people import add_person
from vouchbook.library.people.tokens import make_token
from vouchbook.library.review.rules import Department
from vouchbook.library.settings import set_department
from vouchbook.library.store.tables import DecisionRow, SettlementRow
from vouchbook.library.visits.bring import File, bring
from vouchbook.models.people import THE_LIBRARY, actor_of

_PEOPLE = 60
_TABLES = 2
"""Drafts that are looked at in the same stretch of time."""
_DRAFTS_A_MINUTE = 4


class Table(NamedTuple):
    """A draft to decide on, its visit, and the recording to listen to."""

    draft: int
    visit: int
    sha256: str


def prepare(where: str, folder: Path, drafts: int) -> tuple[list[Table], list[str]]:
    """Brings the drafts, each with a recording to report plays of; returns them and the tokens of the reviewers."""
    talks = documents(min(drafts, 12))
    tables, tokens = [], []
    with open_library(where, media=folder / "media") as library:
        with library.work(THE_LIBRARY) as work:
            officer = actor_of(add_person(work, "olin", "Olin", ["officer"]))
            set_department(work, Department(second_for_kinds=frozenset({"step"})))
            people = [actor_of(add_person(work, f"r{n}", f"Reviewer {n}", ["reviewer"])) for n in range(_PEOPLE)]
        for person in people:
            with library.work(person) as work:
                tokens.append(make_token(work, "measuring")[1])
        for number in range(1, drafts + 1):
            visit, draft, captions = walk(talks, number)
            said, film = folder / "talk.vtt", folder / "film.wav"
            said.write_bytes(captions)
            film.write_bytes(b"the sound of " + captions)
            sha256 = library.media.add(film).sha256
            added = bring(
                library, officer, visit, draft, [File(path=said, role="captions"), File(path=film, role="recording")]
            )
            tables.append(Table(added.draft_id, added.visit_id, sha256))
    return tables, tokens


def sit(
    address: str, tables: Sequence[Table], tokens: Sequence[str], a_minute: int, minutes: float, think_s: float
) -> list[Notes]:
    """Lets the reviewers come, at random times; returns the notes of all when the last has left."""
    chance = random.Random(11)  # noqa: S311  when people come
    arrivals = sorted(chance.uniform(0, minutes * 60) for _ in range(round(a_minute * minutes)))
    began = time.monotonic()

    def sitting(number: int) -> Notes:
        """Waits until it is time to come."""
        at = arrivals[number]
        time.sleep(max(0.0, began + at - time.monotonic()))
        own = random.Random(number)  # noqa: S311  what one does
        first = min(int(at / (minutes * 60) * len(tables)), len(tables) - _TABLES)
        table = tables[first + own.randrange(_TABLES)]
        return Reviewer(address, tokens[number % len(tokens)], own, think_s).review(*table)

    with ThreadPoolExecutor(max_workers=len(arrivals)) as crowd:
        return list(crowd.map(sitting, range(len(arrivals))))


def lost(where: str, media: Path, acknowledged: Iterable[Acknowledged]) -> list[str]:
    """What is wrong with the library, given what its server acknowledged; empty when nothing is."""
    wanted = Counter(acknowledged)
    with open_library(where, media=media) as library, library.reading() as session:
        decided = [
            (Acknowledged("decision", row.item_id, row.person_id, row.at, row.verdict), row.id)
            for row in session.scalars(select(DecisionRow))
        ]
        settled = [
            (Acknowledged("settlement", row.question_id, row.person_id, row.at, row.outcome), row.id)
            for row in session.scalars(select(SettlementRow))
        ]
        told = Counter((name, entry.body[name]) for entry in entries(session)
                       for name in ("decision", "settlement") if name in entry.body)  # fmt: skip
        broken = verify(session)
    rows = decided + settled
    kept = Counter(one for one, _ in rows)
    found = [f"acknowledged {n} times, kept {kept[one]} times: {one}" for one, n in wanted.items() if kept[one] != n]
    found += [f"kept, but nobody was told: {one}" for one in kept if one not in wanted]
    found += [
        f"{told[one.what, number]} journal entries for {one}" for one, number in rows if told[one.what, number] != 1
    ]
    return found + ([f"the journal: {broken.sentence}"] if broken else [])


def report(notes: Sequence[Notes]) -> list[str]:
    """Prints requests, conflicts and times; returns what went wrong on the way."""
    statuses = sum((one.statuses for one in notes), Counter[int]())
    conflicts, retries, up = (sum(getattr(n, name) for n in notes) for name in ("conflicts", "retries", "given_up"))
    told = ", ".join(f"{status}: {count:,}" for status, count in sorted(statuses.items()))
    print(f"  {len(notes):,} reviewers, {statuses.total():,} requests ({told})")
    print(f"  {conflicts:,} conflicts, {retries:,} tried again, {up:,} left to who was quicker")
    times: dict[str, list[float]] = {}
    for what, taken in ((what, taken) for one in notes for what, taken in one.times.items()):
        times.setdefault(what, []).extend(taken)
    times["all"] = [each for taken in times.values() for each in taken]
    for what, taken in times.items():
        if len(taken) > 1:
            cuts = statistics.quantiles(taken, n=100, method="inclusive")
            print(f"    {what:12} {len(taken):6,}  p50 {cuts[49]:7.1f}  p95 {cuts[94]:7.1f}  p99 {cuts[98]:7.1f} ms")
    return [line for one in notes for line in (*one.unanswered, *one.unexpected)]


def main() -> None:
    """Measures each database in a folder that goes afterwards; ends with 1 when anything was lost."""
    options = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    options.add_argument("--minutes", type=float, default=10, help="how long reviewers keep coming")
    options.add_argument("--reviewers", type=int, default=50, help="how many come each minute")
    options.add_argument("--think", type=float, default=3, help="longest pause between two requests, seconds")
    with_databases(options)
    given = options.parse_args()
    print(machine(), flush=True)
    wrong: list[str] = []
    for name in given.databases:
        with tempfile.TemporaryDirectory() as passing, place_of(name, Path(passing)) as where:
            folder = Path(passing)
            tables, tokens = prepare(where, folder, max(_TABLES, round(given.minutes * _DRAFTS_A_MINUTE)))
            began = time.monotonic()
            with served(where, folder / "media", folder / "errors") as address:
                notes = sit(address, tables, tokens, given.reviewers, given.minutes, given.think)
            print(f"{name}: {len(tables)} drafts, {time.monotonic() - began:.0f} s", flush=True)
            acknowledged = [each for one in notes for each in one.acknowledged]
            found = [] if acknowledged else ["nobody decided anything"]
            found += [*report(notes), *lost(where, folder / "media", acknowledged)]
            print(f"  {len(acknowledged):,} decisions and settlements acknowledged; wrong: {len(found)}", flush=True)
            wrong += [f"{name}: {line}" for line in found]
    print(*wrong[:40], sep="\n", file=sys.stderr)
    sys.exit(1 if wrong else 0)


if __name__ == "__main__":
    main()
