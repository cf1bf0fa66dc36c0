"""A visit with a recording, captions and a still, and what the tests of keeping ask about it."""

from collections.abc import Callable
from pathlib import Path

import pytest
from sqlalchemy import select

from vouchbook.library.open import Library
from vouchbook.library.store.tables import VisitMediumRow
from vouchbook.library.visits.bring import File, bring
from vouchbook.models.draft import Draft
from vouchbook.models.people import Actor
from vouchbook.models.visits import MediumRole, Visit

CONTENT = b"a recording of a talk" * 1000


@pytest.fixture
def files(tmp_path: Path) -> Callable[..., list[File]]:
    """Makes one file for each role, no two alike."""

    def make(*roles: MediumRole) -> list[File]:
        for role in roles:
            (tmp_path / f"{role}.mp4").write_bytes(CONTENT + role.encode())
        return [File(path=tmp_path / f"{role}.mp4", role=role) for role in roles]

    return make


@pytest.fixture
def visit_id(
    library: Library, staff: dict[str, Actor], visit: Visit, draft: Draft, files: Callable[..., list[File]]
) -> int:
    """The number of a visit that has a file of each of three kinds."""
    return bring(library, staff["officer"], visit, draft, files("recording", "captions", "still")).visit_id


@pytest.fixture
def media_by_role(library: Library, visit_id: int) -> dict[str, str]:
    """The hash of each file of the visit, by what it is to the visit."""
    with library.reading() as session:
        asked = select(VisitMediumRow.role, VisitMediumRow.sha256).where(VisitMediumRow.visit_id == visit_id)
        return {role: sha256 for role, sha256 in session.execute(asked)}  # noqa: C416  rows are no pairs to mypy
