import json
from datetime import UTC, datetime

import pytest
from pydantic import ValidationError
from sqlalchemy import select

from vouchbook.library.audit.journal import entries, verify
from vouchbook.library.keeping.consent import NO_NAME, agreed_to, consents_of, give, stands_against, withdraw
from vouchbook.library.keeping.holds import holds, lift_hold, place_hold
from vouchbook.library.keeping.kept import media_of, media_of_visit
from vouchbook.library.keeping.removal import finish_removals, is_shown, show
from vouchbook.library.keeping.retention import let_go
from vouchbook.library.open import Library
from vouchbook.library.store.tables import MediumRow
from vouchbook.models.errors import ConflictError, NotAllowedError, NotFoundError, SettingError
from vouchbook.models.people import Actor
from vouchbook.models.visits import Consent, Covers

Staff = dict[str, Actor]
Media = dict[str, str]


def state(library: Library, sha256: str) -> str:
    with library.reading() as session:
        row = session.get_one(MediumRow, sha256)
        is_there = library.media.path(sha256).exists()
        if row.removed_at is not None:
            return "removed" if not is_there else "marked as removed, file left"
        return ("hidden" if row.hidden_at else "shown") if is_there else "lost"


def states(library: Library, media: Media) -> dict[str, str]:
    return {role: state(library, sha256) for role, sha256 in media.items()}


@pytest.mark.parametrize(
    ("history", "agreed", "withdrawn"),
    [
        ([], "", ""),
        ([("+", "voice picture")], "picture voice", ""),
        ([("+", "voice picture"), ("-", "picture")], "voice", "picture"),
        ([("-", "voice"), ("+", "voice")], "voice", ""),
        ([("+", "voice name"), ("-", "voice picture"), ("+", "picture")], "name picture", "voice"),
    ],
)
def test_for_each_thing_the_last_word_counts(history: list[tuple[str, str]], agreed: str, withdrawn: str) -> None:
    told = [
        Consent.model_validate(
            {"given": sign == "+", "covers": words.split(), "at": datetime(2031, 3, 4, tzinfo=UTC), "recorded_by": 1}
        )
        for sign, words in history
    ]
    assert [sorted(covers) for covers in agreed_to(told)] == [agreed.split(), withdrawn.split()]


def test_who_agreed_to_what_when_and_who_wrote_it_down(library: Library, staff: Staff, visit_id: int) -> None:
    with library.work(staff["officer"]) as work:
        at = work.at
        give(work, 1, ["voice", "picture"], "signed sheet 12")
    withdraw(library, staff["archivist"], 1, ["picture"], removes=False)
    with library.reading() as session:
        dov, ruta = consents_of(session, visit_id)
    assert (dov.participant.name, *dov.agreed, *dov.withdrawn) == ("Dov Almar", "voice", "picture")
    assert [(one.given, one.recorded_by, one.note) for one in dov.history] == [
        (True, 2, "signed sheet 12"), (False, 5, ""),
    ]  # fmt: skip
    assert dov.history[0].at == at
    assert (ruta.agreed, ruta.history) == (frozenset(), ())


@pytest.mark.parametrize(
    ("covers", "gone"),
    [
        (["voice"], {"recording"}),
        (["picture"], {"recording", "still"}),
        (["name"], set()),
        (["voice", "picture", "name"], {"recording", "still"}),
    ],
)
@pytest.mark.parametrize(("removes", "becomes"), [(False, "hidden"), (True, "removed")])
def test_a_withdrawal_takes_what_shows_the_person_and_says_so(
    library: Library, staff: Staff, media_by_role: Media, covers: list[Covers], gone: set[str], *, removes: bool,
    becomes: str,
) -> None:  # fmt: skip
    done = withdraw(library, staff["archivist"], 1, covers, removes=removes)
    found = states(library, media_by_role)
    assert found == {role: becomes if role in gone else "shown" for role in media_by_role}
    assert {(one.sha256, one.what) for one in done.gone} == {(media_by_role[role], becomes) for role in gone}
    assert any(sentence.startswith("Draft 1 keeps the words") for sentence in done.stays)
    assert any(sentence.startswith("Captions stay: they are kept as words") for sentence in done.stays)
    with library.reading() as session:
        act = {"hidden": "hid", "removed": "removed"}[becomes]
        told = [(e.act, e.what_id, e.body["reason"], e.body["visits"]) for e in entries(session) if e.what == "medium"]
        assert sorted(told) == sorted((act, media_by_role[role], "consent withdrawn", [1]) for role in gone)
        assert verify(session) is None


def test_the_journal_never_names_who_withdrew(library: Library, staff: Staff, visit_id: int) -> None:
    withdraw(library, staff["archivist"], 1, ["name", "voice"], "Dov Almar called", removes=True)
    with library.reading() as session:
        told = json.dumps([entry.model_dump(mode="json") for entry in entries(session)])
        names = [one.participant.name for one in consents_of(session, visit_id)]
    assert names == [NO_NAME, "Ruta Venn"]
    assert "Dov" not in told
    assert "Almar" not in told


def test_what_is_hidden_is_seen_by_those_who_keep_alone(library: Library, staff: Staff, media_by_role: Media) -> None:
    withdraw(library, staff["officer"], 1, ["voice"], removes=False)
    with library.reading() as session:
        row = session.get_one(MediumRow, media_by_role["recording"])
        seen = {part: is_shown(row, actor.roles) for part, actor in staff.items()}
    assert seen == {"administrator": True, "archivist": True, "officer": False, "reviewer": False, "second": False}
    with library.work(staff["archivist"]) as work:
        show(work, media_by_role["recording"])
    assert state(library, media_by_role["recording"]) == "shown"
    with library.work(staff["archivist"]) as work, pytest.raises(ConflictError, match="not hidden"):
        show(work, media_by_role["recording"])


def test_a_legal_hold_stops_removal_and_not_hiding(library: Library, staff: Staff, media_by_role: Media) -> None:
    recording = media_by_role["recording"]
    with library.work(staff["archivist"]) as work:
        first, second = (place_hold(work, 1, reason) for reason in ("inquiry 7", "inquiry 8"))
    done = withdraw(library, staff["archivist"], 1, ["voice", "name"], removes=True)
    assert state(library, recording) == "hidden"
    assert [one.what for one in done.gone] == ["hidden"]
    assert f"Medium {recording} is hidden and goes when the legal hold ends." in done.stays
    assert any("participant 1 stays in the list" in sentence for sentence in done.stays)
    with library.work(staff["archivist"]) as work:
        assert lift_hold(work, first) == ()
    with pytest.raises(ConflictError, match="something keeps it"):
        let_go(library, staff["archivist"], [recording])
    with library.work(staff["archivist"]) as work:
        assert lift_hold(work, second) == (recording,)
    let_go(library, staff["archivist"], [recording])
    assert state(library, recording) == "removed"


def test_what_waits_for_the_end_of_a_hold_goes_on_waiting_whatever_else_hides_it(
    library: Library, staff: Staff, media_by_role: Media
) -> None:
    recording = media_by_role["recording"]
    with library.work(staff["archivist"]) as work:
        hold = place_hold(work, 1, "inquiry 7")
    withdraw(library, staff["archivist"], 1, ["voice"], removes=True)
    assert withdraw(library, staff["officer"], 2, ["voice"], removes=False).gone == ()
    with library.work(staff["archivist"]) as work:
        assert lift_hold(work, hold) == (recording,)


def test_who_withdrew_what_a_file_shows_stands_against_it(library: Library, staff: Staff, media_by_role: Media) -> None:
    def against() -> dict[str, list[int]]:
        with library.reading() as session:
            found = media_of(session, media_by_role.values())
            return {
                role: [one.participant_id for one in stands_against(session, found[sha256])]
                for role, sha256 in media_by_role.items()
            }

    assert against() == {"recording": [], "captions": [], "still": []}
    withdraw(library, staff["archivist"], 1, ["picture", "name"], removes=False)
    withdraw(library, staff["archivist"], 2, ["voice"], removes=False)
    assert against() == {"recording": [1, 2], "captions": [], "still": [1]}
    with library.work(staff["officer"]) as work:
        give(work, 1, ["picture"])
    assert against() == {"recording": [2], "captions": [], "still": []}


def test_media_are_listed_with_what_became_of_them(library: Library, staff: Staff, media_by_role: Media) -> None:
    withdraw(library, staff["archivist"], 1, ["voice"], removes=True)
    withdraw(library, staff["archivist"], 1, ["picture"], removes=False)
    with library.reading() as session:
        found = media_of_visit(session, 1)
        assert media_of(session, ["0" * 64]) == {}
    assert [(one.uses[0].role, one.state, one.reason) for one in found] == [
        ("recording", "removed", "consent withdrawn"), ("captions", "shown", None),
        ("still", "hidden", "consent withdrawn"),
    ]  # fmt: skip
    assert {one.sha256 for one in found} == set(media_by_role.values())


@pytest.mark.parametrize("reason", ["", "  ", "a\x1b[2J", "a" * 1001])
def test_a_hold_has_a_reason_that_can_be_shown(library: Library, staff: Staff, visit_id: int, reason: str) -> None:
    with pytest.raises(SettingError, match="hold: "), library.work(staff["archivist"]) as work:
        place_hold(work, visit_id, reason)
    with library.reading() as session:
        assert holds(session) == ()


def test_holds_are_listed_while_they_stand_and_afterwards_where_asked(
    library: Library, staff: Staff, visit_id: int
) -> None:
    with library.work(staff["archivist"]) as work:
        first, second = (place_hold(work, visit_id, reason) for reason in ("inquiry\n7", "inquiry 8"))
    with library.work(staff["administrator"]) as work:
        lift_hold(work, first)
    with library.reading() as session:
        assert [one.id for one in holds(session)] == [second]
        with pytest.raises(NotFoundError):
            holds(session, visit_id=visit_id + 1)
        lifted, standing = holds(session, visit_id=visit_id, also_lifted=True)
    assert (lifted.reason, lifted.placed_by, lifted.lifted_by) == ("inquiry 7", 5, 1)
    assert (standing.reason, standing.lifted_by, standing.lifted_at) == ("inquiry 8", None, None)


def test_an_interrupted_removal_leaves_a_file_too_many_which_the_next_one_takes(
    library: Library, staff: Staff, media_by_role: Media, monkeypatch: pytest.MonkeyPatch
) -> None:
    def stop(_library: Library) -> int:
        raise KeyboardInterrupt

    monkeypatch.setattr("vouchbook.library.keeping.consent.finish_removals", stop)
    with pytest.raises(KeyboardInterrupt):
        withdraw(library, staff["archivist"], 1, ["voice"], removes=True)
    assert state(library, media_by_role["recording"]) == "marked as removed, file left"
    assert finish_removals(library) == 1
    assert finish_removals(library) == 0
    assert state(library, media_by_role["recording"]) == "removed"


@pytest.mark.parametrize(
    ("who", "removes", "allowed"),
    [("officer", False, True), ("officer", True, False), ("reviewer", False, False), ("administrator", True, True)],
)
def test_who_may_write_a_withdrawal_down(
    library: Library, staff: Staff, media_by_role: Media, who: str, *, removes: bool, allowed: bool
) -> None:
    if allowed:
        assert withdraw(library, staff[who], 1, ["voice"], removes=removes).gone
        return
    with pytest.raises(NotAllowedError):
        withdraw(library, staff[who], 1, ["voice"], removes=removes)
    assert states(library, media_by_role) == dict.fromkeys(media_by_role, "shown")


@pytest.mark.usefixtures("visit_id")
def test_consent_to_nothing_or_of_nobody_is_none(library: Library, staff: Staff) -> None:
    with library.work(staff["officer"]) as work, pytest.raises(ValidationError):
        give(work, 1, [])
    with library.work(staff["officer"]) as work, pytest.raises(NotFoundError, match="participant 99"):
        give(work, 99, ["voice"])


@pytest.mark.parametrize(
    ("covers", "note", "is_new"),
    [
        (["voice"], "", False),
        (["voice"], "called", False),
        (["voice"], "wrote", True),
        (["voice", "picture"], "called", False),
        (["voice", "name"], "called", True),
    ],
)
def test_what_was_withdrawn_already_is_not_written_down_twice(
    library: Library, staff: Staff, visit_id: int, covers: list[Covers], note: str, *, is_new: bool
) -> None:
    assert withdraw(library, staff["officer"], 1, ["voice", "picture"], "called", removes=False).is_new
    assert withdraw(library, staff["officer"], 1, covers, note, removes=False).is_new is is_new
    with library.reading() as session:
        assert len(consents_of(session, visit_id)[0].history) == 1 + is_new
        acts = [entry.act for entry in entries(session)]
    assert acts.count("withdrew consent") == 1 + is_new
    with library.work(staff["officer"]) as work:
        give(work, 1, ["voice"])
    assert withdraw(library, staff["officer"], 1, ["voice"], removes=False).is_new


def test_the_same_withdrawal_again_takes_nothing_more(library: Library, staff: Staff, media_by_role: Media) -> None:
    assert media_by_role
    assert len(withdraw(library, staff["archivist"], 1, ["voice"], removes=False).gone) == 1
    assert withdraw(library, staff["archivist"], 1, ["voice"], removes=False).gone == ()
    assert len(withdraw(library, staff["archivist"], 1, ["voice"], removes=True).gone) == 1
    with library.reading() as session:
        assert len(session.scalars(select(MediumRow).where(MediumRow.removed_at.is_not(None))).all()) == 1
