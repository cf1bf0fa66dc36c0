"""What a draft shows is whole: no thing, place, part or tool ends in the middle of its phrase, no deed lacks a verb."""

from collections.abc import Callable, Iterable

import pytest

from vouchbook.extract.packs.load import load_pack
from vouchbook.extract.packs.vocabulary import layered
from vouchbook.extract.read.found import Found
from vouchbook.extract.read.marked.locations import marked_locations
from vouchbook.extract.read.marked.steps import marked_steps
from vouchbook.extract.read.marked.whole_places import whole_place
from vouchbook.extract.read.marked.wholes import whole_things
from vouchbook.extract.read.phrases import told_span
from vouchbook.extract.read.pipeline import Reader
from vouchbook.extract.read.talk import Talk
from vouchbook.extract.read.things import Things
from vouchbook.extract.tagger.load import load_tagger
from vouchbook.extract.tagger.marks import Marks
from vouchbook.models.transcript import Transcript

TALKS = {
    "terse": ("Chocks first.", "Key out.", "Cover off, four bolts, thirteen mil.", "Grey plug, pull it."),
    "rambling": (
        "So, you know, what I'd do is I'd go round the back and lift the, the little flap behind the rear bumper.",
        "Under there you've got a sort of orange lever with a ring, and you pull that till it clicks.",
    ),
    "irish": ("You've your isolator there below the left seat, so you have.", "A quarter, and the lamp goes out."),
    "american": ("Go ahead and pop the hood.", "You got a yellow loop right by the fender, cut that twice."),
    "second language": ("Here is box of fuse.", "You take out the fuse number five.", "Then wait ten minute."),
    "shouted": ("Stop button! Press the stop button!", "Back! Get back five metres!", "Don't touch the red cable!"),
    "no punctuation": (
        "then you lean in you press the park button and the brake lamp comes on",
        "battery's under the floor between the axles and it takes a ten mil socket on the front and back",
    ),
    "asked and told": (
        "Ada: Where's the shut-off?", "Bo: In the cupboard, third row, behind the meter.",
        "Ada: And what do you do?", "Bo: Close the valve and the tap of the small tank.",
    ),
    "list": ("Gloves, visor, hook.", "Undo the strap round the frame and both clips, then slide the tray out."),
    "hazards": (
        "And don't cut the sill, because there's a gas bottle in it.",
        "So it holds four hundred volts for five minutes.",
    ),
    "signs": ("And if the lamp's green, it's asleep.", "There's a blue plate on the left of the back door."),
    "corrected": (
        "Take the, no, leave the top bolt, undo the two lower ones.",
        "Prop the lid with a length of timber.",
    ),
}  # fmt: skip
ENDS_NOTHING = frozenset(
    """
    the a an my your his her its our their this these and or but of with for at to from by into onto than as is are 's
    very
    """.split()
)
NUMBERS = frozenset("zero one two three four five six seven eight nine ten twelve thirteen fifteen twenty".split())
SHOWN = {"step": ("object", "place", "tool"), "location": ("part", "place"), "tool": ("name",)}
NUMBERED = frozenset("number row level bay door deck".split())


def malformed(kind: str, fields: dict[str, str | None]) -> list[str]:
    """What is not whole among the fields of one item."""
    wrong = []
    if kind == "step" and not (fields["action"] or "").strip():
        wrong.append("no action")
    for name in SHOWN.get(kind, ()):
        words = (fields[name] or "").lower().split()
        if not words:
            if kind != "step":
                wrong.append(f"{name} is empty")
            continue
        is_number = words[-1] in NUMBERS - {"one"} or (words[-1] == "one" and len(words) == 1)
        is_numbered = len(words) > 1 and words[-2] in NUMBERED
        if words[-1] in ENDS_NOTHING or (is_number and not is_numbered):
            wrong.append(f"{name} ends in {words[-1]!r}")
    return wrong


@pytest.mark.parametrize("fields", [
    {"action": "lift", "object": "cover of the", "place": None, "tool": None},
    {"action": "lift", "object": "cover", "place": "front and", "tool": None},
    {"action": "wait", "object": "five", "place": None, "tool": None},
    {"action": "", "object": "cover", "place": None, "tool": None},
])  # fmt: skip
def test_the_check_sees_what_is_cut_short(fields: dict[str, str | None]) -> None:
    assert malformed("step", fields)


@pytest.mark.parametrize("talk", TALKS.values(), ids=TALKS.keys())
@pytest.mark.parametrize("width", [1, 2, 3])
def test_wherever_marks_begin_and_end_phrases_are_whole(
    understand: Callable[..., Talk], talk: tuple[str, ...], width: int
) -> None:
    read = understand(*talk)
    for start in range(len(read.doc) - width):
        for thing in whole_things(read, start, start + width):
            text = read.doc[thing[0] : thing[1]].text
            assert not malformed("tool", {"name": text}), text
        place = whole_place(read, start, start + width)
        text = read.doc[place[0] : place[1]].text if place else "there"
        assert not malformed("location", {"part": "lid", "place": text}), text


@pytest.mark.parametrize("talk", TALKS.values(), ids=TALKS.keys())
@pytest.mark.parametrize("answer", ["B-deed", "B-thing", "B-alone"])
def test_whatever_is_marked_steps_are_whole(
    understand: Callable[..., Talk], mark_every_word: Callable[[Talk, str], Marks], talk: tuple[str, ...], answer: str
) -> None:
    read = understand(*talk)
    found = [c.found for c in marked_steps(read, mark_every_word(read, answer), Things(read))]
    assert [wrong for each in found for wrong in malformed("step", each.fields)] == []


@pytest.fixture(scope="session")
def tagging() -> Reader:
    return Reader(layered(load_pack("common"), load_pack("road_vehicles")), load_tagger())


@pytest.mark.parametrize("talk", TALKS.values(), ids=TALKS.keys())
def test_a_draft_shows_whole_phrases(tagging: Reader, spoken: Callable[..., Transcript], talk: tuple[str, ...]) -> None:
    items = tagging.read(spoken(*talk)).items
    assert items, "a talk of nothing would prove nothing"
    assert [(wrong, i.quote) for i in items for wrong in malformed(i.kind, i.model_dump())] == []


def fields_of(found: Iterable[Found]) -> list[tuple[str, str, str | None]]:
    return [(f.fields["action"], f.fields["object"], f.fields["place"]) for f in found]


@pytest.mark.parametrize(
    ("said", "step", "expected"),
    [
        pytest.param("Press the start button and the ready lamp goes out.",
                     {"Press": "B-deed", "start button": "B-thing", "ready lamp": "B-thing"},
                     ("press", "start button", None), id="a-thing-with-a-verb-of-its-own"),
        pytest.param("Lean in you see the lever.", {"Lean": "B-deed", "in you": "B-place"},
                     ("lean", "", None), id="a-person-is-no-place"),
        pytest.param("Undo the lid of the fuse box.", {"Undo": "B-deed", "lid": "B-thing"},
                     ("undo", "lid of the fuse box", None), id="of-which"),
        pytest.param("Lift the small red flap.", {"Lift": "B-deed", "small red": "B-thing"},
                     ("lift", "small red flap", None), id="cut-before-its-noun"),
        pytest.param("Put the hook behind the left seat.",
                     {"Put": "B-deed", "hook": "B-thing", "behind the left": "B-place"},
                     ("put", "hook", "behind the left seat"), id="a-place-to-its-noun"),
        pytest.param("Wait for the click.", {"Wait": "B-deed", "for the click": "B-thing"},
                     ("wait for", "click", None), id="a-preposition-is-the-deeds"),
        pytest.param("There's a hose. Turn the tap off.", {"off": "B-deed", "tap": "B-thing"},
                     ("turn off", "tap", None), id="the-verb-of-a-particle"),
        pytest.param("Undo the strap and the buckle.",
                     {"Undo": "B-deed", "strap and the": "B-thing", "buckle": "B-thing"},
                     ("undo", "strap and buckle", None), id="two-things-both-whole"),
    ],
)  # fmt: skip
def test_a_step_is_told_in_whole_phrases(
    understand: Callable[..., Talk],
    mark: Callable[..., Marks],
    said: str,
    step: dict[str, str],
    expected: tuple[str, str, str | None],
) -> None:
    talk = understand(said)
    (found,) = fields_of(c.found for c in marked_steps(talk, mark(talk, step=step), Things(talk)))
    assert found == expected


@pytest.mark.parametrize(
    ("said", "location", "expected"),
    [
        pytest.param("The key fob is kept five metres away.", {"key fob": "B-part", "away": "B-place"},
                     ("key fob", "five metres away"), id="a-distance"),
        pytest.param("The fuse is on the wall.", {"fuse": "B-part", "wall": "B-place"},
                     ("fuse", "on the wall"), id="the-preposition-too"),
        pytest.param("The plug is front and back.", {"plug": "B-part", "front and": "B-place"},
                     ("plug", "front and back"), id="both-ends"),
        pytest.param("The tap's behind the lining, you've the hose there.",
                     {"tap": "B-part", "behind the lining, you've": "B-place"},
                     ("tap", "behind the lining"), id="not-the-next-statement"),
    ],
)  # fmt: skip
def test_a_location_is_told_in_whole_phrases(
    understand: Callable[..., Talk],
    mark: Callable[..., Marks],
    said: str,
    location: dict[str, str],
    expected: tuple[str, str],
) -> None:
    talk = understand(said)
    (found,) = [c.found.fields for c in marked_locations(talk, mark(talk, location=location), Things(talk))]
    assert (found["part"], found["place"]) == expected


@pytest.mark.parametrize("said", ["back", "the", "and the", "on you"])
def test_no_place_is_made_of_function_words(understand: Callable[..., Talk], said: str) -> None:
    talk = understand(said)
    assert whole_place(talk, 0, len(talk.doc)) is None


@pytest.mark.parametrize(
    ("said", "text"),
    [
        pytest.param("and it holds a charge", "it holds a charge", id="joiner"),
        pytest.param("so, well, never cut there and", "never cut there", id="fillers-and-a-torn-end"),
        pytest.param("no axe in that corner", "no axe in that corner", id="what-forbids-stays"),
        pytest.param("right under it there's a gas bottle", "right under it there's a gas bottle", id="a-place-stays"),
    ],
)
def test_a_warning_comes_to_its_point(understand: Callable[..., Talk], said: str, text: str) -> None:
    doc = understand(said).doc
    start, end = told_span(doc, 0, len(doc))
    assert doc[start:end].text == text
