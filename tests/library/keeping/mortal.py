"""Works on a library and is killed in the midst of it; started by the tests, never imported by them.

Each line of standard input is one life: a child is forked, does the acts one after another, says ``done`` behind each
that was committed, and is killed (SIGKILL) by itself at the point that the line names, or by its parent after a while.
The last line of each life is ``end``, how it ended, and each point that was passed.
"""

import json
import os
import signal
import sys
import time
import traceback
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

from sqlalchemy import Engine, event, select

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

OFFICER, ARCHIVIST = Actor(person=2, login="olin"), Actor(person=5, login="alva")
_FILES = {"open", "os.rename", "os.remove", "os.mkdir", "os.chmod", "os.link", "os.rmdir", "sqlite3.connect"}
Act = dict[str, Any]


def add(library: Library, act: Act, draft: Draft) -> None:
    film = Path(act["film"])
    film.write_bytes(act["key"].encode() * 60_000)  # three blocks as they are copied
    visit = Visit(key=act["key"], subject=Subject(kind="loader", model=act["key"]), held_on=date(2031, 3, 1))
    one = draft.model_copy(update={"subject": act["key"]})
    bring(library, OFFICER, visit, one, [File(path=film, role="recording")])


def item_of(library: Library, act: Act) -> tuple[int, int]:
    with library.reading() as session:
        asked = select(ItemRow.id, ItemRow.version).join(DraftRow).join(VisitRow)
        number, version = session.execute(asked.where(VisitRow.key == act["key"], ItemRow.key == act["item"])).one()
        return number, version


def judge(library: Library, act: Act, _draft: Draft) -> None:
    number, version = item_of(library, act)
    reason = "unsafe" if act["verdict"] == "rejected" else None
    with library.work(Actor(person=act["who"], login="reviewer")) as work:
        decide(work, number, version, Judgement(verdict=act["verdict"], reason=reason))


def take_back(library: Library, act: Act, _draft: Draft) -> None:
    number, version = item_of(library, act)
    with library.work(Actor(person=act["who"], login="reviewer")) as work:
        undo(work, number, version)


def publish(library: Library, act: Act, _draft: Draft) -> None:
    from vouchbook.library.editions.publish import publish as publish_draft

    with library.reading() as session:
        number = session.execute(select(DraftRow.id).join(VisitRow).where(VisitRow.key == act["key"])).scalar_one()
    with library.work(ARCHIVIST) as work:
        publish_draft(work, number)


def copy(library: Library, act: Act, _draft: Draft) -> None:
    back_up(library, Path(act["folder"]))


ACTS: dict[str, Callable[[Library, Act, Draft], None]] = {
    "add": add, "decide": judge, "undo": take_back, "publish": publish, "backup": copy,
}  # fmt: skip


class Fate:
    """Counts the points that this process passes, and kills it at the one that is meant for it."""

    def __init__(self, at: int, around: str) -> None:
        self.at, self.around = at, around
        self.passed: list[str] = []

    def point(self, name: str) -> None:
        self.passed.append(name)
        if len(self.passed) == self.at:
            say("end", "killed", *self.passed)
            os.kill(os.getpid(), signal.SIGKILL)

    def begins(self) -> None:
        """From here on each statement, commit and touch of a file of the test's folder is a point."""
        event.listen(Engine, "before_cursor_execute", lambda *about: self.point(f"before {about[2].split()[0]}"))
        event.listen(Engine, "after_cursor_execute", lambda *about: self.point(f"after {about[2].split()[0]}"))
        event.listen(Engine, "commit", lambda _: self.point("before COMMIT"))
        sync = os.fsync

        def watched(number: int) -> None:
            self.point("before fsync")
            sync(number)
            self.point("after fsync")

        os.fsync = watched
        sys.addaudithook(self._told)

    def _told(self, name: str, about: tuple[object, ...]) -> None:
        if name in _FILES and str(about[0]).startswith(self.around):
            self.point(name)


def say(*words: str) -> None:
    os.write(1, ("\t".join(words) + "\n").encode())


def live(life: dict[str, Any]) -> None:
    draft = draft_from_json(Path(life["draft"]).read_text(), "draft")
    fate = Fate(life["dies_at"], life["around"])
    with open_library(life["where"], media=Path(life["media"])) as library:
        fate.begins()
        for act in life["acts"]:
            ACTS[act["act"]](library, act, draft)
            fate.point("after the commit")
            say("done")
    say("end", "alive", *fate.passed)


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
        if life["after_s"] is not None:
            time.sleep(life["after_s"])
            os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        say("end", "over")


if __name__ == "__main__":
    main()
