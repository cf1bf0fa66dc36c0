from collections.abc import Callable
from pathlib import Path

import pytest

from vouchbook.library.keeping.removal import hide, remove
from vouchbook.library.open import Library
from vouchbook.library.visits.bring import File, bring
from vouchbook.library.visits.stills import VisitStill, nearest_first, stills_for
from vouchbook.models.draft import Draft, Picture
from vouchbook.models.errors import NotFoundError
from vouchbook.models.people import Actor
from vouchbook.models.visits import Visit

Staff = dict[str, Actor]


@pytest.fixture
def pictured(library: Library, staff: Staff, visit: Visit, draft: Draft, tmp_path: Path) -> Callable[..., None]:
    """Brings the draft with stills ``NAME=ITEM``; one without an item is none of the draft."""

    def put(*wanted: str) -> None:
        files, pictures = [], []
        for number, one in enumerate(wanted):
            path, _, shows = one.partition("=")
            file = tmp_path / "talk.stills" / path
            file.parent.mkdir(parents=True, exist_ok=True)
            file.write_bytes(f"picture {number}".encode())
            files.append(File(path=file, role="still"))
            pictures += [Picture(shows=shows, file=f"talk.stills/{path}")] if shows else []
        bring(library, staff["officer"], visit, draft.model_copy(update={"pictures": tuple(pictures)}), files)

    return put


def listed(library: Library, actor: Actor) -> list[tuple[str, float | None, tuple[str, ...]]]:
    with library.reading() as session:
        return [(one.name, one.at_s, one.shows) for one in stills_for(session, 1, actor.roles)]


def test_a_still_has_the_second_of_what_it_was_made_for(
    library: Library, staff: Staff, pictured: Callable[..., None]
) -> None:
    pictured("9250.jpg=i2", "19000.jpg=i3", "own.jpg", "1/0.jpg=i1", "2/0.jpg=q1")
    assert listed(library, staff["reviewer"]) == [
        ("9250.jpg", 9.25, ("i2",)), ("19000.jpg", 18.0, ("i3",)), ("own.jpg", None, ()),
        ("0.jpg", None, ()), ("0.jpg", None, ()),
    ]  # fmt: skip


def test_what_is_hidden_is_for_those_who_keep_and_what_was_removed_for_nobody(
    library: Library, staff: Staff, pictured: Callable[..., None]
) -> None:
    pictured("a.jpg=i2", "b.jpg=i3")
    with library.reading() as session:
        first, second = (one.sha256 for one in stills_for(session, 1, ()))
    with library.work(staff["archivist"]) as work:
        hide(work, first, "consent withdrawn")
    assert [name for name, *_ in listed(library, staff["reviewer"])] == ["b.jpg"]
    assert [name for name, *_ in listed(library, staff["archivist"])] == ["a.jpg", "b.jpg"]
    with library.work(staff["archivist"]) as work:
        remove(work, second, "consent withdrawn")
    assert listed(library, staff["reviewer"]) == []


def test_of_no_draft_there_are_no_stills(library: Library) -> None:
    with library.reading() as session, pytest.raises(NotFoundError, match="draft 7"):
        stills_for(session, 7, ())


@pytest.mark.parametrize(
    ("key", "at_s", "order"),
    [
        pytest.param("q9", 31.0, "b c a d", id="by-distance"),
        pytest.param("q1", 31.0, "c b a d", id="its-own-first"),
        pytest.param("q9", None, "a b c d", id="at-no-second"),
    ],
)
def test_the_nearest_come_first(key: str, at_s: float | None, order: str) -> None:
    stills = [
        VisitStill(sha256="0", name=name, at_s=second, shows=shows)
        for name, second, shows in (("d", None, ()), ("a", 10.0, ()), ("c", 50.0, ("q1",)), ("b", 30.0, ()))
    ]
    assert " ".join(one.name for one in nearest_first(stills, key, at_s)) == order
