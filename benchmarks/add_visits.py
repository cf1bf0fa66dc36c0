"""What adding a visit costs when the library is small and when it is large, and how large it becomes.

    python benchmarks/add_visits.py --at 100 10000 --databases sqlite postgresql

Each visit comes by the road of `vouchbook add`: its captions are copied into the media folder, and the visit, its
draft, items, questions, sentences, index and journal are one piece of work. Visits are drafts of the talks in
tests/gold/open, read once and varied. Every talk is added once in each window that is measured, so that windows
differ in nothing but what the library holds already. All visits between the windows are added in the same way.
Building a visit is not measured. The size is that of the whole database, with index, journal and write-ahead log,
without the media.
"""

import argparse
import gc
import statistics
import tempfile
import time
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from databases import place_of, with_databases
from library_talks import documents, walk
from machine import machine
from sqlalchemy import text

from vouchbook.library.open import Library, open_library
from vouchbook.library.people.people import add_person
from vouchbook.library.visits.bring import File, bring
from vouchbook.models.people import THE_LIBRARY, Actor, actor_of

_WORDS_AN_HOUR = 9000


def fill(library: Library, talks: Sequence[dict[str, Any]], at: Sequence[int], folder: Path) -> dict[int, list[float]]:
    """Adds visits up to the end of the last window; gives the milliseconds of those in each window."""
    with library.work(THE_LIBRARY) as work:
        officer = actor_of(add_person(work, "olin", "Olin", ["officer"]))
    windows = {middle: range(middle - len(talks) // 2, middle - len(talks) // 2 + len(talks)) for middle in at}
    times: dict[int, list[float]] = {middle: [] for middle in at}
    for number in range(1, max(window.stop for window in windows.values())):
        inside = [middle for middle, window in windows.items() if number in window]
        if inside:
            gc.collect()  # or a window pays for what was left before it
        took = _add(library, officer, talks, number, folder / "talk.vtt")
        for middle in inside:
            times[middle].append(took)
    return times


def _add(library: Library, officer: Actor, talks: Sequence[dict[str, Any]], number: int, file: Path) -> float:
    """Adds a visit; returns the milliseconds."""
    visit, draft, captions = walk(talks, number)
    file.write_bytes(captions)
    began = time.perf_counter()
    added = bring(library, officer, visit, draft, [File(path=file, role="captions")])
    took = (time.perf_counter() - began) * 1000
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


def report(library: Library, times: dict[int, list[float]], words: int) -> None:
    """Prints the times of each window, their ratio, and the size for each recorded hour."""
    first = statistics.median(times[min(times)])
    for middle, taken in times.items():
        half = statistics.median(taken)
        print(
            f"  around visit {middle:6,}: {len(taken)} visits, median {half:6.1f} ms, "
            f"{min(taken):.1f} to {max(taken):.1f} ms, {half / first:.2f} x the first",
            flush=True,
        )
    hours, kept = words / _WORDS_AN_HOUR, sizes(library)
    told = ", ".join(f"{name} {size / 2**20:.1f}" for name, size in kept.items())
    print(f"  {words:,} words, {hours:.1f} recorded hours; MiB: {told}")
    print(f"  {sum(kept.values()) / 2**20 / hours:.2f} MiB a recorded hour beside the media")
    for name, size in tables(library):
        print(f"    {name:34} {size / 2**20 / hours:6.3f} MiB an hour")


def main() -> None:
    """Fills and measures each database in a folder that goes afterwards."""
    options = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    options.add_argument("--at", nargs="+", type=int, default=[100, 10_000], help="the middle of each window")
    options.add_argument("--talks", type=int, default=20, help="different talks, and the visits of a window")
    options.add_argument("--drafts", type=Path, help="a folder of drafts by `vouchbook drafts`; else they are read now")
    with_databases(options)
    given = options.parse_args()
    print(machine(), flush=True)
    talks = documents(given.talks, given.drafts)
    for name in given.databases:
        with tempfile.TemporaryDirectory() as folder, place_of(name, Path(folder)) as where:
            began = time.perf_counter()
            with open_library(where, media=Path(folder) / "media") as library:
                times = fill(library, talks, given.at, Path(folder))
                added = max(given.at) - len(talks) // 2 + len(talks) - 1
                print(f"{name}: {added:,} visits in {time.perf_counter() - began:.0f} s", flush=True)
                words = [len(talk["transcript"]["words"]) for talk in talks]
                report(library, times, sum(words[number % len(talks)] for number in range(1, added + 1)))


if __name__ == "__main__":
    main()
