import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from vouchbook.models.evidence import Evidence, quote
from vouchbook.models.transcript import Line, Transcript, Word

SPOKEN = st.lists(st.from_regex(r"[a-z0-9,.'\-]{1,9}", fullmatch=True), min_size=1, max_size=30)


def transcript_of(texts: list[str]) -> Transcript:
    words = tuple(Word(text=text, start_s=n / 4, end_s=n / 4 + 0.2) for n, text in enumerate(texts))
    last = len(words) - 1
    return Transcript(words=words, lines=(Line(first_word=0, last_word=last, start_s=0, end_s=words[-1].end_s),))


@given(texts=SPOKEN, data=st.data())
def test_a_quote_is_the_words_at_its_place_and_their_seconds(texts: list[str], data: st.DataObject) -> None:
    first = data.draw(st.integers(0, len(texts) - 1))
    last = data.draw(st.integers(first, len(texts) - 1))
    evidence = quote(transcript_of(texts), first, last)
    assert evidence.quote.split(" ") == texts[first : last + 1]
    assert (evidence.start_s, evidence.end_s) == (first / 4, last / 4 + 0.2)


@given(texts=SPOKEN, data=st.data())
def test_words_at_another_place_are_refused(texts: list[str], data: st.DataObject) -> None:
    transcript = transcript_of(texts)
    first = data.draw(st.integers(0, len(texts) - 1))
    last = data.draw(st.integers(first, len(texts) - 1))
    moved = data.draw(st.integers(-3, 3).filter(lambda by: by != 0))
    elsewhere = {"first_word": first + moved, "last_word": last + moved}
    stored = quote(transcript, first, last).model_dump() | elsewhere
    with pytest.raises(ValidationError):
        Evidence.model_validate(stored, context={"transcript": transcript})


@given(texts=SPOKEN, first=st.integers(0, 60), length=st.integers(0, 60))
def test_a_range_past_the_end_is_never_evidence(texts: list[str], first: int, length: int) -> None:
    transcript = transcript_of(texts)
    if first + length < len(texts):
        assert quote(transcript, first, first + length).last_word == first + length
    else:
        with pytest.raises(ValidationError):
            quote(transcript, first, first + length)


@pytest.mark.parametrize(
    ("changed", "message"),
    [
        pytest.param({"quote": "Do cut the orange cable behind the seat."}, "does not say", id="turned-round"),
        pytest.param({"quote": "Never cut the orange cable behind the seat"}, "does not say", id="a-full-stop-less"),
        pytest.param({"first_word": 9, "last_word": 7}, "no words 9 to 7", id="ends-before-it-starts"),
        pytest.param({"last_word": 15}, "no words 7 to 15 among 15", id="one-word-too-far"),
        pytest.param({"start_s": 3.0}, "are not spoken from 3.0", id="other-seconds"),
        pytest.param({"quote": ""}, "at least 1 character", id="no-words"),
    ],
)
def test_evidence_that_the_transcript_does_not_hold_is_refused(
    transcript: Transcript, changed: dict[str, object], message: str
) -> None:
    sound = quote(transcript, 7, 14).model_dump()
    assert Evidence.model_validate(sound, context={"transcript": transcript}).voice == "Dov"
    with pytest.raises(ValidationError, match=message):
        Evidence.model_validate(sound | changed, context={"transcript": transcript})


def test_evidence_without_its_transcript_is_refused(transcript: Transcript) -> None:
    sound = quote(transcript, 0, 3).model_dump()
    with pytest.raises(ValidationError, match="needs the transcript that it quotes"):
        Evidence.model_validate(sound)
