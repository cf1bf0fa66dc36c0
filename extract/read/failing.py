"""How talk says that a way has failed: "if that's jammed", "if it won't budge"."""

from vouchbook.extract.read.sentences import Clause
from vouchbook.extract.read.talk import Sentence, Talk
from vouchbook.extract.read.tape import words_pattern

_NOT = r"(?:n't|not|no longer|never|cannot)"
_FAILED = (
    r"(?:dead|jammed|stuck|stiff|too tight|seized|gone|missing|broken|bent|crushed|buried|blocked|locked|frozen|"
    r"smashed|torn|no good|no use|out of reach|under water|burnt(?: out)?|bust|busted|knackered|shot|off its \w+)"
)
_IS = r"(?:is|are|'s|'re|has|have|'ve|was|were|gets|got)"
FAILS = words_pattern(
    # "if the button's dead", "if it is properly jammed"; not "if she's stuck high", which tells of the whole machine
    rf"if (?!(?:she|he|they|you|we|i) )(?:\S+ ){{1,5}}?{_IS} (?:\w+ ){{0,2}}?{_FAILED}(?: \S+){{0,3}}",
    # "if it won't budge", "if the valve is not closed", "if you can't get at it", "if I could not reach the key"
    rf"if (?:\S+ ){{1,5}}?(?:wo|ca|could|do|does|did|is|are|has|have|will|can)? ?{_NOT}(?: \S+)*",
    # "if that fails", "if the button does nothing", "if he refuses"
    r"if (?:\S+ ){1,5}?(?:fails?|failed|does nothing|do nothing|refuses?|jams?|sticks?)(?: \S+)*",
    # "if there's no handle", "if you've no key", "if you get no joy"
    r"if (?:there|you|he|she|they|i|we) (?:\S+ ){1,2}?no \S+(?: \S+)*",
    r"if (?:not|no joy|no luck)",
    r"if all else fails",
)


def is_behind_failure(talk: Talk, sentence: Sentence, clause: Clause) -> bool:
    """Whether the clause right before ``clause`` in ``sentence`` says that a way has failed."""
    before = [c for c in sentence.clauses if c.end <= clause.start]
    return bool(before) and FAILS.search(talk.tape(before[-1].start, before[-1].end).text) is not None
