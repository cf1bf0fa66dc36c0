from datetime import UTC, datetime

import pytest

from vouchbook.library.review.hearing import Range, heard_by, unheard_of
from vouchbook.models.decisions import Play
from vouchbook.models.transcript import Source

AT = datetime(2031, 3, 4, 10, tzinfo=UTC)
FIRST, SECOND, OTHER = "a" * 64, "b" * 64, "c" * 64
SOURCES = (
    Source(name="one.mp4", sha256=FIRST, duration_s=100, kind="recording"),
    Source(name="two.mp4", sha256=SECOND, offset_s=100, duration_s=50, kind="recording"),
    Source(name="two.vtt", sha256=OTHER, kind="captions"),
)


def _play(sha256: str, start_s: float, end_s: float, by: int = 1) -> Play:
    return Play(sha256=sha256, by=by, start_s=start_s, end_s=end_s, at=AT)


def test_plays_of_several_recordings_lie_on_one_clock_and_are_joined() -> None:
    plays = [_play(SECOND, 0, 5), _play(FIRST, 90, 100), _play(FIRST, 3, 4), _play(FIRST, 0, 50, by=2)]
    assert heard_by(1, plays, SOURCES) == ((3, 4), (90, 105))


def test_a_play_of_something_else_counts_nothing() -> None:
    assert heard_by(1, [_play(OTHER, 0, 9), _play("d" * 64, 0, 9)], SOURCES) == ()


@pytest.mark.parametrize(
    ("heard", "gaps"),
    [
        pytest.param([(9, 21)], (), id="more-than-all"),
        pytest.param([(10.4, 19.6)], (), id="slack-at-both-ends"),
        pytest.param([(10, 15), (15.4, 20)], (), id="a-small-gap"),
        pytest.param([(15, 20), (10, 15)], (), id="in-two-parts-backwards"),
        pytest.param([(10, 14), (16, 20)], ((14, 16),), id="a-gap"),
        pytest.param([(0, 12), (18, 30)], ((12, 18),), id="the-ends-alone"),
        pytest.param([(20, 30)], ((10, 20),), id="beside-it"),
        pytest.param([], ((10, 20),), id="nothing"),
    ],
)
def test_what_was_not_heard_of_a_range(heard: list[Range], gaps: tuple[Range, ...]) -> None:
    assert unheard_of(10, 20, heard) == gaps


@pytest.mark.parametrize("heard", [pytest.param([], id="nothing"), pytest.param([(10, 10.1)], id="a-touch")])
def test_slack_does_not_excuse_a_short_range(heard: list[Range]) -> None:
    assert unheard_of(10, 10.4, heard)
