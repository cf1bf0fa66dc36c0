"""``vouchbook settings``: what the department sets about reviewing."""

from enum import StrEnum
from typing import TYPE_CHECKING, Annotated, get_args

import typer

from vouchbook.cli.library import Login, MediaFolder, Where, acting, opened
from vouchbook.cli.plain import say
from vouchbook.models.errors import SettingError

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from vouchbook.library.open import Library
    from vouchbook.library.review.rules import Department
    from vouchbook.models.people import Actor

NAME = "settings"
SUMMARY = "What the department sets about reviewing."
HELP = """Show the department's settings, or set those that are named; the others stay.

Danger warnings, amended values, doubtful words, what was added by hand and what one recorded or drafted oneself always
need two people; --second-for-kind and --second-for-signal name more, or `none`. In a one-person office nothing needs a
second person, and its editions say so. Drafts on the table follow new settings at once: how many items they put back to
wait for a second person is printed. What is published stays.

\b
Examples:
  vouchbook settings
  vouchbook settings set --second-for-kind step --second-for-signal warning --as ada
  vouchbook settings set --second-for-kind none --as ada
  vouchbook settings set --one-person --as ada
  vouchbook settings set --reverify loader=12 --reverify lift=usual --as ada
"""
_NONE, _USUAL = "none", "usual"
_LONGEST_KIND = 120


class Action(StrEnum):
    """What can be done with the settings."""

    SHOW = "show"
    SET = "set"


def run(
    action: Annotated[Action, typer.Argument(help="What to do.")] = Action.SHOW,
    one_person: Annotated[
        bool | None, typer.Option("--one-person/--several-people", help="Whether one person may vouch alone.")
    ] = None,
    kinds: Annotated[
        list[str] | None,
        typer.Option("--second-for-kind", metavar="KIND", help="A kind of item that two must decide on; repeat."),
    ] = None,
    signals: Annotated[
        list[str] | None,
        typer.Option("--second-for-signal", metavar="SIGNAL", help="A signal word that two must decide on; repeat."),
    ] = None,
    reverify: Annotated[
        list[str] | None,
        typer.Option(
            "--reverify",
            metavar="MACHINE=MONTHS",
            help="Months until an edition about this kind of machine is due; MACHINE=usual takes it back. Repeat.",
        ),
    ] = None,
    library: Where = None,
    media: MediaFolder = None,
    login: Login = None,
) -> None:
    """The settings, and what setting them moved."""
    is_said = one_person is not None or bool(kinds or signals or reverify)
    if action is Action.SHOW and is_said:
        raise SettingError("settings show: it sets nothing. Use `vouchbook settings set` with these options.")
    if action is Action.SET and not is_said:
        raise SettingError("settings set: nothing was said. Give what to set, such as --one-person.")
    from vouchbook.library.review.department import department

    with opened(library, media) as kept:
        if action is Action.SET:
            _set(kept, acting(kept, login), _said(one_person, kinds, signals), reverify or [])
        else:
            with kept.reading() as session:
                _print(department(session))


def _print(now: "Department") -> None:
    from vouchbook.library.editions.content import USUAL_MONTHS

    months = [f"{kind} {number}" for kind, number in sorted(now.reverify_months.items())]
    for name, told in (
        ("one-person", "yes" if now.is_one_person else "no"),
        ("second-for-kind", ", ".join(sorted(now.second_for_kinds)) or _NONE),
        ("second-for-signal", ", ".join(sorted(now.second_for_signals)) or _NONE),
        ("reverify", "; ".join([*months, f"{'all others' if months else 'all'} {USUAL_MONTHS} months"])),
    ):
        say(f"{name:18} {told}")


def _said(one_person: object, kinds: list[str] | None, signals: list[str] | None) -> dict[str, object]:
    """What the options say, by the names of the fields; what they do not name stays as it is."""
    from vouchbook.models.editions import ItemKind
    from vouchbook.models.items import Signal

    said: dict[str, object] = {} if one_person is None else {"is_one_person": one_person}
    if kinds:
        said["second_for_kinds"] = _chosen("--second-for-kind", kinds, get_args(ItemKind))
    if signals:
        said["second_for_signals"] = _chosen("--second-for-signal", signals, get_args(Signal))
    return said


def _set(library: "Library", actor: "Actor", said: dict[str, object], reverify: list[str]) -> None:
    from vouchbook.library.review.department import department
    from vouchbook.library.review.rules import Department
    from vouchbook.library.settings import set_department

    with library.work(actor) as work:
        before = department(work.session)
        months = _months(before.reverify_months, reverify)
        after = Department.model_validate(before.model_dump() | said | {"reverify_months": months})
        moved = set_department(work, after)
        unknown = _unknown(work.session, reverify)
    _print(after)
    if moved.put_back:
        say(f"Decided items of open drafts that wait for a second person again: {moved.put_back}")
    if moved.now_decided:
        say(f"Items of open drafts that waited for a second person and are decided now: {moved.now_decided}")
    for kind in unknown:
        say(f"No visit is about a {kind!r} yet: is it spelled as in `vouchbook add --kind`?", is_error=True)


def _chosen(option: str, given: list[str], known: tuple[str, ...]) -> frozenset[str]:
    """What was given, all of it known; nothing for "none" alone."""
    wanted = frozenset(given)
    if wanted == {_NONE}:
        return frozenset()
    for one in given:
        if one not in known:
            raise SettingError(f"{option} {one!r}: there is none of that name. Give {', '.join(known)}, or {_NONE}.")
    return wanted


def _months(before: dict[str, int], given: list[str]) -> dict[str, int]:
    """The months as they were, with those that are ``given`` over them."""
    after = dict(before)
    for one in given:
        kind, _, months = (part.strip() for part in one.rpartition("="))
        if not kind or not kind.isprintable() or len(kind) > _LONGEST_KIND:
            raise SettingError(f"--reverify {one!r}: which kind of machine? Give it as loader=12.")
        if months == _USUAL:
            after.pop(kind, None)
        elif months.isdecimal() and months.isascii() and len(months) < 6:
            after[kind] = int(months)
        else:
            raise SettingError(f"--reverify {one!r}: that is no number of months. Give {kind}=12, or {kind}={_USUAL}.")
    return after


def _unknown(session: "Session", given: list[str]) -> list[str]:
    """Kinds of machine among ``given`` that no visit is about: most likely slips of the pen."""
    from sqlalchemy import select

    from vouchbook.library.store.tables import SubjectRow

    known = set(session.scalars(select(SubjectRow.kind).distinct()))
    return [kind for kind in (one.rpartition("=")[0].strip() for one in given) if kind not in known]
