"""What changed from one wording to another, word by word."""

from collections.abc import Mapping
from difflib import SequenceMatcher

from vouchbook.models.decisions import Fields, FieldValue
from vouchbook.models.editions import FieldChange, Piece


def pieces(before: str, after: str) -> tuple[Piece, ...]:
    """The words of both texts in reading order: kept, taken out, put in.

    Kept and taken out together are ``before``, kept and put in together are ``after``, single spaces between words.
    What is taken out stands before what was put in for it.
    """
    old, new = before.split(), after.split()
    found: list[Piece] = []
    for tag, i, j, k, m in SequenceMatcher(None, old, new, autojunk=False).get_opcodes():
        if tag == "equal":
            found.append(Piece(what="kept", words=" ".join(old[i:j])))
            continue
        if i < j:
            found.append(Piece(what="out", words=" ".join(old[i:j])))
        if k < m:
            found.append(Piece(what="in", words=" ".join(new[k:m])))
    return tuple(found)


def changes(before: Mapping[str, FieldValue], after: Mapping[str, FieldValue]) -> tuple[FieldChange, ...]:
    """The fields whose values differ, in the order of ``before``; a field that one side lacks counts as empty there."""
    names = [*before, *(name for name in after if name not in before)]
    return tuple(
        FieldChange(
            field=name,
            before=before.get(name),
            after=after.get(name),
            pieces=pieces(_text(before.get(name)), _text(after.get(name))),
        )
        for name in names
        if before.get(name) != after.get(name)
    )


def amended(as_read: Fields, words: Fields) -> dict[str, FieldValue]:
    """The fields as read with ``words`` in place of those that they name."""
    return {**as_read, **words}


def _text(value: FieldValue) -> str:
    return "" if value is None else str(value)
