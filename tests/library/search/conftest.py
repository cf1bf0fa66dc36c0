"""One small library of invented talk, in both databases."""

import json
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import psycopg
import pytest
from sqlalchemy import Connection, Engine, create_engine, text

sys.path.insert(0, str(Path(__file__).resolve().parents[3] / "benchmarks"))

from search_tables import make_tables, sqlite_engine

from vouchbook.library.search.sentences import rebuild

SAID = {
    1: "Take the three-eighths socket and undo the two bolts at the back.",
    2: "A nine and a half mil socket fits the cover.",
    3: "Pop the hood from the driver's side, there's a lever under the dash.",
    4: "Cut the first responder loop here, behind the yellow tape.",
    5: "Never touch the orange cables, that's four hundred volts.",
    6: "The ten goes on the back bracket.",
    7: "Use a ten mil spanner on the bracket.",
    8: "Wait ten minutes before you touch the inverter.",
    9: "The windscreen is laminated, so use the glass saw.",
    10: "The battery sits under the boot floor.",
    11: "We had coffee in the yard and talked about the old trucks.",
    12: "Lift the boot floor and you see the service plug.",
    13: "Pull the service plug straight out and put it in your pocket.",
    14: "The brake is held by springs, chock the wheels first.",
    15: "Turn the handwheel clockwise until it stops.",
    16: "The hydraulic pump is on the left of the boom.",
    17: "The left side has the hydraulic lines and the pump has its own valve.",
    18: "Bleed the pressure from the accumulator before you open a line.",
    19: "There is a T30 screw behind the trim.",
    20: "Isolate the supply at the wall and hang your tag.",
}  # fmt: skip
VISIT = {number: 1 if number <= 10 else 2 for number in SAID}
ITEMS = {5: ("warning", "isolation", "electric shock", "confirmed"), 13: ("step", "isolation", None, "open"),
         18: ("warning", "isolation", "pressure release", "rejected")}  # fmt: skip


@pytest.fixture(scope="session")
def postgres_url(postgres: Callable[[str], str]) -> str:
    with psycopg.connect(postgres("postgres"), autocommit=True) as connection:
        connection.execute("CREATE DATABASE search")
    return postgres("search").replace("postgresql://", "postgresql+psycopg://")


@pytest.fixture(params=["sqlite", "postgresql"])
def engine(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Engine]:
    if request.param == "sqlite":
        made = sqlite_engine(tmp_path / "library.db")
    else:
        made = create_engine(request.getfixturevalue("postgres_url"))
        with made.begin() as connection:
            connection.execute(text("DROP SCHEMA public CASCADE"))
            connection.execute(text("CREATE SCHEMA public"))
    yield made
    made.dispose()


@pytest.fixture
def library(engine: Engine) -> Iterator[Connection]:
    """A connection to the filled and indexed library."""
    with engine.connect() as connection:
        make_tables(connection)
        fill(connection)
        rebuild(connection)
        connection.commit()
        yield connection


def fill(connection: Connection) -> None:
    rows = [(1, "car", "Kestrel", "Dart", 2018, 2022, "battery"), (2, "crane", "Halvard", "H7", 2005, None, "diesel")]
    for subject in rows:
        values = {f"v{at}": value for at, value in enumerate(subject)}
        connection.execute(text("INSERT INTO subject VALUES (:v0, :v1, :v2, :v3, :v4, :v5, :v6)"), values)
    connection.execute(text("INSERT INTO visit VALUES (1, 1, 'Northfield yard', '2026-05-17')"))
    connection.execute(text("INSERT INTO visit VALUES (2, 2, 'Canal depot', '2025-02-03')"))
    for number, (kind, phase, hazard, state) in ITEMS.items():
        connection.execute(
            text("INSERT INTO item VALUES (:id, :visit, :kind, :phase, :hazard, :state, :record)"),
            {"id": number, "visit": VISIT[number], "kind": kind, "phase": phase, "hazard": hazard, "state": state,
             "record": json.dumps({})},
        )  # fmt: skip
    for number, words in SAID.items():
        connection.execute(
            text("INSERT INTO sentence VALUES (:id, :visit, :visit, 'aa', :item, :start, :end, :voice, :words)"),
            {"id": number, "visit": VISIT[number], "item": number if number in ITEMS else None, "start": number * 5.0,
             "end": number * 5.0 + 4, "voice": "Marchetta" if number % 2 else "Sam Okafor", "words": words},
        )  # fmt: skip
    connection.execute(text("INSERT INTO edition VALUES (1, 1, 1, 1, NULL)"))
