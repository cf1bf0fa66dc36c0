"""Vouched items of an invented machine, made in one line each."""

from collections.abc import Callable
from datetime import UTC, datetime

import pytest

from vouchbook.library.review.words import amended, changes
from vouchbook.models.decisions import FieldValue
from vouchbook.models.editions import FIELDS, ItemKind, VouchedItem

AT = datetime(2031, 3, 4, 10, tzinfo=UTC)
MakeItem = Callable[..., VouchedItem]


@pytest.fixture(scope="session")
def item() -> MakeItem:
    """``item(3, "step", action="undo", object="bolts", words={"count": 4})``: item i3, told at second 30."""

    def make(
        number: int, kind: ItemKind, words: dict[str, FieldValue] | None = None, **fields: FieldValue
    ) -> VouchedItem:
        basis: dict[str, FieldValue] = {"phase": "access", "hazard": "burn", "signal": "warning", **fields}
        as_read: dict[str, FieldValue] = {name: basis.get(name) for name in FIELDS[kind]}
        as_vouched = amended(as_read, words or {})
        quoted = {"first_word": 0, "last_word": 1, "quote": "as said", "start_s": number * 10, "end_s": number * 10 + 2}
        return VouchedItem.model_validate(
            {
                "key": f"i{number}",
                "kind": kind,
                "as_read": as_read,
                "as_vouched": as_vouched,
                "changes": changes(as_read, as_vouched),
                "quotes": (quoted,),
                "first": {"person": 1, "name": "Ilse Marn", "at": AT},
            }
        )

    return make
