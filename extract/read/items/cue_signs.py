"""The words by which people tell how a thing is recognised, or what state it is in, and how much each of them says."""

import re
from typing import NamedTuple

from vouchbook.extract.read.tape import words_pattern


class Sign(NamedTuple):
    """A way to tell: its ``pattern``, how much it speaks for a cue, and the reason in words."""

    pattern: re.Pattern[str]
    weight: float
    why: str


_SIGN = words_pattern(
    # "lamp", "sticker", "hiss", "smoke": a word for a sign
    r"(?:lamps?|lights?|led|leds|bulb|badges?|stickers?|labels?|logo|lettering|symbol|emblem|name ?plate|"
    r"plates?|needle|gauge|dial|display|screen|read-?out|"
    r"flash|stripes?|triangle|diamond|arrow|beeps?|buzzer|alarm|horn|siren|chime|click|clunk|clunks|"
    r"thud|bang|bangs|hiss|hissing|whistle|whistling|hum|humming|whirr|whine|rattle|pop|"
    r"noise|sound|smell|stink|whiff|smoke|steam|vapou?r|bubbles|colou?r|flag|marker|sign|tell-?tale|"
    r"icon|message|reading)"
)
_PERCEIVE = words_pattern(
    # "you'll hear it", "you can smell it"
    r"(?:you|you 'll|you 'd|you can|you should|they 'll|you might|you will) (?:\w+ )?(?:hear|smell|"
    r"feel|see|notice|spot)",
    # "it clicks twice", "she'll hiss"
    r"(?:it|she|that|which|they)(?: 'll| will)? (?:\w+ )?(?:clicks?|clunks?|hiss(?:es)?|whistles?|"
    r"beeps?|buzz(?:es)?|hums?|whines?|rattles?|thuds?|bangs?|smells?|stinks?|smokes?|glows?|flash(?:es)?|"
    r"blinks?|crackles?|pops?|bubbles?|fizz(?:es)?)",
    # "sounds like a kettle"
    r"sounds? like|smells? (?:like|of)|looks? like|tastes? like|feels? like",
    # "it says OFF"
    r"it (?:\w+ )?(?:says|reads|shows|reads out)",
)
_MEANS = words_pattern(
    # "that means it's asleep"; not "it means to"
    r"(?:that |it |which |this |\w+ )?(?:means|tells you|shows you|lets you know|gives it away|tells us)(?! to)",
    # "that's how you know", "that's your proof", "the give-away"
    r"that 's (?:how|when) (?:you|we) (?:know|tell|can tell)|that 's your (?:sign|clue|tell|proof|"
    r"confirmation)|you know (?:it 's|that|she 's|you 've|they 're)|(?:the )?give-?away",
    # "then you'll know it's down"
    r"you(?: 'll| will)? know (?:it 's|she 's|you 've|it|they)",
    # "look for the blue band", "what you're looking for"
    r"(?:you 're looking for|what you 're looking (?:at|for)|look for|go by|you want (?:it|that|"
    r"to see)|watch for|look out for)",
    # "the needle should be at zero"
    r"(?:has|have|should|needs?) (?:got )?(?:to )?be (?:out|off|on|lit|dark|green|red|zero|at zero|under|below|dead)",
)
_STATE = (
    r"(?:live|dead|off|on|asleep|awake|safe|charged|empty|full|open|shut|closed|locked|unlocked|"
    r"running|stopped|ready|out|lit|dark|high|low|level|gone|leaking|"
    r"burning|isolated|armed|released|engaged|loose|electric|hybrid|happy|good|fine|clear|moving|"
    r"in|home|seated|between|green|red|amber|white|blue|gassing|cooking)"
)
_IF_THEN = words_pattern(
    # "if the lamp is lit it's live"
    rf"(?:if|when|once|while|as long as|soon as) .{{2,60}}? (?:it|that|she|they|he|you)(?: 's| is|"
    rf" 're| are| 'll be) (?:\w+ )?{_STATE}.*",
    # "lamp out, it's dead"
    rf".{{0,40}}(?:lit|out|green|red|dark|amber|on|off|up|down|gone|white)(?: ,| and| then) (?:it|"
    rf"that|she|they|you)(?: 's| is| 're| are) (?:\w+ )?{_STATE}.*",
)
_COLOUR = r"(?:red|green|amber|orange|yellow|blue|white|black|brown|purple|grey|gray|silver|pink)"
_MARK = words_pattern(
    # "with a purple flag on it", "it's got grey tape on it", "a picture of a bell", "P V in white letters"
    rf"(?:with|has|'s got|have|got|wears|carries|under|behind) (?:an? |the |two |some )?(?:\w+ ){{0,2}}?(?:{_COLOUR} "
    rf")?(?:flag|tape|stripe|stripes|ring|band|label|tag|sticker|badge|triangle|diamond|arrow|lightning(?: "
    rf"bolt)?|picture|letters|lettering|skull|flame|symbol|logo|dot|cross|collar|line)(?: of| on|"
    rf" round| around| with| in| across| down|$).*",
    # "a green diamond with a flame"
    rf"(?:a|an|the|little|big) (?:{_COLOUR} )?(?:diamond|triangle|sign|badge|sticker|flash|stripe|"
    rf"lightning|picture) (?:with|of|on|in|that says|saying|down|stamped).*",
    # "the letters are in white"
    rf"(?:in|on) {_COLOUR}(?: letters?| paint| lettering)?$",
    # "blue is the charger", "orange means high voltage"; not "red on the left"
    rf"{_COLOUR} (?:'s|is|means|for|was) (?!on |in |under |behind |the (?:left|right))(?:an? |the |your )?\w+.*",
)
_SHOWS = words_pattern(
    # "that's the valves shutting", "if it fizzes that's gas coming off", "no funnel, that's the gas one"
    r"(?:if|when|once) .{3,60}? (?:that 's|it 's|that means|it means|then it 's|then she 's|that is) (?!a "
    r"(?:fire|bomb|generator)).*",
    # "you hear a thud, that's the valve"
    r"(?:you hear|there 's a|you smell|you see|hear|no) .{2,50}? (?:that 's|it 's) (?:the|your|"
    r"a|it|not|that|where|when) .*",
    # "first thing it does is smoke"
    r"(?:first thing|first it|it starts|to start with|at first) .*",
    # "that's the contactor opening"
    r".* (?:that 's|it 's) (?:the|your) (?:\w+ ){1,3}(?:opening|closing|shutting|dropping|dropped|"
    r"letting|coming|going|gone|broken|gassing|burning|off|on|out|in|running)(?: .*)?",
)
_BURNS = words_pattern(
    # "thick white smoke"
    r"(?:white|black|grey|gray|thick|heavy|low|sweet|sharp) (?:and |smoke|smell|vapou?r|cloud|fumes).*",
    # "a noise like a kettle"
    r"(?:noise|sound|smell|smells|stinks|tastes) (?:\w+ )?like .*",
    # "like popcorn"
    r"like (?:an? |the )?(?:\w+ )?(?:kettle|popcorn|gun ?shots?|garlic|nail varnish|pear drops|"
    r"solvent|frying|fireworks|geyser|whistle|eggs|burnt \w+)",
)
UNTIL_SIGN = words_pattern(
    # "turn it until it clicks", "till the lamp goes out"
    r"(?:until|till) (?:it|you|there|she|that|the \w+)(?: 's| is)? ?(?:\w+ )?(?:clicks?|clunks?|"
    r"hear|goes out|comes on|a \w+ (?:lamp|light)|lights up|beeps?|stops|feel)(?!\S).*",
    # "wait for the clunk"
    r"wait for (?:the |a )(?:click|clunk|beep|thud|light|lamp|green|hiss|bang)",
)
STATES = (
    Sign(_SIGN, 1.0, "names a sign"),
    Sign(_PERCEIVE, 1.2, "says what is seen, heard or smelt"),
    Sign(_MEANS, 1.2, "says what it means"),
    Sign(_IF_THEN, 1.5, "ties a sign to a state"),
    Sign(UNTIL_SIGN, 1.5, "says what shows that it is done"),
)
"""Ways to tell what something shows."""
LOOKS = (
    Sign(_MARK, 1.4, "describes a mark"),
    Sign(_SHOWS, 1.2, "says what it shows"),
    Sign(_BURNS, 1.2, "says how a fire shows itself"),
)
"""Ways to tell how something looks, sounds or smells."""
SHOWING = (_SIGN, _PERCEIVE, _MEANS, UNTIL_SIGN)
"""What the part of a long sentence that is the cue holds."""

HOW_KNOWN = re.compile(
    r"(?<!\S)(?:how (?:do|would|will|can|did|am|are) (?:i|you|we|they)(?: \w+)? (?:know|tell|recogni[sz]e|"
    r"spot|see|supposed)|what (?:should|would|am|do|does|will) (?:i|it|we|you)(?: \w+)? (?:seen?|"
    r"look\w*|hear|smell|notice|spot|see|do)|"
    r"what (?:'s|does|will|did) (?:it|that|she) (?:do|look|sound|smell)|(?:it 's|it is|that 's|"
    r"she 's) (?:burning|on fire|alight)|(?:okay|right|so) ,? ?fire|smoke (?:coming|out)|what do i (?:see|"
    r"hear|look for)|is it (?:off|dead|on|safe)|that 's it (?:off|dead)|how many 's that|"
    r"what tells|what gives|how 's (?:it|that) (?:marked|labelled)|what (?:am|are) (?:i|we) looking (?:at|"
    r"for)|what does (?:it|that) (?:look|sound|smell)|know it 's|tell (?:it|that|them) (?:from|"
    r"apart)|recogni[sz]e)(?!\S)"
)
DESCRIBES = words_pattern(
    # "there's a row of holes", "no grille"
    r"(?:there 's|there is|there are|it 's got|it has|they 've got|it 's a|no|has got|you 've got|"
    r"you 've|'s got|they 're|it 's)(?: .*)"
)
NOT_A_SIGN = words_pattern(r"(?:traffic light|light a|lights? off the|sound man|sound check)")
