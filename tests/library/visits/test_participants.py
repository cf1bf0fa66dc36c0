import pytest
from pydantic import ValidationError

from vouchbook.library.audit.journal import entries_about, head, verify
from vouchbook.library.keeping.consent import NO_NAME, consent_of, consents_of, give, withdraw
from vouchbook.library.keeping.holds import place_hold
from vouchbook.library.open import Library
from vouchbook.library.visits.bring import bring
from vouchbook.library.visits.participants import add_participant, correct_participant, voices_of_nobody
from vouchbook.library.visits.visits import add_visit, visit_of
from vouchbook.models.draft import Draft
from vouchbook.models.errors import ConflictError, NotAllowedError, NotFoundError
from vouchbook.models.people import Actor
from vouchbook.models.visits import Participant, Visit

Staff = dict[str, Actor]
DOV = Participant(name="Dov Almar", part="technician", voice="Dov")
RUTA = Participant(name="Ruta Venn", part="officer", voice="Ruta")


@pytest.fixture
def visit_id(library: Library, staff: Staff, visit: Visit, draft: Draft) -> int:
    """A visit of which nobody said who is heard."""
    return bring(library, staff["officer"], visit.model_copy(update={"participants": ()}), draft).visit_id


def name(library: Library, actor: Actor, visit_id: int, participant: Participant) -> int:
    with library.work(actor) as work:
        return add_participant(work, visit_id, participant)


def correct(library: Library, actor: Actor, number: int, participant: Participant) -> None:
    with library.work(actor) as work:
        correct_participant(work, number, participant)


def named(library: Library, visit_id: int) -> tuple[Participant, ...]:
    with library.reading() as session:
        assert verify(session) is None
        return visit_of(session, visit_id).participants


@pytest.mark.parametrize("part", ["officer", "archivist", "administrator"])
def test_who_was_forgotten_is_named_later_and_can_agree(
    library: Library, staff: Staff, visit_id: int, part: str
) -> None:
    with library.reading() as session:
        assert voices_of_nobody(session, visit_id) == ("Dov", "Ruta")
    number = name(library, staff[part], visit_id, DOV)
    assert named(library, visit_id) == (DOV,)
    with library.reading() as session:
        assert voices_of_nobody(session, visit_id) == ("Ruta",)
        (told,) = entries_about(session, "participant", str(number))
    assert (told.act, told.body) == ("named", {"visit": visit_id, "part": "technician"})
    with library.work(staff["officer"]) as work:
        assert give(work, number, ["voice"]).agreed == frozenset({"voice"})


def test_the_same_again_changes_nothing(library: Library, staff: Staff, visit_id: int) -> None:
    number = name(library, staff["officer"], visit_id, DOV)
    with library.reading() as session:
        before = head(session)
    assert name(library, staff["archivist"], visit_id, DOV) == number
    correct(library, staff["archivist"], number, DOV)
    with library.reading() as session:
        assert head(session) == before


def test_the_visit_that_somebody_was_named_in_is_still_the_same(
    library: Library, staff: Staff, visit_id: int, visit: Visit
) -> None:
    """A script that adds it again is not told that another visit has its key; one with other people is."""
    name(library, staff["officer"], visit_id, DOV)
    with library.work(staff["officer"]) as work:
        for people in ((), (DOV,)):
            assert add_visit(work, visit.model_copy(update={"participants": people})) == visit_id
    with pytest.raises(ConflictError, match="another visit has this key"), library.work(staff["officer"]) as work:
        add_visit(work, visit.model_copy(update={"participants": (DOV, RUTA)}))


def test_a_correction_keeps_what_was_agreed_to_and_the_journal_names_nobody(
    library: Library, staff: Staff, visit_id: int
) -> None:
    number = name(library, staff["officer"], visit_id, DOV.model_copy(update={"name": "Dof Almar", "voice": None}))
    with library.work(staff["officer"]) as work:
        give(work, number, ["name", "voice"], "sheet 12")
    correct(library, staff["officer"], number, DOV)
    assert named(library, visit_id) == (DOV,)
    with library.reading() as session:
        assert consent_of(session, number).agreed == frozenset({"name", "voice"})
        told = entries_about(session, "participant", str(number))
    assert [entry.act for entry in told] == ["named", "gave consent", "corrected"]
    assert told[-1].body == {"changed": ["name", "voice"]}
    assert "Almar" not in str(told)


@pytest.mark.parametrize("removes", [False, True], ids=["marked", "taken-out"])
def test_a_withdrawn_name_does_not_come_back_by_a_correction(
    library: Library, staff: Staff, visit_id: int, *, removes: bool
) -> None:
    number = name(library, staff["officer"], visit_id, DOV)
    withdraw(library, staff["archivist"], number, ["name"], removes=removes)
    known = NO_NAME if removes else DOV.name
    with pytest.raises(ConflictError, match="to be named was withdrawn"):
        correct(library, staff["archivist"], number, DOV.model_copy(update={"name": "Dov A."}))
    correct(library, staff["officer"], number, DOV.model_copy(update={"name": known, "part": "other"}))
    assert [(one.name, one.part) for one in named(library, visit_id)] == [(known, "other")]
    with library.work(staff["officer"]) as work:
        give(work, number, ["name"], "asked again")
    correct(library, staff["officer"], number, DOV)
    assert named(library, visit_id) == (DOV,)


def test_under_a_hold_people_are_named_and_nobody_is_renamed(library: Library, staff: Staff, visit_id: int) -> None:
    number = name(library, staff["officer"], visit_id, DOV)
    with library.work(staff["archivist"]) as work:
        place_hold(work, visit_id, "inquiry 7")
    assert name(library, staff["officer"], visit_id, RUTA) == number + 1
    with pytest.raises(ConflictError, match="a legal hold stands"):
        correct(library, staff["archivist"], number, DOV.model_copy(update={"name": "Somebody Else"}))
    assert named(library, visit_id) == (DOV, RUTA)


def test_one_voice_is_one_person(library: Library, staff: Staff, visit_id: int) -> None:
    name(library, staff["officer"], visit_id, DOV)
    other = name(library, staff["officer"], visit_id, RUTA)
    taken = r"voice 'Dov': it is that of participant 1\."
    with pytest.raises(ConflictError, match=taken):
        name(library, staff["officer"], visit_id, DOV.model_copy(update={"name": "Ivo Berg"}))
    with pytest.raises(ConflictError, match=taken):
        correct(library, staff["officer"], other, RUTA.model_copy(update={"voice": "Dov"}))
    for voiceless in ("Ivo Berg", "Ada Orm"):
        name(library, staff["officer"], visit_id, Participant(name=voiceless, part="other"))
    assert len(named(library, visit_id)) == 4


@pytest.mark.parametrize("part", ["reviewer", "second"])
def test_who_only_reviews_names_nobody(library: Library, staff: Staff, visit_id: int, part: str) -> None:
    with pytest.raises(NotAllowedError, match="only an officer or an archivist or an administrator"):
        name(library, staff[part], visit_id, DOV)
    number = name(library, staff["officer"], visit_id, DOV)
    with pytest.raises(NotAllowedError, match="only an officer or an archivist or an administrator"):
        correct(library, staff[part], number, RUTA)


def test_what_is_not_there_is_told(library: Library, staff: Staff, visit_id: int) -> None:
    assert visit_id == 1
    with pytest.raises(NotFoundError, match="visit 9"):
        name(library, staff["officer"], 9, DOV)
    with pytest.raises(NotFoundError, match="participant 9"):
        correct(library, staff["officer"], 9, DOV)
    with library.reading() as session:
        with pytest.raises(NotFoundError, match="participant 9"):
            consent_of(session, 9)
        with pytest.raises(NotFoundError, match="visit 9"):
            voices_of_nobody(session, 9)
        assert consents_of(session, visit_id) == ()


@pytest.mark.parametrize(
    "fields",
    [
        pytest.param({"name": " "}, id="no-name"),
        pytest.param({"name": "x" * 121}, id="endless"),
        pytest.param({"name": "Dov\x00"}, id="control-character"),
        pytest.param({"part": "driver"}, id="no-such-part"),
        pytest.param({"voice": ""}, id="empty-voice"),
    ],
)
def test_a_participant_that_cannot_be_is_none(fields: dict[str, str]) -> None:
    assert Participant.model_validate(DOV.model_dump())
    with pytest.raises(ValidationError):
        Participant.model_validate(DOV.model_dump() | fields)
