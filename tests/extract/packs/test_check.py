"""Checking a department's own pack files: every problem with its line, and how the file lies over the others."""

from pathlib import Path

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from vouchbook.extract.packs.check import PackCheck, check_files
from vouchbook.extract.packs.load import DOMAINS, load_pack_file
from vouchbook.extract.read.words import kept_words
from vouchbook.models.errors import PackError
from vouchbook.models.phases import Phase

HEAD = 'name = "station_four"\ntitle = "Words of station four"\n'


def _check(folder: Path, *texts: str) -> PackCheck:
    """The check of the last of several files."""
    paths = [folder / f"{number}.toml" for number, _ in enumerate(texts, 1)]
    for path, text in zip(paths, texts, strict=True):
        path.write_text(text, encoding="utf-8", newline="")
    return check_files(paths, kept_words)[-1]


@pytest.mark.parametrize(
    ("text", "line", "what", "remedy"),
    [
        pytest.param(
            "part = [{ term = }]", 3, "not TOML: Invalid value", "Correct it at that line; what comes", id="toml"
        ),
        pytest.param(
            "part = []\npart = []", 4, "not TOML: Cannot overwrite", "stands there a second time", id="key-twice"
        ),
        pytest.param("part = []\n[[part]]\n", 4, "not TOML: Cannot", "stands there a second time", id="header-twice"),
        pytest.param(
            'part = [{ term = "zip box",\nsynonyms = [] }]', 3, "not TOML: Invalid initial", "on one", id="broken-row"
        ),
        pytest.param("[parts]", 3, "unknown key or kind 'parts'", "Perhaps you mean 'part'", id="unknown-kind"),
        pytest.param(
            "[topic_word]", 3, "unknown key or kind 'topic_word'", "Perhaps you mean 'topic_words'", id="words"
        ),
        pytest.param(
            'part = [\n{ term = "Big Box" }]',
            4,
            "part 'Big Box': term 'Big Box' has capital",
            "Write 'big box'",
            id="capitals",
        ),
        pytest.param('part = [\n\n{ term = "big--box" }]', 5, "has spaces or signs", "Write 'big box'", id="signs"),
        pytest.param(
            'part = [{ term = "-" }]',
            3,
            "term '-' has no letter or digit, so it can never be found",
            "Take it out",
            id="empty-when-compared",
        ),
        pytest.param(
            'part = [{ term = "" }]',
            3,
            "term '' has no letter or digit, so it can never be found",
            "Take it out",
            id="empty",
        ),
        pytest.param(
            'part = [{ term = "m\u00fcll box" }]',
            3,
            "term 'm\u00fcll box' holds \u00fc",
            "Write words of a to z",
            id="letters",
        ),
        pytest.param(
            '[[part]]\nterm = "box"\nsynonyms = ["a",\n"B C"]',
            6,
            "synonyms 'B C' has capital",
            "Write 'b c'",
            id="synonym",
        ),
        pytest.param(
            "part = [{ term = 5 }]",
            3,
            "part '5': 'term' is not text",
            'Write it in quotes, as in "bonnet"',
            id="number",
        ),
        pytest.param(
            'part = [{ term = "box", synonyms = "a" }]', 3, "'synonyms' is not a list", "Write a list", id="no-list"
        ),
        pytest.param(
            'part = [{ synonyms = ["a"] }]',
            3,
            "part '(no term)': 'term' is missing",
            'as in term = "bonnet"',
            id="no-term",
        ),
        pytest.param(
            'part = [{ term = "box", synonym = ["a"] }]',
            3,
            "no field 'synonym'",
            "Perhaps you mean 'synonyms'",
            id="field",
        ),
        pytest.param(
            'part = [{ term = "box", replaces = 7 }]',
            3,
            "'replaces' is neither true nor false",
            "Write true",
            id="no-yes-or-no",
        ),
        pytest.param(
            'part = [{ term = "box", phase = "acces" }]',
            3,
            "phase 'acces' is not known",
            "Perhaps you mean 'access'",
            id="phase",
        ),
        pytest.param(
            'verb = [{ term = "undo", act = "zz" }]', 3, "act 'zz' is not known", "Known are remove, fit", id="act"
        ),
        pytest.param(
            'verb = [{ term = "undo" }]', 3, "verb 'undo': a verb needs 'act'", "Add act = …", id="verb-without-act"
        ),
        pytest.param(
            'part = [{ term = "box", act = "open" }]',
            3,
            "only a verb has an 'act'",
            "move the entry to verb",
            id="act-on-a-part",
        ),
        pytest.param(
            '[[part]]\nterm = "box"\nsounds_like = ["four"]',
            5,
            "'four' holds a polarity",
            "Take it out of sounds_like",
            id="sound",
        ),
        pytest.param(
            '[[part]]\nterm = "box"\nsounds_like = ["bo"]',
            5,
            "too short to be told",
            "Take it out of sounds_like",
            id="short-sound",
        ),
        pytest.param(
            'part = [{ term = "a", synonyms = ["c"] },\n{ term = "b", synonyms = ["c"] }]',
            4,
            "'c' stands for both 'a' and 'b' (see line 3)",
            "Leave it to one",
            id="two-meanings",
        ),
        pytest.param(
            'part = [{ term = "a" },\n{ term = "a" }]',
            4,
            "part 'a' has two entries (see line 3)",
            "Make one",
            id="two-entries",
        ),
        pytest.param(
            'topic_words.fires.weak = [\n"a", "b"]',
            4,
            "phase 'fires' is not known",
            "Perhaps you mean 'fire'",
            id="topic-word-phase",
        ),
        pytest.param(
            '[[topics]]\nphase = "fire"\nabout = "what burns"\nwords = []',
            6,
            "'topics.1.words' is empty",
            "Write one word",
            id="topic",
        ),
        pytest.param(
            '[energies]\n"Gas" = ["lpg"]', 4, "energies.Gas 'Gas' has capital letters", "Write 'gas'", id="energy"
        ),
        pytest.param(
            f'part = [{{ term = "{"a" * 61}" }}]', 3, "has 61 characters", "Write at most 60 characters", id="long"
        ),
        pytest.param(
            'part = [{ term = "\\u001b[2J" }]',
            3,
            "'\ufffd[2J'",
            "Write words of a to z",
            id="what-a-terminal-would-obey",
        ),
    ],
)
def test_an_error_names_its_line_and_what_to_write(
    tmp_path: Path, text: str, line: int, what: str, remedy: str
) -> None:
    errors = _check(tmp_path, HEAD + text).of("error")
    assert errors[0].line == line
    assert what in errors[0].what
    assert remedy in errors[0].remedy
    if "not TOML" not in errors[0].what:
        assert len(errors) == 1


def test_every_error_is_told_and_not_only_the_first(tmp_path: Path) -> None:
    text = (
        'part = [\n  { term = "Zip Box", synonims = ["zed box"] },\n'
        '  { term = "zed box", sounds_like = ["four", "ax"], act = "open" },\n]\n'
        '[[verb]]\nterm = "unzip"\n[[verb]]\nterm = "zip"\nact = "zzz"\n[gadgets]\n'
    )
    assert [(finding.line, finding.what) for finding in _check(tmp_path, text).of("error")] == [
        (None, "'name' is missing"),
        (None, "'title' is missing"),
        (2, "part 'Zip Box': term 'Zip Box' has capital letters"),
        (2, "part 'Zip Box': there is no field 'synonims'"),
        (
            3,
            (
                "part 'zed box': sounds_like: 'four' holds a polarity, side, state, number or unit, "
                "which is never guessed from sound"
            ),
        ),
        (3, "part 'zed box': sounds_like: 'ax' is too short to be told from other words"),
        (3, "part 'zed box': only a verb has an 'act'"),
        (5, "verb 'unzip': a verb needs 'act'"),
        (9, "verb 'zip': act 'zzz' is not known"),
        (10, "unknown key or kind 'gadgets'"),
    ]


@pytest.mark.parametrize(
    ("texts", "line", "what"),
    [
        pytest.param(
            ['[[part]]\nterm = "emergency stop"\nphase = "access"'],
            4,
            "stands in common with another meaning: phase becomes access (was disable)",
            id="another-meaning",
        ),
        pytest.param(
            [
                'part = [{ term = "big lid", synonyms = ["tin hat"] }]',
                'part = [{ term = "rain cover", synonyms = ["tin hat"] }]',
            ],
            3,
            "part 'rain cover': 'tin hat' is a name of 'big lid' in 1.toml, and now means 'rain cover'",
            id="over-an-earlier-file",
        ),
        pytest.param(
            ['part = [{ term = "cabin air node", synonyms = ["can"] }]'],
            3,
            "'can', short for 'cabin air node'",
            id="ordinary-word",
        ),
        pytest.param(
            ['[[tool]]\nterm = "vinch"\nsounds_like = ["wench"]'], 5, "'wench' is nearly 'wrench'", id="sound"
        ),
        pytest.param(
            ['part = [{ term = "zip box", kind = "tool" }]'], 3, "a 'kind' has no effect", id="kind-in-a-list"
        ),
        pytest.param([""], None, "there are no words in this pack", id="no-words"),
        pytest.param(["", 'part = [{ term = "zip box" }]'], 1, "the name 'station_four' is that of", id="name-twice"),
    ],
)
def test_a_warning_leaves_the_pack_usable(tmp_path: Path, texts: list[str], line: int | None, what: str) -> None:
    check = _check(tmp_path, *(HEAD + text for text in texts))
    assert check.of("error") == ()
    assert [finding.line for finding in check.of("warning") if what in finding.what] == [line]
    load_pack_file(tmp_path / f"{len(texts)}.toml")


def test_the_name_of_a_pack_that_comes_with_the_program_is_taken(tmp_path: Path) -> None:
    (warning,) = _check(tmp_path, 'name = "common"\ntitle = "Ours"\npart = [{ term = "zip box" }]').findings
    assert warning.what.startswith("the name 'common' comes with Vouchbook")


def test_what_is_in_a_pack_is_counted_and_set_beside_what_was_there(tmp_path: Path) -> None:
    text = HEAD + (
        'part = [{ term = "zip box", phase = "fire" }, { term = "service plug", synonyms = ["orange brick"] }]\n'
        'tool = [{ term = "long tom", synonyms = ["spanner"] }]\n'
        'topics = [{ phase = "fire", about = "what burns here", words = ["straw"] }]\n'
        '[topic_words.fire]\nstrong = ["goes up like straw"]\n'
    )
    check = _check(tmp_path, text)
    assert check.layers == ("common", *DOMAINS)
    assert check.kinds == {"part": 2, "tool": 1, "topic_word": 1}
    assert (check.phases, check.topics) == ({Phase.FIRE: 2}, 1)
    assert check.new == ("part 'zip box'", "topic_word 'goes up like straw'")
    assert check.adds == ("part 'service plug'",)
    assert check.overrides == ("tool 'long tom'",)


def test_a_file_that_cannot_be_read_does_not_keep_others_from_being_checked(tmp_path: Path) -> None:
    (tmp_path / "good.toml").write_text(HEAD + 'part = [{ term = "zip box" }]', encoding="utf-8")
    missing, good = check_files([tmp_path / "none.toml", tmp_path / "good.toml"], kept_words)
    assert [(f.line, f.what) for f in missing.findings] == [(None, "cannot be read (No such file or directory)")]
    assert good.findings == ()


@pytest.mark.parametrize("name", ["common", *DOMAINS])
def test_packs_that_come_with_the_program_hold_no_errors(name: str) -> None:
    (check,) = check_files([Path(__file__).parents[3] / "extract" / "packs" / f"{name}.toml"], kept_words)
    assert check.of("error") == ()
    assert check.new == ()


GOOD = HEAD + (
    'part = [\n  { term = "zip box", synonyms = ["zed box"], sounds_like = ["zip books"] },\n]\n'
    'hazard = [{ term = "zip shock", hazard = "electric shock", signal = "danger" }]\n'
    '[[verb]]\nterm = "unzip"\nact = "open"\n[topic_words.fire]\nstrong = ["straw"]\n'
)
_PIECES = st.sampled_from(
    [
        *"\"'[]{}=,.#5\n\ufeff",
        *(
            "nan",
            "true",
            '""',
            '"\\u0000"',
            '"zip box"',
            "[[part]]",
            "[topics]",
            "term",
            "phase",
            "weak",
            "topics",
            "synonyms",
        ),
        *("kind = 1", "1979-05-27", "energies = {a = []}", "9" * 5000, "0x" + "f" * 5000, "[" * 2000),
    ]
)


@st.composite
def _spoiled(draw: st.DrawFn) -> str:
    """A good pack with a few pieces put in, taken out or written over."""
    text = GOOD
    for _ in range(draw(st.integers(1, 4))):
        start = draw(st.integers(0, len(text)))
        text = text[:start] + draw(_PIECES | st.text(max_size=2)) + text[start + draw(st.integers(0, 9)) :]
    return text


@settings(suppress_health_check=[HealthCheck.too_slow], deadline=None)
@example(b"part = " + b"[" * 100_000)
@example(b"name = " + b"9" * 5000)
@given(st.binary() | st.text().map(str.encode) | _spoiled().map(lambda text: text.encode("utf-8", "surrogatepass")))
def test_any_file_is_checked_without_a_traceback_and_loading_agrees(
    tmp_path_factory: pytest.TempPathFactory, content: bytes
) -> None:
    path = tmp_path_factory.getbasetemp() / "any.toml"
    path.write_bytes(content)
    (check,) = check_files([path], kept_words)
    for finding in check.findings:
        assert (finding.what + finding.remedy).isprintable()
        assert finding.line is None or 1 <= finding.line <= content.count(b"\n") + 1
    try:
        load_pack_file(path)
    except PackError:
        assert check.of("error")
    else:
        assert not check.of("error")


def test_a_pack_of_our_own_is_told_that_it_is_never_chosen_by_the_talk(tmp_path: Path) -> None:
    path = tmp_path / "own.toml"
    path.write_text(HEAD + 'recognised_by = ["zip box"]\npart = [{ term = "zip box" }]', encoding="utf-8")
    (check,) = check_files([path], kept_words)
    (finding,) = check.findings
    assert (finding.severity, finding.line) == ("warning", HEAD.count("\n") + 1)
    assert finding.what.startswith("'recognised_by' has no effect")
