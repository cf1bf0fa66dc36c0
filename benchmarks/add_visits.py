"""What adding a visit costs when the library is small and when it is large, and how large it becomes.

    python benchmarks/add_visits.py --at 100 10000 --databases sqlite postgresql

Each visit comes by the road of `vouchbook add`: its captions are copied into the media folder, and the visit, its
draft, items, questions, sentences, index and journal are one piece of work. Visits are drafts of the talks in
tests/gold/open, read once and varied. One library is filled for each number, in the same way; then every talk is added
to each of them in turn, so that whatever else the machine does meets all alike. Building a visit is not measured.
Processor time is that of the program alone: with SQLite all that it costs, with
PostgreSQL without the server's share. The size is that of the whole database, with index, journal and write-ahead log,
without the media.
"""

import argparse
import gc
import statistics
import tempfile
import time
from collections.abc import Mapping, Sequence
from contextlib import ExitStack
from pathlib import Path
from typing import Any, NamedTuple

from databases import place_of, with_databases
from library_talks import documents, walk
from machine import machine
from sqlalchemy import text

from vouchbook.library.open import Library, open_library
from vouchbook.library.people.people import add_person
from vouchbook.library.visits.bring import File, bring
from vouchbook.models.people import THE_LIBRARY, Actor, actor_of

_WORDS_AN_HOUR = 9000


class Cost(NamedTuple):
    """Milliseconds of one visit, by the clock and of the processor."""

    clock: float
    processor: float


Costs = dict[int, list[Cost]]


def fill(library: Library, talks: Sequence[dict[str, Any]], number: int, folder: Path) -> Actor:
    """Adds ``number`` visits; returns who did."""
    with library.work(THE_LIBRARY) as work:
        officer = actor_of(add_person(work, "olin", "Olin", ["officer"]))
    for each in range(1, number + 1):
        _add(library, officer, talks, each, folder / "talk.vtt")
    return officer


def measure(filled: Mapping[int, tuple[Library, Actor]], talks: Sequence[dict[str, Any]], folder: Path) -> Costs:
    """Adds each talk to each library in turn; gives what each of them cost there."""
    costs: Costs = {at: [] for at in filled}
    for more in range(1, len(talks) + 1):
        for at, (library, officer) in filled.items():
            gc.collect()  # or one pays for what the other left
            number = at - at % len(talks) + len(talks) + more  # the same talk in each
            costs[at].append(_add(library, officer, talks, number, folder / "talk.vtt"))
    return costs


def _add(library: Library, officer: Actor, talks: Sequence[dict[str, Any]], number: int, file: Path) -> Cost:
    """Adds a visit; returns what it cost."""
    visit, draft, captions = walk(talks, number)
    file.write_bytes(captions)
    began, used = time.perf_counter(), time.process_time()
    added = bring(library, officer, visit, draft, [File(path=file, role="captions")])
    took = Cost((time.perf_counter() - began) * 1000, (time.process_time() - used) * 1000)
    if not added.is_new:
        raise SystemExit(f"visit {number} was there already: the drafts do not differ")
    return took


def sizes(library: Library) -> dict[str, int]:
    """Bytes of what the database keeps, by what it is."""
    if library.url.get_backend_name() == "postgresql":
        with library.reading() as session:
            return {"database": session.execute(text("SELECT pg_database_size(current_database())")).scalar_one()}
    folder = Path(library.url.database or "").parent
    return {path.name: path.stat().st_size for path in sorted(folder.glob("library.db*"))}


def tables(library: Library, most: int = 12) -> list[tuple[str, int]]:
    """Bytes of the largest tables and indexes; none where SQLite was built without that table of pages."""
    asked = "SELECT name, sum(pgsize) AS size FROM dbstat GROUP BY name ORDER BY size DESC LIMIT :most"
    if library.url.get_backend_name() == "postgresql":
        asked = (
            "SELECT relname, pg_relation_size(oid) + coalesce(pg_relation_size(nullif(reltoastrelid, 0)), 0) AS size "
            "FROM pg_class WHERE relkind IN ('r', 'i') AND relnamespace = 'public'::regnamespace "
            "ORDER BY size DESC LIMIT :most"
        )
    with library.reading() as session:
        if library.url.get_backend_name() == "sqlite":
            known = session.execute(text("SELECT count(*) FROM pragma_module_list WHERE name = 'dbstat'")).scalar_one()
            if not known:
                return []
        return [(row[0], int(row[1])) for row in session.execute(text(asked), {"most": most})]


def report(costs: Costs) -> None:
    """Prints what a visit cost in each library, and how many times what it did in the smallest, pair by pair."""
    smallest = costs[min(costs)]
    for way, name in enumerate(Cost._fields):
        for at, taken in costs.items():
            ratios = [cost[way] / small[way] for cost, small in zip(taken, smallest, strict=True)]
            each = [cost[way] for cost in taken]
            print(
                f"  {name:9} after {at:6,} visits: {len(each)} visits, median {statistics.median(each):6.1f} ms, "
                f"{min(each):.1f} to {max(each):.1f} ms, {statistics.median(ratios):.2f} x the smallest",
                flush=True,
            )


def report_size(library: Library, words: int) -> None:
    """Prints the size for each recorded hour."""
    hours, kept = words / _WORDS_AN_HOUR, sizes(library)
    told = ", ".join(f"{name} {size / 2**20:.1f}" for name, size in kept.items())
    print(f"  {words:,} words, {hours:.1f} recorded hours; MiB: {told}")
    print(f"  {sum(kept.values()) / 2**20 / hours:.2f} MiB a recorded hour beside the media")
    for name, size in tables(library):
        print(f"    {name:34} {size / 2**20 / hours:6.3f} MiB an hour")


def main() -> None:
    """Fills and measures each database in a folder that goes afterwards."""
    options = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    options.add_argument("--at", nargs="+", type=int, default=[100, 10_000], help="visits that a library holds")
    options.add_argument("--talks", type=int, default=20, help="different talks, each measured once")
    options.add_argument("--drafts", type=Path, help="a folder of drafts by `vouchbook drafts`; else they are read now")
    with_databases(options)
    given = options.parse_args()
    print(machine(), flush=True)
    talks = documents(given.talks, given.drafts)
    words = [len(talk["transcript"]["words"]) for talk in talks]
    for name in given.databases:
        with ExitStack() as stack:
            filled, began = {}, time.perf_counter()
            for at in sorted(given.at):
                folder = Path(stack.enter_context(tempfile.TemporaryDirectory()))
                where = stack.enter_context(place_of(name, folder))
                library = stack.enter_context(open_library(where, media=folder / "media"))
                filled[at] = library, fill(library, talks, at, folder)
            print(f"{name}: filled in {time.perf_counter() - began:.0f} s", flush=True)
            report(measure(filled, talks, folder))
            largest = max(given.at)
            spoken = [*(words[number % len(talks)] for number in range(1, largest + 1)), *words]
            report_size(library, sum(spoken))


if __name__ == "__main__":
    main()
