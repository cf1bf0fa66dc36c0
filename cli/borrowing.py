"""What the library knows beside a draft: what stands against it, and what can be borrowed, as a numbered list."""

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from vouchbook.library.editions.statements import headed
from vouchbook.library.known.borrowed import Candidate
from vouchbook.library.known.compare import Finding
from vouchbook.library.known.sides import Side
from vouchbook.models.clock import clock
from vouchbook.models.editions import Borrowed

_MOST = 12


class Loan(NamedTuple):
    """An item of an edition that can be borrowed, and what it says."""

    borrowed: Borrowed
    says: str


def loans(candidates: Sequence[Candidate]) -> tuple[Loan, ...]:
    """What may have been meant by "same as the last one", the likest first; what nobody said there is left out."""
    return tuple(Loan(one.borrowed, _says(one.side)) for one in _said(candidates)[:_MOST])


def not_mentioned(findings: Sequence[Finding]) -> tuple[Loan, ...]:
    """What editions of this machine know that the talk did not mention."""
    sides = (one.there[0] for one in findings if one.what == "not mentioned")
    return tuple(Loan(named, _says(side)) for side in sides if (named := _borrowed(side)) is not None)


def candidate_lines(candidates: Sequence[Candidate]) -> Iterator[str]:
    """The candidates behind their numbers, with subject, edition and words."""
    said = _said(candidates)
    for number, one in enumerate(said[:_MOST], 1):
        source = f"edition {one.borrowed.edition} of {one.borrowed.subject} ({one.relation})"
        yield f"{number:4}  {_says(one.side)}, from {source}"
        yield from _quote(one.side)
    if len(said) > _MOST:
        yield f"      and {len(said) - _MOST} more, less like it"
    if not said:
        yield "      The library has nothing like it."


def known_lines(findings: Sequence[Finding]) -> Iterator[str]:
    """All that stands against a draft; last what it did not mention, behind the numbers of :func:`not_mentioned`."""
    yield from (f"      {one.what}: {one.sentence}" for one in findings if one.what != "not mentioned")
    number = 0
    for one in findings:
        if one.what == "not mentioned":
            side = one.there[0]
            can_borrow = _borrowed(side) is not None
            number += can_borrow
            yield f"{number if can_borrow else '':4}  not mentioned: {_says(side)}, in {side.where} (key {side.item})"
            yield from _quote(side)
    if not findings:
        yield "      Nothing stands against what is known."


def known_summary(findings: Sequence[Finding]) -> str:
    """How much there is to look at, in one line; empty where there is nothing."""
    missing = sum(one.what == "not mentioned" for one in findings)
    against = len(findings) - missing
    told = [f"{against} said otherwise"] if against else []
    told += [f"{missing} known before and not mentioned"] if missing else []
    return f"Against what is known: {', '.join(told)}. Press k to see." if told else ""


def about(findings: Sequence[Finding], key: str) -> Iterator[str]:
    """What stands against one item of the draft."""
    for one in findings:
        if key in {side.item for side in one.here}:
            yield f"    Known otherwise, {one.what}: {one.sentence}"


def _said(candidates: Sequence[Candidate]) -> list[Candidate]:
    """Those whose words somebody said."""
    return [one for one in candidates if one.side.quotes]


def _borrowed(side: Side) -> Borrowed | None:
    if side.subject is None or side.edition is None or side.visit is None or not side.quotes:
        return None
    return Borrowed(subject=side.subject, edition=side.edition, visit=side.visit, item=side.item)


def _says(side: Side) -> str:
    return headed(side.kind, side.fields)


def _quote(side: Side) -> Iterator[str]:
    for quoted in side.quotes[:1]:
        yield f"        {clock(quoted.start_s)} \u201c{quoted.quote}\u201d"
