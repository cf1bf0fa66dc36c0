"""Items, questions and differences in lines that people read (pure)."""

from collections.abc import Iterator, Sequence

from vouchbook.library.editions.difference import ChangedItem, Difference
from vouchbook.library.editions.shelf import Shelved
from vouchbook.library.editions.verifications import Verification
from vouchbook.models.decisions import Fields
from vouchbook.models.editions import Edition, FieldChange, ItemKind, SettledQuestion, VouchedItem


def statement(kind: ItemKind, fields: Fields) -> str:
    """An item in one line, with the values that its fields have and no others."""
    said = {name: str(value) for name, value in fields.items() if value is not None}
    count = f"{said['count']} \u00d7 " if "count" in said else ""
    match kind:
        case "step":
            thing = f"{said['action']} {count}{said.get('object', '')}".strip()
            first = f"{said['condition']}: {thing}" if "condition" in said else thing
            more = [said.get("size"), f"with {said['tool']}" if "tool" in said else None, said.get("place")]
            line = " \u00b7 ".join([first, *(part for part in more if part)])
        case "tool":
            first = " ".join(part for part in (said["name"], said.get("size")) if part)
            thing = f"{count}{said['fastener']}" if "fastener" in said else said.get("count", "")
            line = f"{first}, for {thing}" if thing else first
        case "location":
            line = f"{said['part']}: {said.get('place', '')}"
        case "warning":
            never = said.get("prohibits")
            told = never is None or said["text"].lower().endswith(f"never {never.lower()}")
            line = said["text"] if told else f"{said['text']}. Never: {never}"
        case "cue":
            line = said["text"]
    return line[:1].upper() + line[1:]


def headed(kind: ItemKind, fields: Fields) -> str:
    """The same behind its kind; a warning behind its signal word, with its hazard."""
    if kind != "warning":
        return f"{kind}: {statement(kind, fields)}"
    hazard = "" if fields["hazard"] == "other" else f" ({fields['hazard']})"
    return f"{str(fields['signal']).upper()}: {statement(kind, fields)}{hazard}"


def edition_lines(edition: Edition, verified: Sequence[Verification] = ()) -> Iterator[str]:
    """An edition from its caution to its questions; ``verified`` is what it was looked at for since."""
    yield edition.caution
    yield ""
    yield f"{edition.subject}, edition {edition.number}, {edition.published.at:%d %B %Y} by {edition.published.name}"
    standing = [one for one in verified if one.stands]
    for one in standing:
        yield f"{verified_line(one)}."
    yield f"To be verified again by {(standing[-1] if standing else edition).reverify_on:%d %B %Y}."
    if edition.one_person_note:
        yield edition.one_person_note
    keys = {item.key: number for number, item in enumerate(edition.items, 1)}
    for number, item in enumerate(edition.items, 1):
        yield from _item_lines(number, item, keys)
    if edition.let_go:
        yield ""
        yield f"Warnings of edition {edition.replaces} that this one has no more:"
        for item in edition.let_go:
            yield f"  {headed(item.kind, item.as_vouched)}"
    if edition.questions:
        yield ""
        yield "Questions:"
        for question in edition.questions:
            yield f"  {question_line(question)}"


def question_line(question: SettledQuestion) -> str:
    """A question and what became of it."""
    if question.outcome == "carried":
        return f"For the next visit: {question.ask}"
    if question.outcome == "not needed":
        return f"Not needed: {question.ask}"
    return f"{question.ask} {question.answer or 'Answered in the picture.'} ({question.settled.name})"


def verified_line(verification: Verification) -> str:
    """That an edition was verified again, when, by whom and how."""
    office = " in a one-person office" if verification.is_one_person else ""
    return f"Verified again on {verification.at:%d %B %Y} by {verification.by}{office} ({verification.how})"


def listed_line(edition: Shelved) -> str:
    """An edition as lists name it, with the last time that somebody verified it again."""
    standing = [one for one in edition.verified if one.stands]
    last = f"; {verified_line(standing[-1])[:1].lower()}{verified_line(standing[-1])[1:]}" if standing else ""
    return f"{edition.subject}, edition {edition.number}{last}"


def difference_lines(difference: Difference) -> Iterator[str]:
    """What changed, the warnings that are gone first."""
    if difference.is_empty:
        yield f"Both say the same ({_items(difference.same)})."
        return
    for item in difference.gone_warnings:
        yield f"GONE   {headed(item.kind, item.as_vouched)}"
    for item in difference.gone:
        if item.kind != "warning":
            yield f"gone   {headed(item.kind, item.as_vouched)}"
    for item in difference.new:
        yield f"new    {headed(item.kind, item.as_vouched)}"
    for changed in difference.changed:
        yield from _change_lines(changed)
    yield f"same   {_items(difference.same)}"


def change_line(change: FieldChange) -> str:
    """A changed field, what was taken out in brackets and what was put in in braces: ``size: [10 mm] {13 mm}``."""
    marks = {"kept": "{}", "out": "[{}]", "in": "{{{}}}"}
    return f"{change.field}: {' '.join(marks[piece.what].format(piece.words) for piece in change.pieces)}"


def _change_lines(changed: ChangedItem) -> Iterator[str]:
    what = "moved" if changed.moved and not changed.changes else "change"
    yield f"{what:6} {headed(changed.after.kind, changed.after.as_vouched)}"
    for change in changed.changes:
        yield f"         {change_line(change)}"
    if changed.moved and changed.changes:
        yield "         and stands at another place"


def _item_lines(number: int, item: VouchedItem, keys: dict[str, int]) -> Iterator[str]:
    yield ""
    if item.bonds.branch:
        steps = ", ".join(str(keys[key]) for key in item.bonds.instead_of)
        yield f"     {item.bonds.branch}{f', instead of {steps}' if steps else ''}:"
    yield f"{number:4} {headed(item.kind, item.as_vouched)}"
    if item.bonds.guards:
        yield f"     Before {', '.join(str(keys[key]) for key in item.bonds.guards)}."
    for change in item.changes:
        yield f"     amended, {change_line(change)}"
    for quoted in item.quotes[:1]:
        yield f"     \u201c{quoted.quote}\u201d"
    if item.source_note:
        yield f"     Not from the recording: {item.source_note}"
    if item.borrowed:
        yield f"     Borrowed from edition {item.borrowed.edition} of {item.borrowed.subject}"
    second = f" and {item.second.name}" if item.second else ""
    yield f"     Vouched for by {item.first.name}{second}"
    yield f"     Key {item.key}"


def _items(number: int) -> str:
    return f"{number} item{'' if number == 1 else 's'}"
