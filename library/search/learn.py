"""Learns the meaning of sentences that have no vector yet, a part at a time, so that nobody waits for it."""

from collections.abc import Callable
from typing import TYPE_CHECKING

from vouchbook.library.open import Library
from vouchbook.library.search.vectors import keep, unlearned, unlearned_count, vectors_of
from vouchbook.models.people import THE_LIBRARY

if TYPE_CHECKING:
    from vouchbook.library.search.encoder import Encoder

_PART = 512


def learn(library: Library, encoder: "Encoder", told: Callable[[int, int], None] | None = None) -> int:
    """Gives every sentence its vector; returns how many it gave. ``told`` hears how many are done, and of how many.

    A part is worked out while nobody waits, then kept in a piece of work of its own: if this is stopped, the rest is
    left for the next time. A vector follows from the words alone, so no entry of the journal tells of it.

    Raises:
        StoreError: the library is busy, full or cannot be reached.
    """
    with library.reading() as session:
        of = unlearned_count(session.connection())
    done, seen = 0, set[int]()
    while True:
        with library.reading() as session:
            part = [each for each in unlearned(session.connection(), _PART) if each.id not in seen]
        if not part:
            return done
        vectors = vectors_of(encoder, part)
        with library.work(THE_LIBRARY) as work:
            keep(work.session.connection(), part, vectors)
        seen.update(each.id for each in part)  # one that changed meanwhile waits for the next time
        done += len(part)
        if told is not None:
            told(done, max(of, done))
