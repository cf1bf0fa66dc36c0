"""A heard transcript with one thing put right at a time: the borders of its lines, then its punctuation as well.

What stays wrong with both put right is what the words alone cost.
"""

import re

from rapidfuzz.distance import Levenshtein

from vouchbook.models.transcript import Line, Transcript, Word

_MARKS = re.compile(r"[.,;:?!\u2026]+$")


def in_lines_of(heard: Transcript, said: Transcript) -> Transcript:
    """The words of ``heard`` in the lines of ``said``: each in the first line that ends behind its middle."""
    if not heard.words or not said.lines:
        return heard
    ends_s = [line.end_s for line in said.lines]
    lines: list[Line] = []
    first, place = 0, 0
    for number, word in enumerate(heard.words):
        there = place
        while there < len(ends_s) - 1 and (word.start_s + word.end_s) / 2 > ends_s[there]:
            there += 1
        if there != place and number > first:
            lines.append(_line(heard, first, number - 1))
            first = number
        place = there
    lines.append(_line(heard, first, len(heard.words) - 1))
    return heard.model_copy(update={"lines": tuple(lines)})


def with_marks_of(heard: Transcript, said: Transcript) -> Transcript:
    """The words of ``heard`` with the punctuation and capitals of ``said``, where the two have a word in common.

    Where another word was heard in a word's place, it gets that word's punctuation.
    """
    texts = [word.text for word in heard.words]
    a, b = ([_plain(word) for word in transcript.words] for transcript in (heard, said))
    for code in Levenshtein.opcodes(a, b):
        if code.tag not in ("equal", "replace"):
            continue
        for at, there in zip(
            range(code.src_start, code.src_end), range(code.dest_start, code.dest_end), strict=code.tag == "equal"
        ):
            right = said.words[there].text
            marks = _MARKS.search(right)
            texts[at] = right if code.tag == "equal" else _MARKS.sub("", texts[at]) + (marks.group() if marks else "")
    words = zip(heard.words, texts, strict=True)
    return heard.model_copy(update={"words": tuple(w.model_copy(update={"text": text or w.text}) for w, text in words)})


def _line(heard: Transcript, first: int, last: int) -> Line:
    words = heard.words[first : last + 1]
    end_s = max(word.end_s for word in words)
    return Line(first_word=first, last_word=last, start_s=words[0].start_s, end_s=end_s)


def _plain(word: Word) -> str:
    return re.sub(r"[^\w']", "", word.text.lower().replace("\u2019", "'"))
