"""A draft on the table: one that was read from captions, and one that can be heard."""

from collections.abc import Callable
from pathlib import Path

import pytest

from vouchbook.library.open import Library
from vouchbook.library.visits.bring import File, bring
from vouchbook.models.draft import Draft
from vouchbook.models.people import Actor
from vouchbook.models.visits import Visit

CUE, DANGER, STEP = 1, 2, 3
"""The items of the draft: i1 a cue, i2 a danger warning, i3 a step on doubtful words."""
DOUBTFUL, UNCOVERED = 1, 2


@pytest.fixture
def on_table(library: Library, staff: dict[str, Actor], visit: Visit, draft: Draft) -> int:
    """The draft of captions alone, which nobody can listen to, brought by the officer."""
    return bring(library, staff["officer"], visit, draft).draft_id


@pytest.fixture
def heard_table(
    library: Library, staff: dict[str, Actor], visit: Visit, drafted: Callable[..., Draft], tmp_path: Path
) -> str:
    """The draft of a recording; gives the hash of it. The danger warning is told from 6.0 to 11.5 s."""
    film = tmp_path / "film.wav"
    film.write_bytes(b"thirty seconds of talk")
    still = tmp_path / "still.jpg"
    still.write_bytes(b"a grey plug")
    sha256 = library.media.add(film).sha256
    files = [File(path=film, role="recording"), File(path=still, role="still")]
    bring(library, staff["officer"], visit, drafted(sha256, "recording"), files)
    return sha256
