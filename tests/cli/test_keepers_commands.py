"""Consent, holds, retention, settings and kept searches through their front door."""

import io
from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest

from vouchbook.library.open import Library, open_library
from vouchbook.library.people.people import add_person
from vouchbook.library.people.tokens import make_token
from vouchbook.library.review.decide import decide
from vouchbook.library.visits.bring import File, bring
from vouchbook.library.visits.visits import new_key
from vouchbook.models.decisions import Judgement
from vouchbook.models.draft import Draft
from vouchbook.models.people import THE_LIBRARY, Actor, Role, actor_of
from vouchbook.models.subjects import Subject
from vouchbook.models.visits import Participant, Visit

Run = Callable[..., tuple[int, str, str]]
By = Callable[..., tuple[int, str, str]]
STAFF: dict[str, Role] = {"ada": "administrator", "olin": "officer", "runa": "reviewer", "alva": "archivist"}
CUE = {"kind": "cue", "phase": "identify", "text": "a yellow badge", "line": 0}
STEP = {"kind": "step", "phase": "disable", "action": "pull out", "object": "plug", "line": 6}
FILES = {"van.mp4": "recording", "plug.jpg": "still", "talk.vtt": "captions"}


class Terminal(io.StringIO):
    """Somebody who types."""

    def isatty(self) -> bool:
        return True


@pytest.fixture
def place(tmp_path: Path, draft_with: Callable[..., Draft], monkeypatch: pytest.MonkeyPatch) -> Path:
    """A library with its people, and a visit of two people and three files whose two items were confirmed."""
    monkeypatch.setenv("VOUCHBOOK_LIBRARY", str(tmp_path / "library"))
    monkeypatch.setattr("sys.stdin", io.StringIO())
    visit = Visit(
        key=new_key(),
        subject=Subject(kind="loader", maker="Halden", model="L4"),
        held_on=date(2020, 3, 1),
        participants=(Participant(name="Dov Almar", part="technician"), Participant(name="Ruta Venn", part="officer")),
    )
    with open_library(tmp_path / "library") as library:
        staff = {login: _somebody(library, tmp_path, login, role) for login, role in STAFF.items()}
        files = []
        for name, role in FILES.items():
            (tmp_path / name).write_bytes(name.encode())
            files.append(File.model_validate({"path": tmp_path / name, "role": role}))
        bring(library, staff["olin"], visit, draft_with([CUE, STEP]), files)
        with library.work(staff["runa"]) as work:
            for item in (1, 2):
                decide(work, item, 1, Judgement(verdict="confirmed"))
    return tmp_path


def _somebody(library: Library, folder: Path, login: str, role: Role) -> Actor:
    with library.work(THE_LIBRARY) as work:
        actor = actor_of(add_person(work, login, login.capitalize(), [role]))
    with library.work(actor) as work:
        (folder / f"{login}.token").write_text(make_token(work, "test")[1], encoding="utf-8")
    return actor


@pytest.fixture
def by(run: Run, place: Path, monkeypatch: pytest.MonkeyPatch) -> By:
    """Runs a command as somebody, or as nobody."""

    def call(login: str, *arguments: object) -> tuple[int, str, str]:
        monkeypatch.delenv("VOUCHBOOK_TOKEN", raising=False)
        if login:
            monkeypatch.setenv("VOUCHBOOK_TOKEN", (place / f"{login}.token").read_text(encoding="utf-8"))
        return run(*map(str, arguments))

    return call


def hash_in(out: str, name: str) -> str:
    """The short hash of the line that names a file."""
    (line,) = [line for line in out.splitlines() if name in line]
    (found,) = [word for word in line.split() if len(word) == 12 and set(word) <= set("0123456789abcdef")]
    return found


def without_hashes(out: str) -> list[str]:
    return [
        " ".join(w for w in line.split() if set(w) - set("0123456789abcdef") or len(w) < 12)
        for line in out.splitlines()
    ]


def files_of(place: Path) -> int:
    return sum(path.is_file() and path.stat().st_size < 20 for path in (place / "library" / "media").rglob("*"))


def test_consent_is_given_withdrawn_and_what_is_hidden_shown_again(by: By) -> None:
    assert by("", "consent")[1] == "   1  2020-03-01  Halden L4: 2 taking part, 2 with nothing written down\n"
    code, out, _ = by("olin", "consent", "give", 1, "dov  ALMAR", "--covers", "voice", "--covers", "picture")
    assert (code, out) == (0, "Written down: participant 1 of visit 1 agrees to picture, voice.\n")
    code, out, _ = by("olin", "consent", "withdraw", 1, 1, "--covers", "picture", "--note", "a call")
    assert code == 0
    assert sorted(without_hashes(out)[1:3]) == [
        "hidden recording van.mp4 of visit 1 (consent withdrawn)",
        "hidden still plug.jpg of visit 1 (consent withdrawn)",
    ]  # fmt: skip
    assert "stays    Draft 1 keeps the words that were said, and the names of the voices.\n" in out
    listed = by("", "consent", "list", 1)[1]
    assert "   1  Dov Almar (technician): agrees to voice; withdrew picture\n" in listed
    assert "withdrew picture, written down by Olin: a call\n" in listed
    assert "   2  Ruta Venn (officer): nothing written down\n" in listed
    still = hash_in(listed, "plug.jpg")
    code, out, err = by("alva", "consent", "show-again", 1, still)
    assert (code, out, "give --yes" in err.lower()) == (2, "", True)
    assert "still hidden" in by("olin", "consent", "give", 1, 1, "--covers", "picture")[1]
    assert by("alva", "consent", "show-again", 1, still[:6])[:2] == (
        0, f"shown again  {still}  still plug.jpg of visit 1\n",
    )  # fmt: skip
    assert by("", "audit")[0] == 0


def test_who_was_forgotten_is_named_later_and_asked(by: By) -> None:
    assert by("", "participants", 1)[1].splitlines() == [
        "   1  Dov Almar (technician); nothing written down of what they agree to",
        "   2  Ruta Venn (officer); nothing written down of what they agree to",
        "   ?  voice Dov: nobody is written down for it",
    ]
    assert "      Heard and not named: Dov. `vouchbook participants 1` names them.\n" in by("", "consent", "list", 1)[1]
    code, out, _ = by("olin", "participants", 1, "--person", "Ivo Berg=other", "--person", "Una Holm=technician=Una")
    assert (code, out.splitlines()[2:4]) == (0, [
        "   3  Ivo Berg (other); nothing written down of what they agree to",
        "   4  Una Holm (technician, voice Una); nothing written down of what they agree to",
    ])  # fmt: skip
    assert by("olin", "consent", "give", 1, "una holm", "--covers", "voice")[0] == 0
    code, out, _ = by("alva", "participants", 1, "--correct", "dov almar", "--person", "Dov Almark=technician=Dov")
    assert (code, out.splitlines()[0].split(";")[0]) == (0, "   1  Dov Almark (technician, voice Dov)")
    assert out.splitlines()[3:] == ["   4  Una Holm (technician, voice Una)"]
    assert "Heard and not named" not in by("", "consent", "list", 1)[1]
    assert by("", "audit")[0] == 0


@pytest.mark.parametrize(
    ("typed", "code", "left"),
    [("yes", 0, 2), ("no", 1, 3), ("y", 1, 3), ("", 1, 3)],
)
def test_a_removal_asks_first(
    by: By, place: Path, monkeypatch: pytest.MonkeyPatch, typed: str, code: int, left: int
) -> None:
    assert files_of(place) == 3
    monkeypatch.setattr("sys.stdin", Terminal(f"{typed}\n"))
    done, out, _ = by("alva", "consent", "withdraw", 1, 2, "--covers", "voice", "--covers", "name", "--remove")
    assert (done, files_of(place)) == (code, left)
    assert without_hashes(out)[:2] == [
        "recording van.mp4 of visit 1: goes for good", "The name Ruta Venn goes from the list for good.",
    ]  # fmt: skip
    assert ("Nothing was changed." in out) is (code == 1)
    assert ("removed  the name of participant 2, from the list" in out) is (code == 0)
    assert ("Ruta Venn" in by("", "consent", "list", 1)[1]) is (code == 1)


def test_a_hold_keeps_everything_until_it_is_lifted(by: By, place: Path) -> None:
    assert by("alva", "hold", "place", 1, "--reason", "inquiry 7")[1].startswith("Hold 1 stands on visit 1:")
    by("alva", "hold", "place", 1, "--reason", "inquiry 8")
    out = by("alva", "consent", "withdraw", 1, 1, "--covers", "voice", "--covers", "name", "--remove", "--yes")[1]
    assert "(consent withdrawn, goes when the hold ends)" in out
    assert [line.split(": ")[1] for line in by("", "hold")[1].splitlines()] == ["inquiry 7", "inquiry 8"]
    assert by("alva", "hold", "lift", 1)[1].splitlines() == [
        "Hold 1 on visit 1 is lifted.", "Hold 2 still stands on it.", "Nothing waits for its end to go.",
    ]  # fmt: skip
    code, out, _ = by("alva", "hold", "lift", 2)
    assert code == 0
    recording = hash_in(out, "van.mp4")
    assert f"`vouchbook retention let-go {recording}`" in out
    assert "`vouchbook consent withdraw 1 1 --covers name --remove`" in out
    assert by("", "hold") == (0, "No hold stands.\n", "")
    assert len(by("", "hold", "list", "--all")[1].splitlines()) == 2
    assert by("", "retention", "due")[1].endswith("consent withdrawn and free of holds\n")
    assert by("alva", "retention", "let-go", recording, "--yes")[1] == (
        f"removed  {recording}  recording van.mp4 of visit 1 (consent withdrawn)\n"
    )
    assert files_of(place) == 2
    assert by("", "library", "check")[0] == 0


def test_what_is_due_goes_when_somebody_says_so(by: By, place: Path) -> None:
    assert by("", "retention", "due") == (0, "Nothing is due.\n", "")
    code, out, _ = by("ada", "retention", "set", "--keep", "recording=12", "--keep", "still=24")
    assert code == 0
    assert "recording        12 months\n" in out
    assert "captions         always\n" in out
    assert "spare-editions   yes\n" in out
    assert "still            1 month\n" in by("ada", "retention", "set", "--keep", "still=1")[1]
    out = by("ada", "retention", "set", "--keep", "still=always", "--let-editions-go")[1]
    assert "recording        12 months\n" in out
    assert "still            always\n" in out
    assert "spare-editions   no\n" in out
    assert by("", "retention", "due", "--on", "2021-02-28")[1] == "Nothing is due.\n"
    assert without_hashes(by("", "retention", "due")[1]) == ["recording van.mp4 of visit 1, due since 2021-03-01"]
    by("alva", "hold", "place", 1, "--reason", "inquiry 7")
    assert without_hashes(by("", "retention", "due")[1])[0].endswith("stays: a legal hold stands on it")
    assert by("alva", "retention", "let-go", "--all-due")[1] == "Nothing is due that may go.\n"
    held = hash_in(by("", "retention", "due")[1], "van.mp4")
    assert "something keeps it" in by("alva", "retention", "let-go", held, "--yes")[2]
    assert "free to go" in by("alva", "hold", "lift", 1)[1]
    assert by("olin", "retention", "let-go", "--all-due", "--yes")[0] == 2
    assert files_of(place) == 3
    assert by("alva", "retention", "let-go", "--all-due", "--yes")[1].startswith("removed  ")
    assert files_of(place) == 2


def test_settings_say_what_they_put_back(by: By) -> None:
    assert by("", "settings")[1].split("\n")[0] == "one-person         no"
    back = "Decided items of open drafts that wait for a second person again: "
    code, out, err = by("ada", "settings", "set", "--second-for-kind", "cue", "--second-for-kind", "step",
                        "--reverify", "loader=12", "--reverify", "loadr=6")  # fmt: skip
    assert (code, out.endswith(f"{back}2\n"), "'loadr'" in err, "'loader'" in err) == (0, True, True, False)
    assert "second-for-kind    cue, step\n" in out
    out = by("ada", "settings", "set", "--second-for-kind", "step", "--reverify", "loadr=usual")[1]
    assert "reverify           loader 12; all others 24 months\n" in out
    assert out.endswith("waited for a second person and are decided now: 1\n")
    out = by("ada", "settings", "set", "--one-person", "--second-for-signal", "warning")[1]
    assert "one-person         yes\nsecond-for-kind    step\nsecond-for-signal  warning\n" in out
    assert by("ada", "settings", "set", "--several-people")[1].endswith(f"{back}1\n")
    out = by("ada", "settings", "set", "--second-for-kind", "none", "--second-for-signal", "none")[1]
    assert "second-for-kind    none\nsecond-for-signal  none\n" in out
    assert by("", "settings")[1] == "\n".join(out.splitlines()[:4]) + "\n"


def test_each_person_keeps_searches_of_their_own(by: By) -> None:
    code, out, err = by("runa", "find", "service plug", "kind:said", "--save", "plugs")
    assert (code, err) == (0, "Kept as 'plugs'.\n")
    assert "Under it is the service plug." in out
    assert by("runa", "find", "--saved", "plugs")[:2] == (0, out)
    assert by("runa", "find", "--list-saved")[1] == 'plugs            "service plug" kind:said\n'
    assert by("ada", "find", "--list-saved")[1] == "No search is kept.\n"
    assert "keep none of that name" in by("ada", "find", "--saved", "plugs")[2]
    assert "keep none of that name" in by("ada", "find", "--forget", "plugs")[2]
    assert by("runa", "find", "--forget", "plugs")[1] == "Forgotten: 'plugs'\n"
    assert by("runa", "find", "--list-saved")[1] == "No search is kept.\n"


@pytest.mark.parametrize(
    ("words", "is_there"),
    [
        (["plug"], True),
        (["plug", "-service"], False),
        (["-service", "plug"], False),
        (["plug", "-hood"], True),
        (["plug", "-service plug"], False),
        (["plug", "-plug service"], True),
    ],
)
def test_a_minus_in_front_of_a_word_leaves_it_out(by: By, words: list[str], *, is_there: bool) -> None:
    assert ("Under it is the service plug." in by("", "find", *words)[1]) is is_there


def test_find_still_helps_by_one_letter(by: By) -> None:
    assert by("", "find", "-h") == by("", "find", "--help")


@pytest.mark.parametrize(
    ("who", "arguments", "said"),
    [
        ("", "consent give 1 1 --covers voice", "nobody said who this is"),
        ("olin", "consent give 1 1", "nobody said what it covers"),
        ("olin", "consent give 1", "who it is"),
        ("olin", "consent give 1 Dov --covers voice", "nobody of that number or name"),
        ("olin", "consent give 9 1 --covers voice", "visit 9: the library has none"),
        ("olin", "consent give 1 1 --covers voice --note a\x1b[2J", "the note holds"),
        ("olin", "consent give 1 1 --covers voice --remove", "--remove belongs to withdraw"),
        ("runa", "consent give 1 1 --covers voice", "only an officer or"),
        ("olin", "consent withdraw 1 1 --covers voice --remove --yes", "only an archivist or"),
        ("alva", "consent withdraw 1 1 --covers voice --remove", "Give --yes if you are sure"),
        ("alva", "consent show-again 1 abc", "too short for a hash"),
        ("alva", "consent show-again 1 abcdef", "begins no hash"),
        ("olin", "consent show-again 1 abcdef", "only an archivist or"),
        ("", "consent list 1 1", "lists a whole visit"),
        ("", "consent list 9", "visit 9: the library has none"),
        ("", "participants 9", "visit 9: the library has none"),
        ("", "participants 1 --person Ivo=other", "nobody said who this is"),
        ("runa", "participants 1 --person Ivo=other", "only an officer or"),
        ("olin", "participants 9 --person Ivo=other", "visit 9: the library has none"),
        ("olin", "participants 1 --person Ivo=other --person =other", "--person '=other': nobody is named"),
        ("olin", "participants 1 --person Ivo=driver", "--person 'Ivo=driver': 'driver' is no part"),
        ("olin", "participants 1 --person Ivo=other=a=b", "it has too many parts"),
        ("olin", "participants 1 --person Ivo=other=Ivo --person Una=other=Ivo", "voice 'Ivo': it is that of"),
        ("olin", "participants 1 --correct 1", "say once with --person"),
        ("olin", "participants 1 --correct 1 --person Ivo=other --person Una=other", "say once with --person"),
        ("olin", "participants 1 --correct 7 --person Ivo=other", "nobody of that number or name"),
        ("runa", "participants 1 --correct 1 --person Ivo=other", "only an officer or"),
        ("alva", "hold place 1", "it has no reason"),
        ("alva", "hold place", "no visit was named"),
        ("alva", "hold place 9 --reason x", "visit 9: the library has none"),
        ("olin", "hold place 1 --reason x", "only an archivist or"),
        ("alva", "hold lift 7", "hold 7: the library has none"),
        ("alva", "hold lift", "no hold was named"),
        ("ada", "retention set", "nothing was said"),
        ("ada", "retention set --keep film=3", "no such kind of file"),
        ("ada", "retention set --keep still", "no number of months"),
        ("ada", "retention set --keep still=0", "0 months are none"),
        ("alva", "retention set --keep still=3", "only an administrator"),
        ("alva", "retention let-go", "or --all-due"),
        ("alva", "retention let-go abcdef --all-due", "or --all-due"),
        ("alva", "retention due abcdef", "takes no HASH"),
        ("ada", "settings set", "nothing was said"),
        ("ada", "settings --one-person", "it sets nothing"),
        ("runa", "settings set --one-person", "only an administrator"),
        ("ada", "settings set --second-for-kind bolt", "none of that name"),
        ("ada", "settings set --second-for-kind none --second-for-kind step", "none of that name"),
        ("ada", "settings set --reverify 12", "which kind of machine"),
        ("ada", "settings set --reverify loader=soon", "no number of months"),
        ("ada", "settings set --reverify loader=121", "Give 1 to 120"),
        ("", "find plug --save plugs", "nobody said who this is"),
        ("runa", "find --save plugs", "give words to look for"),
        ("runa", "find plug --saved plugs", "give words to look for"),
        ("runa", "find --saved plugs --save plugs", "keeps the words"),
        ("runa", "find", "give words to look for"),
        ("", "find plug --sve plugs", "no option --sve"),
    ],
)  # fmt: skip
def test_what_cannot_be_done_is_one_line_and_changes_nothing(by: By, who: str, arguments: str, said: str) -> None:
    head = by("", "audit", "head")
    code, out, err = by(who, *arguments.split(" "))
    assert (code, out, err.count("\n")) == (2, "", 1)
    assert said in err
    assert by("", "audit", "head") == head
