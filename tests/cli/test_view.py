import io
from collections.abc import Callable

import pytest
from rich.console import Console

from vouchbook.cli.sheet import markdown
from vouchbook.cli.view import SIGNAL_STYLES, show, summary
from vouchbook.models.draft import CAUTION, Draft, Picture

PICTURES = (
    Picture(shows="i1", file="van.stills/0110.jpg"),
    Picture(shows="q2", file="van.stills/0060.jpg"),
)


def printed(draft: Draft, *, terminal: bool = False, width: int = 100) -> str:
    target = io.StringIO()
    screen = Console(
        file=target,
        width=width,
        force_terminal=terminal,
        color_system="truecolor" if terminal else None,
        highlight=False,
        markup=False,
    )
    show(draft, screen)
    return target.getvalue()


def test_the_caution_comes_before_anything_to_act_on(draft: Draft) -> None:
    flat = " ".join(printed(draft).replace("│", " ").split())
    assert 0 < flat.index(CAUTION) < flat.index("RECOGNISE IT")
    assert 0 < markdown(draft).index(CAUTION.replace("*", "")) < markdown(draft).index("## Recognise it")


def test_each_step_has_its_time_number_words_and_certainty(draft: Draft) -> None:
    lines = [" ".join(line.split()) for line in printed(draft).splitlines()]
    assert "0:30 3 Take out 2 × bolts · 10 mm" in lines
    assert "“Take the two ten-millimetre bolts out of the cover.” Dov, well supported" in lines
    assert "“Pull the plug out here.” Dov, check this: an order" in lines


def test_a_warning_is_printed_before_its_step_with_its_signal_word(draft: Draft) -> None:
    for text in (printed(draft), markdown(draft)):
        assert 0 < text.index("DANGER") < text.index("Pull plug")
        assert 0 < text.index("WARNING") < text.index("Chock rear wheel")


def test_a_warning_tells_why_its_signal_word(draft: Draft) -> None:
    for text in (printed(draft), markdown(draft)):
        flat = " ".join(text.split())
        assert "Why danger: “kills”: electric shock will kill or maim if it is not avoided" in flat
        assert "Why warning: “without a sound”: it could kill or maim if it is not avoided" in flat
        assert "Also before" not in flat


@pytest.fixture
def two_ways(draft_with: Callable[..., Draft]) -> Draft:
    step = {"kind": "step", "phase": "disable", "line": 6, "action": "pull", "object": "plug"}
    other = {"branch": "if that fails", "instead_of": ["i2"], "condition": "if that fails"}
    return draft_with(
        [
            {
                "kind": "warning", "phase": "disable", "line": 5, "text": "live", "hazard": "electric shock",
                "signal": "danger", "signal_reason": "it kills", "guards": ["i2", "i4"],
            },
            step,
            {"kind": "step", "phase": "disable", "line": 7, "action": "cut", "object": "loop"} | other,
            {"kind": "step", "phase": "disable", "line": 3, "action": "lift", "object": "cover"},
        ]
    )  # fmt: skip


def test_another_way_is_told_under_its_label_and_is_not_the_next_step(two_ways: Draft) -> None:
    lines = [" ".join(line.split()) for line in printed(two_ways).splitlines()]
    places = [
        next(n for n, line in enumerate(lines) if line.endswith(text))
        for text in ("1 Pull plug", "or If that fails, instead of step 1:", "1a Cut loop", "2 Lift cover")
    ]
    assert places == sorted(places)
    sheet = markdown(two_ways)
    assert "\n    - **If that fails, instead of step 1:**\n        - **1a** **Cut loop** *“And before" in sheet
    assert sheet.index("\n1. **Pull plug**") < sheet.index("**1a**") < sheet.index("\n2. **Lift cover**")


def test_a_warning_for_several_steps_names_the_others(two_ways: Draft) -> None:
    for text in (printed(two_ways), markdown(two_ways)):
        assert "Also before step 2." in " ".join(text.split())
        assert text.index("DANGER") < text.index("Pull plug")
        assert text.count("DANGER") == 1


def test_signal_words_have_the_colours_of_ansi_z535_on_a_terminal(draft: Draft) -> None:
    text = printed(draft, terminal=True)
    assert "\x1b[1;37;48;2;200;16;46m DANGER \x1b[0m" in text  # bold white on red
    assert "\x1b[1;30;48;2;255;130;0m WARNING \x1b[0m" in text  # bold black on orange
    assert set(SIGNAL_STYLES) == {"danger", "warning", "caution", "notice"}


def test_nothing_but_text_reaches_a_pipe(draft: Draft) -> None:
    assert "\x1b" not in printed(draft)


def test_every_item_and_question_survives_a_narrow_terminal(draft: Draft) -> None:
    flat = "".join(printed(draft, width=60).split())
    for item in draft.items:
        if item.kind != "tool":  # its words are those of its step
            assert "".join(item.quote.split()) in flat
    for question in draft.open_questions:
        assert "".join(question.ask.split()) in flat


def test_words_of_the_talk_are_never_markup(draft_with: Callable[..., Draft]) -> None:
    draft = draft_with([{"kind": "cue", "phase": "other", "line": 0, "text": "[bold]sign[/bold] <b>*x*</b>"}])
    assert "[bold]sign[/bold] <b>*x*</b>" in printed(draft)
    assert r"\[bold\]sign\[/bold\] \<b\>\*x\*\</b\>" in markdown(draft)


def test_a_talk_without_items_says_so(draft_with: Callable[..., Draft]) -> None:
    assert "Nothing in this talk could be made into an item." in printed(draft_with([]))


def test_the_summary_counts_what_is_there(draft: Draft) -> None:
    assert summary(draft) == "4 steps, 1 tool, 1 place, 2 warnings, 1 sign, 2 open questions"


def test_the_sheet_numbers_steps_ticks_questions_and_names_pictures(draft: Draft) -> None:
    sheet = markdown(draft.model_copy(update={"pictures": PICTURES}))
    assert "\n1. **Put on gloves** *“And before all that, put the gloves on.”* Dov, 1:10, well supported\n" in sheet
    assert "    ![picture](<van.stills/0110.jpg>)" in sheet
    assert "- [ ] 1:00 Which plug is it? *“Pull the plug out here.”*\n\n    ![picture](<van.stills/0060.jpg>)" in sheet
    assert "- [ ] What does it do in a fire?\n" in sheet
    assert "\n\n\n" not in sheet
