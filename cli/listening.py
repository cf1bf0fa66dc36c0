"""Plays the words of an item to the person at the table, and tells the library what they heard."""

from collections.abc import Iterator, Sequence

from vouchbook.cli.player import play, player
from vouchbook.library.actor import as_known
from vouchbook.library.keeping.removal import medium_for
from vouchbook.library.open import Library
from vouchbook.library.review.cases import Drafted
from vouchbook.library.review.plays import Played, report
from vouchbook.library.visits.said import place
from vouchbook.models.clock import clock
from vouchbook.models.editions import Borrowed, Quoted
from vouchbook.models.errors import LibraryError
from vouchbook.models.people import Actor


def listen(
    library: Library, actor: Actor, draft_id: int, quotes: Sequence[Quoted], borrowed: Borrowed | None
) -> Iterator[str]:
    """Plays each of ``quotes``; gives a line for each, also where it cannot be played and why.

    What counts as heard is what the player ran for, never more than the words. What is hidden is neither played nor
    named to who does not keep the library.
    """
    with library.reading() as session:
        sound = Drafted(session, draft_id).sound_for(borrowed)
    name = player()
    for quoted in quotes:
        where = place(sound.sources, sound.recordings, quoted.start_s, quoted.end_s)
        told = f"{clock(quoted.start_s)} \u201c{quoted.quote}\u201d"
        if where.sha256 not in sound.kept or where.sha256 is None:
            yield f"{told}: there is no recording to hear it in."
            continue
        try:
            with library.reading() as session:
                medium_for(session, where.sha256, as_known(session, actor).roles)
        except LibraryError as error:
            yield f"{told}: {error}"
            continue
        file = library.media.path(where.sha256)
        if name is None:
            yield f"{told}: no player (ffplay or mpv) is installed; it is in {file} from second {where.start_s:.1f}."
            continue
        end_s = play(name, file, where.start_s, where.end_s)
        if end_s <= where.start_s:
            yield f"{told}: {name} could not play {file}."
            continue
        try:
            with library.work(actor) as work:
                report(work, sound.visit_id, [Played(sha256=where.sha256, start_s=where.start_s, end_s=end_s)])
        except LibraryError as error:
            yield str(error)
            continue
        yield f"{told}: played."
