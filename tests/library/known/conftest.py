"""Drafts and editions of invented machines, in one line for each item."""

from collections.abc import Callable, Sequence
from datetime import UTC, date, datetime
from typing import Any

import pytest

from vouchbook.library.known.sides import Side
from vouchbook.models.editions import FIELDS, Edition, ItemKind
from vouchbook.models.subjects import Subject

AT = datetime(2031, 3, 4, 10, tzinfo=UTC)
Line = tuple[ItemKind, dict[str, Any]]
QUOTE = {"first_word": 0, "last_word": 1, "quote": "as said", "start_s": 1, "end_s": 2}


def _fields(kind: ItemKind, fields: dict[str, Any]) -> dict[str, Any]:
    basis = {"phase": "access", "hazard": "burn", "signal": "warning"} | fields
    return {name: basis.get(name) for name in FIELDS[kind]}


@pytest.fixture(scope="session")
def hauler() -> Subject:
    return Subject(kind="truck", maker="Norvik", model="Hauler", years_from=2028, years_to=2031, energy="battery")


@pytest.fixture(scope="session")
def said() -> Callable[[Sequence[Line]], list[Side]]:
    def make(lines: Sequence[Line]) -> list[Side]:
        return [
            Side.model_validate(
                {"kind": kind, "item": f"i{n}", "fields": _fields(kind, fields), "quotes": (QUOTE,), "position": n}
            )
            for n, (kind, fields) in enumerate(lines)
        ]

    return make


@pytest.fixture(scope="session")
def edition() -> Callable[..., Edition]:
    def make(subject: Subject, lines: Sequence[Line], number: int = 1) -> Edition:
        items = [
            {
                "key": f"i{n}",
                "kind": kind,
                "as_read": _fields(kind, fields),
                "as_vouched": _fields(kind, fields),
                "quotes": (QUOTE,),
                "first": {"person": 1, "name": "Ilse Marn", "at": AT},
            }
            for n, (kind, fields) in enumerate(lines)
        ]
        return Edition.model_validate(
            {
                "subject": subject,
                "number": number,
                "visit": {"key": "v-1", "held_on": date(2030, 3, 1), "draft": 1, "draft_sha256": "a" * 64},
                "published": {"person": 1, "name": "Ilse Marn", "at": AT},
                "reverify_on": date(2033, 3, 4),
                "items": items,
            }
        )

    return make
