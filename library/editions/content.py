"""What an edition holds, its canonical form and hash, and whether a draft is decided enough to become one."""

from collections.abc import Mapping, Sequence
from datetime import date

from vouchbook.library.audit.chain import canonical, canonical_sha256
from vouchbook.library.months import months_later
from vouchbook.library.review.rules import Case, Department, State
from vouchbook.library.review.words import amended, changes
from vouchbook.models.decisions import Decision, FieldValue, Settlement
from vouchbook.models.editions import (
    AskedQuestion,
    Bonds,
    Borrowed,
    Edition,
    Quoted,
    RejectedItem,
    SettledQuestion,
    VouchedItem,
    Voucher,
    quotes_of,
)
from vouchbook.models.questions import OpenQuestion
from vouchbook.models.record import Record

ONE_PERSON_NOTE = (
    "This department is a one-person office: one person may have recorded, drafted and vouched for all of this."
)
USUAL_MONTHS = 24
"""Until an edition is due again, where the department sets nothing; our choice, no source."""


class DecidedCase(Record):
    """One item of the draft: the case, where it stands, its words, its bonds and, if borrowed, where from."""

    case: Case
    state: State
    quotes: tuple[Quoted, ...] = ()
    bonds: Bonds = Bonds()
    borrowed: Borrowed | None = None


class StillOpen(Record):
    """What stands between a draft and its edition: the key of an item or question, and one sentence."""

    key: str
    sentence: str


def still_open(
    cases: Sequence[DecidedCase], questions: Sequence[AskedQuestion], settlements: Mapping[str, Settlement]
) -> tuple[StillOpen, ...]:
    """Everything that must still be decided, items first; empty when the draft can be published.

    ``settlements`` holds the settlement of each question by its key; one that was taken back counts nothing.
    """
    found: list[StillOpen] = []
    for entry in cases:
        key, name = entry.case.key, entry.state.name
        if name == "open":
            text = "two people disagree on it" if entry.state.disputed else "nobody has decided it"
            found.append(StillOpen(key=key, sentence=f"Item {key} is open: {text}."))
        elif name == "waits for a second person":
            found.append(StillOpen(key=key, sentence=f"Item {key} waits for a second person: {entry.state.needs[0]}."))
    for question in questions:
        settlement = settlements.get(question.key)
        if settlement is None or settlement.undone_at is not None:
            about = " ".join(question.about.split())
            found.append(
                StillOpen(
                    key=question.key,
                    sentence=f"Question {question.key} is open: answer it, carry it or call it not needed ({about}).",
                )
            )
    if not any(entry.state.name in ("confirmed", "amended") for entry in cases) and not found:
        found.append(StillOpen(key="", sentence="Nothing was confirmed: an edition needs at least one item."))
    return tuple(found)


def edition_items(
    cases: Sequence[DecidedCase], names: Mapping[int, str]
) -> tuple[tuple[VouchedItem, ...], tuple[RejectedItem, ...]]:
    """The items of an edition in procedure order, each warning before its step; and the warnings that were rejected.

    ``cases`` stand in procedure order, all decided; ``names`` gives people's names by number.

    Raises:
        ValueError: an item is not decided, or an amendment does not make a sound item.
    """
    vouched: list[VouchedItem] = []
    rejected: list[RejectedItem] = []
    for entry in cases:
        if entry.state.name in ("open", "waits for a second person"):
            raise ValueError(f"item {entry.case.key} is not decided")
        decision = entry.state.counted[0]
        known = _known(entry, names)
        if decision.verdict == "rejected":
            if entry.case.kind == "warning":
                rejected.append(RejectedItem.model_validate(known | {"reason": decision.reason, "note": decision.note}))
            continue
        words = amended(entry.case.as_read, decision.words or {})
        told = {"as_vouched": words, "changes": changes(entry.case.as_read, words), "bonds": _bonds(entry, words)}
        vouched.append(VouchedItem.model_validate(known | told))
    steps = {item.key for item in vouched if item.kind == "step"}
    bound = [item.model_copy(update={"bonds": item.bonds.among(steps)}) for item in vouched]
    return in_safe_order(bound), tuple(rejected)


def in_safe_order(items: Sequence[VouchedItem]) -> tuple[VouchedItem, ...]:
    """``items`` with each warning moved up before the first step that it guards; all others keep their order."""
    warnings = [item for item in items if item.kind == "warning"]
    out: dict[str, VouchedItem] = {}
    for item in items:
        late = [warning for warning in warnings if item.kind == "step" and item.key in warning.bonds.guards]
        for one in (*late, item):
            out.setdefault(one.key, one)
    return tuple(out.values())


def asked(question: OpenQuestion) -> AskedQuestion:
    """A question of the draft, as an edition holds it."""
    return AskedQuestion(
        key=question.id,
        kind=question.kind,
        about=question.about,
        ask=question.ask,
        phase=question.phase,
        quotes=quotes_of(question.evidence),
    )


def settled_questions(
    questions: Sequence[AskedQuestion], settlements: Mapping[str, Settlement], names: Mapping[int, str]
) -> tuple[SettledQuestion, ...]:
    """The questions of a draft with what became of each, in the draft's order.

    Raises:
        KeyError: a question is not settled, or a person has no name.
    """
    found: list[SettledQuestion] = []
    for question in questions:
        one = settlements[question.key]
        answer = {"outcome": one.outcome, "answer": one.answer, "still_sha256": one.still_sha256, "spot": one.spot}
        settled = Voucher(person=one.by, name=names[one.by], at=one.at)
        found.append(
            SettledQuestion.model_validate(
                question.model_dump(include=set(AskedQuestion.model_fields)) | answer | {"settled": settled}
            )
        )
    return tuple(found)


def reverify_on(published_on: date, subject_kind: str, department: Department) -> date:
    """The day on which an edition is due again; the last of the month where the month has no such day."""
    return months_later(published_on, department.reverify_months.get(subject_kind, USUAL_MONTHS))


def one_person_note(department: Department) -> str | None:
    """What an edition says where one person may vouch alone, or None."""
    return ONE_PERSON_NOTE if department.is_one_person else None


def canonical_json(edition: Edition) -> str:
    """The one form of an edition that its hash covers, that of everything that the library hashes."""
    return canonical(edition.model_dump(mode="json")).decode()


def content_sha256(edition: Edition) -> str:
    """The SHA-256 of :func:`canonical_json`, in hexadecimal."""
    return canonical_sha256(edition.model_dump(mode="json"))


def _known(entry: DecidedCase, names: Mapping[int, str]) -> dict[str, object]:
    case = entry.case
    vouchers = [_voucher(decision, names) for decision in entry.state.counted]
    return {
        "key": case.key,
        "kind": case.kind,
        "origin": case.origin,
        "source_note": case.source_note,
        "borrowed": entry.borrowed,
        "as_read": case.as_read,
        "quotes": entry.quotes,
        "first": vouchers[0],
        "second": vouchers[1] if len(vouchers) > 1 else None,
    }


def _voucher(decision: Decision, names: Mapping[int, str]) -> Voucher:
    return Voucher(person=decision.by, name=names[decision.by], at=decision.at)


def _bonds(entry: DecidedCase, words: Mapping[str, FieldValue]) -> Bonds:
    """The reason for a signal word goes where a person chose another word."""
    is_same = words.get("signal") == entry.case.as_read.get("signal")
    return entry.bonds if is_same else entry.bonds.model_copy(update={"signal_reason": None})
