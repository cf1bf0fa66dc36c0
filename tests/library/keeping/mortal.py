"""Works on a library and is killed in the midst of it; started by the tests, never imported by them.

Each line of standard input is one life: a child is forked, does the acts one after another, says ``done`` behind each
that was committed, and is killed (SIGKILL) by itself at the point that the line names.
The last lines of each life are ``killed`` or ``alive``, and ``over`` when it can be seen by all that it has ended.
"""

import json
import os
import signal
import sys
import traceback
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sqlalchemy import Engine, event, select

from vouchbook.library.editions import publish
from vouchbook.library.keeping.backup import back_up
from vouchbook.library.open import Library, open_library
from vouchbook.library.review.decide import decide, undo
from vouchbook.library.store.tables import DraftRow, ItemRow, VisitRow
from vouchbook.library.visits.bring import File, bring
from vouchbook.models.decisions import Judgement
from vouchbook.models.draft import Draft, draft_from_json
from vouchbook.models.people import Actor
from vouchbook.models.subjects import Subject
from vouchbook.models.visits import Visit

if TYPE_CHECKING:
    from _typeshed import HasFileno

OFFICER, ARCHIVIST = Actor(person=2, login="olin"), Actor(person=5, login="alva")
_FILES = {"open", "os.rename", "os.remove", "os.mkdir", "os.chmod", "os.link", "os.rmdir", "sqlite3.connect"}
Act = dict[str, Any]
MOST_S = 50
"""How long a life may last: a test fails rather than waits."""


def add(library: Library, act: Act, draft: Draft) -> None:
    film = Path(act["film"])
    film.write_bytes(act["key"].encode() * 60_000)  # three blocks as they are copied
    visit = Visit(key=act["key"], subject=Subject(kind="loader", model=act["key"]), held_on=date(2031, 3, 1))
    one = draft.model_copy(update={"subject": act["key"]})
    bring(library, OFFICER, visit, one, [File(path=film, role="captions")])


def item_of(library: Library, act: Act) -> tuple[int, int]:
    with library.reading() as session:
        asked = select(ItemRow.id, ItemRow.version).join(DraftRow).join(VisitRow)
        number, version = session.execute(asked.where(VisitRow.key == act["key"], ItemRow.key == act["item"])).one()
        return number, version


def judge(library: Library, act: Act, _draft: Draft) -> None:
    number, version = item_of(library, act)
    judgement = Judgement.model_validate({"verdict": act["verdict"], "reason": act["reason"]})
    with library.work(Actor(person=act["who"], login="reviewer")) as work:
        decide(work, number, version, judgement)


def take_back(library: Library, act: Act, _draft: Draft) -> None:
    number, version = item_of(library, act)
    with library.work(Actor(person=act["who"], login="reviewer")) as work:
        undo(work, number, version)


def issue(library: Library, act: Act, _draft: Draft) -> None:
    with library.reading() as session:
        number = session.execute(select(DraftRow.id).join(VisitRow).where(VisitRow.key == act["key"])).scalar_one()
    with library.work(ARCHIVIST) as work:
        publish.publish(work, number)


def copy(library: Library, act: Act, _draft: Draft) -> None:
    back_up(library, Path(act["folder"]))


ACTS: dict[str, Callable[[Library, Act, Draft], None]] = {
    "add": add, "decide": judge, "undo": take_back, "publish": issue, "backup": copy,
}  # fmt: skip


class Fate:
    """Counts the points that this process passes, and kills it at the one that is meant for it."""

    def __init__(self, at: int, around: str) -> None:
        self.at, self.around, self.passed = at, around, 0

    def point(self) -> None:
        self.passed += 1
        if self.passed == self.at:
            say("killed")
            os.kill(os.getpid(), signal.SIGKILL)

    def begins(self) -> None:
        """From here on each statement, commit and touch of a file of the test's folder is a point."""
        event.listen(Engine, "before_cursor_execute", lambda *_: self.point())
        event.listen(Engine, "after_cursor_execute", lambda *_: self.point())
        event.listen(Engine, "commit", lambda _: self.point())
        sync = os.fsync

        def watched(fd: "int | HasFileno") -> None:
            self.point()
            sync(fd)
            self.point()

        os.fsync = watched
        sys.addaudithook(self._told)

    def _told(self, name: str, about: tuple[object, ...]) -> None:
        if name in _FILES and str(about[0]).startswith(self.around):
            self.point()


def say(word: str) -> None:
    os.write(1, f"{word}\n".encode())


def live(life: dict[str, Any]) -> None:
    signal.alarm(MOST_S)
    draft = draft_from_json(Path(life["draft"]).read_text(), "draft")
    fate = Fate(life["dies_at"], life["around"])
    with open_library(life["where"], media=Path(life["media"])) as library:
        fate.begins()
        for act in life["acts"]:
            ACTS[act["act"]](library, act, draft)
            fate.point()
            say("done")
    say("alive")


def main() -> None:
    say("ready")
    for line in sys.stdin:
        life = json.loads(line)
        child = os.fork()
        if not child:
            try:
                live(life)
            except BaseException:  # noqa: BLE001  the child must never come back into this loop
                traceback.print_exc()
            finally:
                os._exit(0)
        os.waitpid(child, 0)
        say("over")


if __name__ == "__main__":
    main()
