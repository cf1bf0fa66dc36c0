"""Consent in lines: where the people of a visit stand, and what of it is out of sight."""

from collections.abc import Iterable, Sequence

from sqlalchemy.orm import Session

from vouchbook.cli.media_lines import medium_line, short
from vouchbook.library.keeping.consent import NO_NAME, Standing, consents_of, shown_by, stands_against
from vouchbook.library.keeping.holds import holds
from vouchbook.library.keeping.kept import KeptMedium, media_of, media_of_visit
from vouchbook.library.keeping.removal import WHEN_FREE, is_held
from vouchbook.library.people.people import names
from vouchbook.library.visits.listing import ListedVisit
from vouchbook.library.visits.participants import voices_of_nobody
from vouchbook.library.visits.visits import visit_of
from vouchbook.models.visits import Covers


def visit_line(visit: ListedVisit, standings: Sequence[Standing]) -> str:
    """A visit in a list, with how many people stand how."""
    withdrew = sum(bool(one.withdrawn) for one in standings)
    unasked = sum(not one.history for one in standings)
    told = [f"{len(standings)} taking part"]
    told += [f"{unasked} with nothing written down"] if unasked else []
    told += [f"{withdrew} withdrew"] if withdrew else []
    return f"{visit.id:4}  {visit.held_on}  {visit.subject}: {', '.join(told)}"


def visit_lines(session: Session, visit_id: int) -> list[str]:
    """Everybody of a visit with their history, what of it is out of sight, and the holds that stand on it.

    Raises:
        NotFoundError: there is no visit of that number.
    """
    visit, known = visit_of(session, visit_id), names(session)
    lines = [f"Visit {visit_id}, {visit.held_on}, {visit.subject}", f"      key {visit.key}"]
    for one in consents_of(session, visit_id):
        lines.append(f"{one.participant_id:4}  {one.participant.name} ({one.participant.part}): {_stands(one)}")
        for told in one.history:
            word = "agreed to" if told.given else "withdrew"
            note = f": {told.note}" if told.note else ""
            by = f"written down by {known.get(told.recorded_by, '?')}"
            lines.append(f"        {told.at:%Y-%m-%d}  {word} {_listed(told.covers)}, {by}{note}")
    if not visit.participants:
        lines.append("      Nobody is written down as taking part.")
    voices = ", ".join(voices_of_nobody(session, visit_id))
    if voices:
        lines.append(f"      Heard and not named: {voices}. `vouchbook participants {visit_id}` names them.")
    away = (medium for medium in media_of_visit(session, visit_id) if medium.state != "shown")
    lines += [f"{medium.state:8} {medium_line(medium)} ({medium.reason})" for medium in away]
    lines += [f"Hold {hold.id} stands on it: {hold.reason}" for hold in holds(session, visit_id=visit_id)]
    return lines


def hidden_lines(session: Session, visit_id: int) -> list[str]:
    """What of a visit stays hidden until somebody shows it again."""
    return [
        f"still hidden  {medium_line(medium)}: `vouchbook consent show-again {visit_id} {short(medium.sha256)}`"
        for medium in media_of_visit(session, visit_id)
        if medium.state == "hidden"
    ]


def removal_lines(session: Session, visit_id: int, about: Standing, covers: Iterable[Covers]) -> list[str]:
    """What a withdrawal with removal takes for good."""
    wanted = frozenset(covers)
    lines = []
    for sha256, medium in media_of(session, shown_by(session, visit_id, wanted)).items():
        becomes = "is hidden, and goes when the legal hold ends" if is_held(session, sha256) else "goes for good"
        lines.append(f"{medium_line(medium)}: {becomes}")
    if "name" in wanted:
        held = holds(session, visit_id=visit_id)
        becomes = "stays in the list while a legal hold stands" if held else "goes from the list for good"
        lines.append(f"The name {about.participant.name} {becomes}.")
    return lines


def against_lines(session: Session, medium: KeptMedium) -> list[str]:
    """What speaks against showing a medium again."""
    lines = [
        f"Participant {one.participant_id}, {one.participant.name}, withdrew {_listed(one.withdrawn)}."
        for one in stands_against(session, medium)
    ]
    if medium.reason == WHEN_FREE:
        lines.append("It was to go when the legal hold ends; shown again, it stays.")
    return lines


def names_that_wait(session: Session, visit_id: int) -> list[str]:
    """What to do about names that were withdrawn and still stand in the list of a visit."""
    return [
        f"The name of participant {one.participant_id} is withdrawn and still in the list: "
        f"`vouchbook consent withdraw {visit_id} {one.participant_id} --covers name --remove`"
        for one in consents_of(session, visit_id)
        if "name" in one.withdrawn and one.participant.name != NO_NAME
    ]


def _stands(one: Standing) -> str:
    told = [f"agrees to {_listed(one.agreed)}"] if one.agreed else []
    told += [f"withdrew {_listed(one.withdrawn)}"] if one.withdrawn else []
    return "; ".join(told) or "nothing written down"


def _listed(covers: Iterable[Covers]) -> str:
    return ", ".join(sorted(covers))
