"""What somebody no longer agrees to at the terminal: it is played and named to those who keep the library alone."""

from collections.abc import Callable
from hashlib import sha256
from pathlib import Path
from typing import Any

import pytest

from vouchbook.cli import listening
from vouchbook.library.keeping.removal import finish_removals, hide, remove, show
from vouchbook.library.open import open_library
from vouchbook.library.people.people import person_named, set_roles
from vouchbook.library.store.tables import PlayRow, VisitMediumRow, VisitRow
from vouchbook.models.draft import Draft, Picture
from vouchbook.models.people import actor_of
from vouchbook.models.transcript import Transcript

Run = Callable[..., tuple[int, str, str]]
Reviews = Callable[..., str]
CUE: dict[str, Any] = {"id": "i1", "kind": "cue", "phase": "identify", "text": "a yellow badge", "line": 0}
POINTER: dict[str, Any] = {"kind": "pointer", "line": 6, "about": "here", "ask": "Which plug is it?"}
FILM = b"a talk that was filmed"


@pytest.fixture
def transcript(transcript: Transcript) -> Transcript:
    """The talk of the recording that is brought."""
    source = transcript.sources[0].model_copy(update={"sha256": sha256(FILM).hexdigest()})
    return transcript.model_copy(update={"sources": (source,)})


@pytest.fixture
def played(monkeypatch: pytest.MonkeyPatch) -> list[Path]:
    """What a player, which is there, is asked to play."""
    asked: list[Path] = []

    def play(_name: str, file: Path, _start_s: float, end_s: float) -> float:
        asked.append(file)
        return end_s

    monkeypatch.setattr(listening, "player", lambda: "ffplay")
    monkeypatch.setattr(listening, "play", play)
    return asked


@pytest.fixture
def media(brings: Callable[..., None], draft_with: Callable[..., Draft], tmp_path: Path) -> dict[str, Path]:
    """The files in the library of a visit with a recording and two stills, by the name under which each came."""
    for name in ("plug.jpg", "seat.jpg"):
        (tmp_path / name).write_bytes(name.encode())
    (tmp_path / "van.ogg").write_bytes(FILM)
    pictures = (Picture(shows="i1", file="seat.jpg"), Picture(shows="q1", file="plug.jpg"))
    draft = draft_with([CUE], [POINTER | {"start": 60, "end": 64}])
    brings(draft.model_copy(update={"pictures": pictures}), tmp_path / "van.ogg")
    with open_library(tmp_path / "library") as library, library.reading() as session:
        return {row.name: library.media.path(row.sha256) for row in session.query(VisitMediumRow)}


def hash_of(file: Path) -> str:
    return file.parent.name + file.name


def keep(place: Path, act: str, *files: Path) -> None:
    """Hides files, shows them again or removes them, as somebody who may."""
    with open_library(place) as library:
        with library.reading() as session:
            keeper = actor_of(person_named(session, "alva"))
        with library.work(keeper) as work:
            for file in files:
                if act == "show":
                    show(work, hash_of(file))
                elif act == "hide":
                    hide(work, hash_of(file), "consent withdrawn")
                else:
                    remove(work, hash_of(file), "consent withdrawn")
        finish_removals(library)


def plays(place: Path) -> int:
    with open_library(place) as library, library.reading() as session:
        return session.query(PlayRow).count()


def test_a_hidden_recording_is_played_to_who_keeps_alone(
    media: dict[str, Path], played: list[Path], reviews: Reviews, tmp_path: Path
) -> None:
    film, place = media["van.ogg"], tmp_path / "library"
    keep(place, "hide", film)
    out = reviews("runa", "p|q", 1)
    refused = f"medium {hash_of(film)[:12]}: it is hidden (consent withdrawn). Ask an archivist whether it must be."
    assert f"0:00 “There is a yellow badge on the tailgate.”: {refused}" in out.splitlines()
    assert (played, plays(place), "played." in out, film.name in out) == ([], 0, False, False)
    assert "tailgate.”: played." in reviews("alva", "p|q", 1)
    assert (played, plays(place)) == ([film], 1)
    keep(place, "show", film)
    assert "tailgate.”: played." in reviews("runa", "p|q", 1)
    assert (played, plays(place)) == ([film, film], 2)


@pytest.mark.parametrize(
    ("act", "who", "is_named", "says"),
    [
        pytest.param("", "runa", True, "no player (ffplay or mpv) is installed; it is in", id="shown"),
        pytest.param("hide", "runa", False, "it is hidden (consent withdrawn)", id="hidden"),
        pytest.param("hide", "alva", True, "no player (ffplay or mpv) is installed; it is in", id="to-who-keeps"),
        pytest.param("remove", "alva", False, "there is no recording to hear it in", id="removed"),
    ],
)
def test_without_a_player_the_file_is_named_to_who_may_hear_it(
    media: dict[str, Path], reviews: Reviews, monkeypatch: pytest.MonkeyPatch, tmp_path: Path,
    *, act: str, who: str, is_named: bool, says: str,
) -> None:  # fmt: skip
    monkeypatch.setattr(listening, "player", lambda: None)
    if act:
        keep(tmp_path / "library", act, media["van.ogg"])
    out = reviews(who, "p|q", 1)
    assert says in out
    assert (str(media["van.ogg"]) in out) is is_named


@pytest.mark.usefixtures("played")
def test_the_role_of_now_counts_and_not_that_of_when_somebody_sat_down(
    media: dict[str, Path], run: Run, tokens: dict[str, str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """The archivist is none any more when they press the key."""
    keep(tmp_path / "library", "hide", media["van.ogg"])

    class Keys:
        def __init__(self) -> None:
            self.left = ["p\n", "q\n"]

        def isatty(self) -> bool:
            return False

        def readline(self) -> str:
            if len(self.left) == 2:
                with open_library(tmp_path / "library") as library:
                    with library.reading() as session:
                        ada, alva = (person_named(session, login) for login in ("ada", "alva"))
                    with library.work(actor_of(ada)) as work:
                        set_roles(work, alva.id, ["reviewer"])
            return self.left.pop(0)

    monkeypatch.setenv("VOUCHBOOK_TOKEN", tokens["alva"])
    monkeypatch.setattr("sys.stdin", Keys())
    code, out, error = run("review", 1)
    assert (code, error) == (0, "")
    assert "it is hidden (consent withdrawn)" in out


@pytest.mark.parametrize(
    ("hidden", "who", "named", "says"),
    [
        pytest.param((), "runa", {"plug.jpg", "seat.jpg"}, "", id="none-hidden"),
        pytest.param(("plug.jpg",), "runa", {"seat.jpg"}, "Hidden stills of this visit: 1. Ask", id="one-hidden"),
        pytest.param(("plug.jpg", "seat.jpg"), "runa", set(), "Hidden stills of this visit: 2. Ask", id="all-hidden"),
        pytest.param(("plug.jpg",), "alva", {"plug.jpg", "seat.jpg"}, "", id="to-who-keeps"),
    ],
)
def test_hidden_stills_are_counted_and_not_named(
    media: dict[str, Path], reviews: Reviews, tmp_path: Path,
    *, hidden: tuple[str, ...], who: str, named: set[str], says: str,
) -> None:  # fmt: skip
    keep(tmp_path / "library", "hide", *(media[name] for name in hidden))
    out = reviews(who, "n|s||q", 1)
    assert {name for name in ("plug.jpg", "seat.jpg") if str(media[name]) in out} == named
    assert {name for name in ("plug.jpg", "seat.jpg") if f"  {name}, shows" in out} == named
    assert ("Hidden stills" in out, says in out) == (bool(says), True)
    assert "This visit has no stills" not in out


def test_no_other_command_names_the_file_of_what_is_hidden_or_takes_it_along(
    media: dict[str, Path], run: Run, tokens: dict[str, str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """Whoever finds the words learns which visit and second; the bag of a visit, a keeper's, comes without the file."""
    place = tmp_path / "library"
    keep(place, "hide", media["van.ogg"])
    monkeypatch.setenv("VOUCHBOOK_TOKEN", tokens["runa"])
    code, out, _ = run("find", "badge")
    assert (code, "visit 1, " in out and ", 0:00 " in out) == (0, True)
    told = [out, run("find", "--json", "badge")[1], run("review")[1], run("publish")[1]]
    assert [one for one in told if str(media["van.ogg"]) in one or str(place / "media") in one] == []
    monkeypatch.setenv("VOUCHBOOK_TOKEN", tokens["alva"])
    with open_library(place) as library, library.reading() as session:
        (key,) = (row.key for row in session.query(VisitRow))
    code, _, error = run("export", "--visit", key, tmp_path / "bag")
    assert (code, error) == (0, "")
    kept = {path.read_bytes() for path in (tmp_path / "bag").rglob("*") if path.is_file()}
    assert (FILM in kept, b"plug.jpg" in kept) == (False, True)
