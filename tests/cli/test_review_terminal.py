"""The review at a real pseudo-terminal, as a person has it: one key each, and a player that is on the path."""

import os
import select
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from hashlib import sha256
from pathlib import Path
from typing import Any

import pytest

from vouchbook.library.open import open_library
from vouchbook.library.review.cases import draft_items
from vouchbook.library.store.media import Media
from vouchbook.library.store.tables import PlayRow
from vouchbook.models.draft import Draft
from vouchbook.models.transcript import Transcript

pty = pytest.importorskip("pty", reason="Windows has no pseudo-terminals")
termios = pytest.importorskip("termios")

CUE: dict[str, Any] = {"id": "i1", "kind": "cue", "phase": "identify", "text": "a yellow badge", "line": 0}
DANGER: dict[str, Any] = {
    "id": "i2", "kind": "warning", "phase": "disable", "text": "never cut the orange cable", "hazard": "electric shock",
    "signal": "danger", "signal_reason": "it kills", "line": 5,
}  # fmt: skip
FILM = b"a few seconds of talk"
PLAYERS = {
    "ffplay": 'while [ "$1" != "-t" ]; do shift; done; sleep "$2"',
    "mpv": 'for part; do case "$part" in --length=*) sleep "${part#--length=}";; esac; done',
}
"""Stand-ins: each plays for as long as it is asked to."""
PATIENCE_S = 60


class Terminal:
    """The command at a pseudo-terminal, and a person there, who presses keys when they are asked for one."""

    def __init__(self, *arguments: str) -> None:
        self.screen, theirs = pty.openpty()
        command = [sys.executable, "-m", "vouchbook", *arguments]
        self.child = subprocess.Popen(command, stdin=theirs, stdout=theirs, stderr=theirs, start_new_session=True)
        os.close(theirs)
        self.shown = ""

    def until(self, wanted: str) -> str:
        """Everything that is shown up to ``wanted``."""
        end = time.monotonic() + PATIENCE_S
        while wanted not in self.shown and time.monotonic() < end:
            if select.select([self.screen], [], [], 1)[0]:
                try:
                    self.shown += os.read(self.screen, 4096).decode()
                except OSError:  # the command has ended
                    break
        assert wanted in self.shown, self.shown
        said, _, self.shown = self.shown.partition(wanted)
        return (said + wanted).replace("\r\n", "\n")

    def press(self, key: str) -> str:
        """Presses a key as soon as the terminal gives keys one by one; gives what was shown before."""
        said = self.until("] ")
        while termios.tcgetattr(self.screen)[3] & termios.ICANON:
            time.sleep(0.01)
        os.write(self.screen, key.encode())
        return said

    def type(self, line: str, prompt: str) -> None:
        """Types a line behind ``prompt``."""
        self.until(prompt)
        os.write(self.screen, f"{line}\r".encode())

    def ends(self) -> int:
        """The exit code."""
        return self.child.wait(PATIENCE_S)


@pytest.fixture
def transcript(transcript: Transcript) -> Transcript:
    """The talk of a recording in which each line lasts less than half a second."""

    def sooner(record: Any) -> Any:  # noqa: ANN401  a word or a line
        return record.model_copy(update={"start_s": record.start_s / 20, "end_s": record.end_s / 20})

    source = transcript.sources[0].model_copy(update={"sha256": sha256(FILM).hexdigest(), "duration_s": 4.0})
    words, lines = (tuple(map(sooner, part)) for part in (transcript.words, transcript.lines))
    return transcript.model_copy(update={"sources": (source,), "words": words, "lines": lines, "duration_s": 4.0})


@pytest.fixture
def sits_down(
    brings: Callable[..., None], draft_with: Callable[..., Draft], tokens: dict[str, str],
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path,
) -> Iterator[Callable[[str], Terminal]]:  # fmt: skip
    """Runa at the draft, where this player alone is on the path, which writes down what it is asked to play."""
    film = tmp_path / "van.ogg"
    film.write_bytes(FILM)
    brings(draft_with([CUE, DANGER]), film)
    monkeypatch.setenv("VOUCHBOOK_TOKEN", tokens["runa"])
    opened: list[Terminal] = []

    def sit(player: str) -> Terminal:
        path = tmp_path / "bin" / player
        path.parent.mkdir()
        path.write_text(f'#!/bin/sh\necho "$*" >> "{tmp_path}/asked.txt"\n{PLAYERS[player]}\n', encoding="utf-8")
        path.chmod(0o755)
        monkeypatch.setenv("PATH", str(path.parent) + os.pathsep + "/usr/bin" + os.pathsep + "/bin")
        opened.append(Terminal("review", "1"))
        return opened[-1]

    yield sit
    for one in opened:
        one.child.kill()
        one.child.wait()
        os.close(one.screen)


@pytest.mark.parametrize("player", sorted(PLAYERS))
def test_danger_is_played_by_a_player_and_confirmed_then(
    sits_down: Callable[[str], Terminal], tmp_path: Path, player: str
) -> None:
    at = sits_down(player)
    assert "i1  cue: A yellow badge" in at.press("c")
    assert "i1: confirmed" in at.press("c")
    assert "you have not heard 0:02 to 0:03" in at.press("p")
    assert "“Never cut the orange cable, it kills.”: played." in at.press("c")
    assert at.ends() == 0
    assert "i2: waits for a second person" in at.until("1 left to decide.")
    (asked,) = (tmp_path / "asked.txt").read_text(encoding="utf-8").splitlines()
    assert asked.endswith(str(Media(tmp_path / "library" / "media").path(sha256(FILM).hexdigest())))
    assert "2.500" in asked
    with open_library(tmp_path / "library") as library, library.reading() as session:
        (play,) = session.query(PlayRow).all()
        assert (play.person_id, play.start_s) == (3, 2.5)
        assert play.end_s == pytest.approx(2.95)
        assert [one.state.name for one in draft_items(session, 1)] == ["confirmed", "waits for a second person"]


@pytest.mark.parametrize(
    ("way_out", "code"), [("q", 0), ("\x03", 130), ("\x04", 0)], ids=["q", "control-c", "control-d"]
)
def test_whoever_leaves_keeps_what_they_decided(
    sits_down: Callable[[str], Terminal], tmp_path: Path, way_out: str, code: int
) -> None:
    at = sits_down("ffplay")
    at.press("c")
    assert "i1: confirmed" in at.press(way_out)
    assert at.ends() == code
    at.until("1 left to decide.")
    with open_library(tmp_path / "library") as library, library.reading() as session:
        assert [one.state.name for one in draft_items(session, 1)] == ["confirmed", "open"]


def test_two_keys_at_once_or_none_of_these_decide_nothing(sits_down: Callable[[str], Terminal], tmp_path: Path) -> None:
    at = sits_down("ffplay")
    for keys in ("cr", "\x1b[A", "x", "un"):
        at.press(keys)
        assert "Press one of c r a" in at.until("q ?.")
    at.press("q")
    assert at.ends() == 0
    with open_library(tmp_path / "library") as library, library.reading() as session:
        assert [one.state.name for one in draft_items(session, 1)] == ["open", "open"]


def test_lines_are_typed_between_keys(sits_down: Callable[[str], Terminal], tmp_path: Path) -> None:
    at = sits_down("ffplay")
    at.press("h")
    for line, prompt in (("tool", "Kind: "), ("0:01.5-0:02", "recording]: ")):
        at.type(line, prompt)
    at.press("y")
    for line, prompt in (("disable", "Phase: "), ("socket", "Name: "), ("", "[Fastener]: "), ("10 mm", "[Size]: "),
                         ("", "[Count]: "), ("", "[Behind which item: i7]: ")):  # fmt: skip
        at.type(line, prompt)
    assert "tool: Socket 10 mm" in at.press("y")
    assert "i3: added" in at.press("u")
    assert "i3: taken back" in at.press("q")
    assert at.ends() == 0
    with open_library(tmp_path / "library") as library, library.reading() as session:
        assert [one.case.key for one in draft_items(session, 1)] == ["i1", "i2"]
