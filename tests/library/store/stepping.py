"""Brings a database to a version and is killed on the way; started by the tests, never imported by them.

Each line of standard input is a version and a number. A child is forked for it, and kills itself (SIGKILL) behind that
statement; 0 is in front of the commit, -1 never. The answer is how many statements there were, and how it ended.
"""

import os
import signal
import sys
import traceback
from itertools import count

from sqlalchemy import Engine, event

from vouchbook.library.store.migrate import bring_to
from vouchbook.library.store.open import engine_of, url_of


def step(where: str, version: str, at: int) -> None:
    passed = count(1)
    last = 0

    def end(how: str) -> None:
        os.write(1, f"{last} {how}\n".encode())
        if how == "killed":
            os.kill(os.getpid(), signal.SIGKILL)

    def statement(*_: object) -> None:
        nonlocal last
        last = next(passed)
        if last == at:
            end("killed")

    def commit(_: object) -> None:
        if at == 0:
            end("killed")

    event.listen(Engine, "after_cursor_execute", statement)
    event.listen(Engine, "commit", commit)
    bring_to(engine_of(url_of(where)), version)
    end("done")


def main() -> None:
    from alembic import command  # noqa: F401  once, for all children

    for line in sys.stdin:
        version, at = line.split()
        child = os.fork()
        if not child:
            try:
                step(sys.argv[1], version, int(at))
            except BaseException:  # noqa: BLE001  the child must never come back into this loop
                traceback.print_exc()
                os.write(1, b"0 failed\n")
            finally:
                os._exit(0)
        os.waitpid(child, 0)
        os.write(1, b"over\n")


if __name__ == "__main__":
    main()
