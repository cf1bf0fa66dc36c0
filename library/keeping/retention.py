"""How long media are kept: rules that the department sets, what is due by them, and its removal by a person."""

from collections.abc import Collection
from datetime import date

from pydantic import Field
from sqlalchemy import select
from sqlalchemy.orm import Session

from vouchbook.library.actor import Work
from vouchbook.library.audit.journal import last_at
from vouchbook.library.editions.shelf import is_in_force
from vouchbook.library.keeping.holds import free_to_go
from vouchbook.library.keeping.removal import CONSENT, KEEPERS, RETENTION, Gone, finish_removals, is_held, remove
from vouchbook.library.months import months_later
from vouchbook.library.open import Library
from vouchbook.library.store.people_tables import SettingRow
from vouchbook.library.store.setting import plain, put_setting
from vouchbook.library.store.tables import EditionRow, MediumRow, VisitMediumRow, VisitRow
from vouchbook.models.errors import ConflictError, SettingError
from vouchbook.models.people import Actor
from vouchbook.models.record import Record
from vouchbook.models.visits import MediumRole

_SETTING = "retention"
_MOST_MONTHS = 1200


class Retention(Record):
    """Months that media are kept after the day of the visit, by what they are to it; for ever where nothing is set.

    ``spares_editions`` keeps, beyond that, what an edition that is in force rests on: it must be possible to hear it.
    """

    months: dict[MediumRole, int] = Field(default_factory=dict)
    spares_editions: bool = True


class Due(Record):
    """A medium that the rules let go since ``since``; it stays while it ``is_held``, or an edition ``is_in_force``."""

    sha256: str
    visits: tuple[str, ...]
    since: date
    is_held: bool
    is_in_force: bool

    @property
    def may_go(self) -> bool:
        """Whether nothing keeps it."""
        return not (self.is_held or self.is_in_force)


def retention(session: Session) -> Retention:
    """What was set, or nothing."""
    row = session.get(SettingRow, _SETTING)
    return Retention.model_validate(row.value) if row else Retention()


def set_retention(work: Work, wanted: Retention) -> None:
    """Sets all of it, by an administrator. Nothing goes by that alone.

    Raises:
        NotAllowedError: not by an administrator.
        SettingError: months that are none.
    """
    work.needs("administrator")
    for role, months in wanted.months.items():
        if not 1 <= months <= _MOST_MONTHS:
            raise SettingError(f"retention of {role}: {months} months are none. Give 1 to {_MOST_MONTHS}.")
    after = plain(wanted)
    before = put_setting(work.session, _SETTING, after)
    work.journal("set", "setting", _SETTING, {"before": before, "after": after})


def due(session: Session, today: date) -> tuple[Due, ...]:
    """All media that the rules let go, the longest due first. One of several visits is due when it is for each."""
    rules = retention(session)
    uses: dict[str, list[tuple[str, date, bool]]] = {}
    asked = (
        select(VisitMediumRow.sha256, VisitMediumRow.role, VisitRow.id, VisitRow.key, VisitRow.held_on)
        .join(VisitRow, VisitRow.id == VisitMediumRow.visit_id)
        .join(MediumRow, MediumRow.sha256 == VisitMediumRow.sha256)
        .where(MediumRow.removed_at.is_(None))
    )
    in_force = _visits_in_force(session) if rules.spares_editions else frozenset()
    by_role = {str(role): months for role, months in rules.months.items()}
    for sha256, role, visit_id, key, held_on in session.execute(asked):
        months = by_role.get(role)
        end = months_later(held_on, months) if months else date.max
        uses.setdefault(sha256, []).append((key, end, visit_id in in_force))
    found = []
    for sha256, told in uses.items():
        since = max(end for _, end, _ in told)
        if since <= today:
            found.append(
                Due(
                    sha256=sha256,
                    visits=tuple(sorted({key for key, _, _ in told})),
                    since=since,
                    is_held=is_held(session, sha256),
                    is_in_force=any(in_use for _, _, in_use in told),
                )
            )
    return tuple(sorted(found, key=lambda one: (one.since, one.sha256)))


def let_go(library: Library, actor: Actor, chosen: Collection[str]) -> tuple[Gone, ...]:
    """Removes those of ``chosen`` media: a person looked at what is due, or at what waited for the end of a hold.

    Nothing goes by the clock alone: a clock that runs ahead would empty the library.

    Raises:
        NotAllowedError: not by an archivist or administrator.
        ConflictError: one of them is not due, something keeps it, or the clock has gone back. Then nothing goes.
    """
    with library.work(actor) as work:
        work.needs(*KEEPERS)
        last = last_at(work.session)
        if last is not None and work.at < last:
            raise ConflictError(
                "retention", f"the clock says {work.at:%d %B %Y}, before the last entry", "Set it right"
            )
        ripe = {one.sha256 for one in due(work.session, work.at.date()) if one.may_go}
        waited = set(free_to_go(work.session))
        for sha256 in sorted(chosen):
            if sha256 not in ripe | waited:
                raise ConflictError(
                    f"medium {sha256}", "it is not due, or something keeps it", "Look at the list again"
                )
        gone = [remove(work, sha256, CONSENT if sha256 in waited else RETENTION) for sha256 in sorted(chosen)]
    finish_removals(library)
    return tuple(one for one in gone if one is not None)


def _visits_in_force(session: Session) -> frozenset[int]:
    """Visits with an edition that is neither withdrawn nor replaced."""
    return frozenset(session.scalars(select(EditionRow.visit_id).where(is_in_force())))
