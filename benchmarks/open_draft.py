"""How long a draft of 300 items takes to open, the first time in a process and later.

    python benchmarks/open_draft.py --items 300 --databases sqlite postgresql

The draft is read from as many talks of tests/gold/open in a row as it takes to have so many items, and cut there. To
open it is to read its items, its questions and its counts, as the review at the terminal and the pages do. "First" is
the first opening in a fresh process that has imported everything and opened the library, one process for each;
"later" is all after that. Through Python, and through a real server on loopback with a token, where the three
requests follow each other. The library is opened as the commands open it.
"""

import argparse
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from datetime import date
from functools import partial
from pathlib import Path

import httpx2
from databases import place_of, with_databases
from library_talks import long_draft
from machine import machine
from serving import served

from vouchbook.cli.library import opened
from vouchbook.library.open import open_library
from vouchbook.library.people.people import add_person
from vouchbook.library.people.tokens import make_token
from vouchbook.library.review.cases import draft_items
from vouchbook.library.review.figures import counts
from vouchbook.library.review.settle import draft_questions
from vouchbook.library.visits.bring import bring
from vouchbook.library.visits.visits import new_key
from vouchbook.models.draft import Draft
from vouchbook.models.people import THE_LIBRARY, actor_of
from vouchbook.models.subjects import Subject
from vouchbook.models.visits import Visit

_PARTS = ("items", "questions", "counts")


def prepare(where: str, media: Path, draft: Draft) -> str:
    """Brings the draft, as number 1; returns the token of a reviewer."""
    with open_library(where, media=media) as library:
        with library.work(THE_LIBRARY) as work:
            officer = actor_of(add_person(work, "olin", "Olin", ["officer", "reviewer"]))
        bring(library, officer, Visit(key=new_key(), subject=Subject(kind="loader"), held_on=date(2031, 3, 1)), draft)
        with library.work(officer) as work:
            return make_token(work, "measuring")[1]


def openings(where: str, media: Path, times: int) -> list[float]:
    """The milliseconds of each opening, the first one first; for a process that did not open a draft before."""
    taken = []
    with opened(where, media) as library:
        for _ in range(times):
            began = time.perf_counter()
            with library.reading() as session:
                draft_items(session, 1)
                draft_questions(session, 1)
                counts(session, 1)
            taken.append((time.perf_counter() - began) * 1000)
    return taken


def by_python(where: str, media: Path, times: int) -> list[float]:
    """The same in a process of its own."""
    command = [sys.executable, __file__, "--opens", where, "--media", str(media), "--times", str(times)]
    done = subprocess.run(command, check=True, capture_output=True, text=True)
    return [float(line) for line in done.stdout.split()]


def by_http(where: str, media: Path, token: str, times: int) -> list[float]:
    """The same through a server that was started for it and answered nothing but who asks."""
    taken = []
    headers = {"authorization": f"Bearer {token}"}
    with served(where, media) as address, httpx2.Client(base_url=address, headers=headers, timeout=60) as client:
        client.get("/me").raise_for_status()
        for _ in range(times):
            began = time.perf_counter()
            for part in _PARTS:
                client.get(f"/drafts/1/{part}").raise_for_status()
            taken.append((time.perf_counter() - began) * 1000)
    return taken


def report(way: str, run: Callable[[int], Sequence[float]], processes: int, times: int) -> None:
    """Prints the first openings of ``processes`` processes, and all later ones of the last of them."""
    runs = [run(times if number == processes - 1 else 1) for number in range(processes)]
    _tell(f"{way}, first", [taken[0] for taken in runs])
    _tell(f"{way}, later", runs[-1][1:])


def _tell(what: str, taken: Sequence[float]) -> None:
    p95 = statistics.quantiles(taken, n=20, method="inclusive")[18] if len(taken) > 1 else max(taken)
    print(
        f"  {what:16} {len(taken):4} openings  median {statistics.median(taken):6.1f} ms  p95 {p95:6.1f} ms", flush=True
    )


def main() -> None:
    """Measures each database in a folder that goes afterwards."""
    options = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    options.add_argument("--items", type=int, default=300, help="items that the draft has")
    options.add_argument("--processes", type=int, default=10, help="fresh processes for the first opening")
    options.add_argument("--times", type=int, default=101, help="openings in the last process")
    options.add_argument("--opens", help=argparse.SUPPRESS)  # the fresh process: where the library is
    options.add_argument("--media", type=Path, help=argparse.SUPPRESS)
    with_databases(options)
    given = options.parse_args()
    if given.opens:
        print(*openings(given.opens, given.media, given.times), sep="\n")
        return
    print(machine(), flush=True)
    draft = long_draft(given.items)
    print(f"a draft of {len(draft.items)} items and {len(draft.open_questions)} questions", flush=True)
    for name in given.databases:
        with tempfile.TemporaryDirectory() as folder, place_of(name, Path(folder)) as where:
            media = Path(folder) / "media"
            token = prepare(where, media, draft)
            print(name, flush=True)
            report("Python", partial(by_python, where, media), given.processes, given.times)
            report("HTTP", partial(by_http, where, media, token), given.processes, given.times)


if __name__ == "__main__":
    main()
