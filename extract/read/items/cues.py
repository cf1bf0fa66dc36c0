"""Cues: how to recognise the thing or its state.

A sign (lamp, badge, noise, smell, gauge) with what it shows, "if it's lit it's live", "that means it's off", and plain
descriptions in answer to "how do I know?".
"""

import re
from collections.abc import Iterator

from vouchbook.extract.read.deeds import deed
from vouchbook.extract.read.found import Found
from vouchbook.extract.read.phrases import text_of
from vouchbook.extract.read.scope import is_look_alike, prohibition
from vouchbook.extract.read.talk import Sentence, Talk
from vouchbook.extract.read.tape import words_pattern

_SIGN = words_pattern(
    r"(?:lamps?|lights?|led|leds|bulb|badges?|stickers?|labels?|logo|lettering|symbol|emblem|name ?plate|"
    r"plates?|needle|gauge|dial|display|screen|read-?out|"
    r"flash|stripes?|triangle|diamond|arrow|beeps?|buzzer|alarm|horn|siren|chime|click|clunk|clunks|"
    r"thud|bang|bangs|hiss|hissing|whistle|whistling|hum|humming|whirr|whine|rattle|pop|"
    r"noise|sound|smell|stink|whiff|smoke|steam|vapou?r|bubbles|colou?r|flag|marker|sign|tell-?tale|"
    r"icon|message|reading)"
)
_PERCEIVE = words_pattern(
    r"(?:you|you 'll|you 'd|you can|you should|they 'll|you might|you will) (?:\w+ )?(?:hear|smell|"
    r"feel|see|notice|spot)",
    r"(?:it|she|that|which|they)(?: 'll| will)? (?:\w+ )?(?:clicks?|clunks?|hiss(?:es)?|whistles?|"
    r"beeps?|buzz(?:es)?|hums?|whines?|rattles?|thuds?|bangs?|smells?|stinks?|smokes?|glows?|flash(?:es)?|"
    r"blinks?|crackles?|pops?|bubbles?|fizz(?:es)?)",
    r"sounds? like|smells? (?:like|of)|looks? like|tastes? like|feels? like",
    r"it (?:\w+ )?(?:says|reads|shows|reads out)",
)
_MEANS = words_pattern(
    r"(?:that |it |which |this |\w+ )?(?:means|tells you|shows you|lets you know|gives it away|tells us)(?! to)",
    r"that 's (?:how|when) (?:you|we) (?:know|tell|can tell)|that 's your (?:sign|clue|tell|proof|"
    r"confirmation)|you know (?:it 's|that|she 's|you 've|they 're)|(?:the )?give-?away",
    r"you(?: 'll| will)? know (?:it 's|she 's|you 've|it|they)",
    r"(?:you 're looking for|what you 're looking (?:at|for)|look for|go by|you want (?:it|that|"
    r"to see)|watch for|look out for)",
    r"(?:has|have|should|needs?) (?:got )?(?:to )?be (?:out|off|on|lit|dark|green|red|zero|at zero|under|below|dead)",
)
_STATE = (
    r"(?:live|dead|off|on|asleep|awake|safe|charged|empty|full|open|shut|closed|locked|unlocked|"
    r"running|stopped|ready|out|lit|dark|high|low|level|gone|leaking|"
    r"burning|isolated|armed|released|engaged|loose|electric|hybrid|happy|good|fine|clear|moving|"
    r"in|home|seated|between|green|red|amber|white|blue|gassing|cooking)"
)
_IF_THEN = words_pattern(
    rf"(?:if|when|once|while|as long as|soon as) .{{2,60}}? (?:it|that|she|they|he|you)(?: 's| is|"
    rf" 're| are| 'll be) (?:\w+ )?{_STATE}.*",
    rf".{{0,40}}(?:lit|out|green|red|dark|amber|on|off|up|down|gone|white)(?: ,| and| then) (?:it|"
    rf"that|she|they|you)(?: 's| is| 're| are) (?:\w+ )?{_STATE}.*",
)
_COLOUR = r"(?:red|green|amber|orange|yellow|blue|white|black|brown|purple|grey|gray|silver|pink)"
_MARK = words_pattern(
    # "with a yellow flag on it", "it's got green tape on it", "a picture of a hand", "P V in white letters"
    rf"(?:with|has|'s got|have|got|wears|carries|under|behind) (?:an? |the |two |some )?(?:\w+ ){{0,2}}?(?:{_COLOUR} "
    rf")?(?:flag|tape|stripe|stripes|ring|band|label|tag|sticker|badge|triangle|diamond|arrow|lightning(?: "
    rf"bolt)?|picture|letters|lettering|skull|flame|symbol|logo|dot|cross|collar|line)(?: of| on|"
    rf" round| around| with| in| across| down|$).*",
    rf"(?:a|an|the|little|big) (?:{_COLOUR} )?(?:diamond|triangle|sign|badge|sticker|flash|stripe|"
    rf"lightning|picture) (?:with|of|on|in|that says|saying|down|stamped).*",
    rf"(?:in|on) {_COLOUR}(?: letters?| paint| lettering)?$",
    rf"{_COLOUR} (?:'s|is|means|for|was) (?!on |in |under |behind |the (?:left|right))(?:an? |the |your )?\w+.*",
)
_SHOWS = words_pattern(
    # "that's the valves shutting", "if it bubbles that's hydrogen coming off", "no soot, that's the gas one"
    r"(?:if|when|once) .{3,60}? (?:that 's|it 's|that means|it means|then it 's|then she 's|that is) (?!a "
    r"(?:fire|bomb|generator)).*",
    r"(?:you hear|there 's a|you smell|you see|hear|no) .{2,50}? (?:that 's|it 's) (?:the|your|"
    r"a|it|not|that|where|when) .*",
    r"(?:first thing|first it|it starts|to start with|at first) .*",
    r".* (?:that 's|it 's) (?:the|your) (?:\w+ ){1,3}(?:opening|closing|shutting|dropping|dropped|"
    r"letting|coming|going|gone|broken|gassing|burning|off|on|out|in|running)(?: .*)?",
)
_BURNS = words_pattern(
    r"(?:white|black|grey|gray|thick|heavy|low|sweet|sharp) (?:and |smoke|smell|vapou?r|cloud|fumes).*",
    r"(?:noise|sound|smell|smells|stinks|tastes) (?:\w+ )?like .*",
    r"like (?:an? |the )?(?:\w+ )?(?:kettle|popcorn|gun ?shots?|garlic|nail varnish|pear drops|"
    r"solvent|frying|fireworks|geyser|whistle|eggs|burnt \w+)",
)
_UNTIL_SIGN = words_pattern(
    r"(?:until|till) (?:it|you|there|she|that|the \w+)(?: 's| is)? ?(?:\w+ )?(?:clicks?|clunks?|"
    r"hear|goes out|comes on|a \w+ (?:lamp|light)|lights up|beeps?|stops|feel)(?!\S).*",
    r"wait for (?:the |a )(?:click|clunk|beep|thud|light|lamp|green|hiss|bang)",
)
_HOW_KNOWN = re.compile(
    r"(?<!\S)(?:how (?:do|would|will|can|did|am|are) (?:i|you|we|they)(?: \w+)? (?:know|tell|recogni[sz]e|"
    r"spot|see|supposed)|what (?:should|would|am|do|does|will) (?:i|it|we|you)(?: \w+)? (?:seen?|"
    r"look\w*|hear|smell|notice|spot|see|do)|"
    r"what (?:'s|does|will|did) (?:it|that|she) (?:do|look|sound|smell)|(?:it 's|it is|that 's|"
    r"she 's) (?:burning|on fire|alight)|(?:okay|right|so) ,? ?fire|smoke (?:coming|out)|what do i (?:see|"
    r"hear|look for)|is it (?:off|dead|on|safe)|that 's it (?:off|dead)|how many 's that|"
    r"what tells|what gives|how 's (?:it|that) (?:marked|labelled)|what (?:am|are) (?:i|we) looking (?:at|"
    r"for)|what does (?:it|that) (?:look|sound|smell)|know it 's|tell (?:it|that|them) (?:from|"
    r"apart)|what do i go by|recogni[sz]e)(?!\S)"
)
_DESCRIBES = words_pattern(
    r"(?:there 's|there is|there are|it 's got|it has|they 've got|it 's a|no|has got|you 've got|"
    r"you 've|'s got|they 're|it 's)(?: .*)"
)
_NOT_A_SIGN = words_pattern(r"(?:traffic light|light a|lights? off the|sound man|sound check)")


_ENOUGH = 1.9


def cues(talk: Talk) -> Iterator[Found]:
    """The cues of ``talk``, each a sentence or the part of it that shows something."""
    asked_lines = 0
    for sentence in talk.sentences:
        if sentence.line in talk.askers or sentence.asks:
            if sentence.line in talk.askers:
                asked_lines = 3 if _HOW_KNOWN.search(talk.tape(sentence.start, sentence.end).text) else 0
            continue
        if sentence.line in talk.chatter:
            continue
        found = _cue(talk, sentence, asked=asked_lines > 0)
        if found:
            yield found
        if asked_lines and talk.sentences_of(sentence.line)[-1].number == sentence.number:
            asked_lines -= 1


def _cue(talk: Talk, sentence: Sentence, *, asked: bool) -> Found | None:
    line = talk.tape(sentence.start, sentence.end)
    if _NOT_A_SIGN.search(line.text):
        return None
    if any(
        prohibition(talk.doc, c.body, c.end) and not is_look_alike(talk.doc, c.body, c.end) for c in sentence.clauses
    ):
        return None
    sign = bool(_SIGN.search(line.text))
    perceive = bool(_PERCEIVE.search(line.text))
    means = bool(_MEANS.search(line.text))
    if_then = bool(_IF_THEN.search(line.text))
    until = bool(_UNTIL_SIGN.search(line.text))
    mark = bool(_MARK.search(line.text))
    shows = bool(_SHOWS.search(line.text))
    burns = bool(_BURNS.search(line.text))
    describes = asked and bool(_DESCRIBES.search(line.text)) and sentence.end - sentence.start > 4
    points = 1.0 * sign + 1.2 * perceive + 1.2 * means + 1.5 * if_then + 1.5 * until + 1.2 * describes + 0.8 * asked
    points += 1.4 * mark + 1.2 * shows + 1.2 * burns
    instructs = sum(deed(talk, c) is not None for c in sentence.clauses)
    points -= 0.6 * min(instructs, 2) * (not until)
    if points < _ENOUGH:
        return None
    start, end = _part_that_shows(talk, sentence)
    reasons = tuple(
        why for ok, why in (
            (sign, "names a sign"), (perceive, "says what is seen, heard or smelt"), (means, "says what it means"),
            (if_then, "ties a sign to a state"), (until, "says what shows that it is done"), (asked, "answers how to know it"), (mark, "describes a mark"), (shows, "says what it shows"),
            (burns, "says how a fire shows itself"),
        ) if ok
    )  # fmt: skip
    return Found(
        "cue",
        start,
        end,
        sentence.line,
        {"text": text_of(talk.doc, start, end)},
        min(0.9, 0.4 + 0.12 * points),
        reasons,
    )


def _part_that_shows(talk: Talk, sentence: Sentence) -> tuple[int, int]:
    """The whole sentence; a long one is cut to the clauses around its signs."""
    if sentence.end - sentence.start <= 40:
        return sentence.start, sentence.end
    showing = [
        c for c in sentence.clauses
        if any(p.search(talk.tape(c.start, c.end).text) for p in (_SIGN, _PERCEIVE, _MEANS, _UNTIL_SIGN))
    ]  # fmt: skip
    return (showing[0].start, showing[-1].end) if showing else (sentence.start, sentence.end)
