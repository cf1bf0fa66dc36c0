"""Whole phrases out of marked words: a thing is a whole noun phrase, a deed a verb with its particle.

Marks begin and end where the tagger is sure, often in the middle of a phrase: "cover over", "orange with a grey".
"""

from collections.abc import Iterator, Sequence

from spacy.tokens import Doc, Token

from vouchbook.extract.read.phrases import NAMES_NOTHING, PARTICLES, is_at_once, noun_phrase
from vouchbook.extract.read.tags import FINITE_VERBS, NOUNS
from vouchbook.extract.read.talk import Talk
from vouchbook.extract.read.things import PRONOUNS

Span = tuple[int, int]
_PERSONS = frozenset("i you he she we they me us him there what who which whatever".split())
"""Words that open another statement and name no thing."""
_LONGEST_GAP = 4
"""Tokens between a verb and its particle."""
_BY_NOUN = frozenset("turn push pull press twist lift tug shove flick wipe check knock".split())
"""Verbs that are told as nouns: "a quarter turn", "one push"."""
_TURNS = frozenset("anti counter clockwise anticlockwise left right".split())
_DESCRIBES = frozenset({"compound", "amod", "nmod", "poss", "npadvmod", "case"})
"""How a word that tells which thing hangs on its noun."""
_DESCRIBING = NOUNS | {"JJ", "JJR", "JJS", "VBN", "VBG", "HYPH", "POS"}
_JOINS = frozenset({"and", "or", "plus", "then", "also"})
_LETTER = 2
"""Letters of a name such as "B" or "P V" that the language model takes for no noun."""
_ORDERS_BEFORE = frozenset(
    "and then so just now you to first or please got gotta ta 'll can could must should we i they always also".split()
)
"""Words behind which a word that looks like a noun is an order: "and chock it"."""


_TAKEN_FOR_VERBS = frozenset({"VB", "VBP"})
_STATES = frozenset("be have do get go come sit need take want will 's 'll 've 're 'd".split())
"""Verbs that state something of the thing before them; of others the language model takes many for verbs that name."""
_BEFORE_GERUND = frozenset({"VB", "VBP", "DT", "PRP$", "JJ", "CD"})
_GRADES = frozenset("class number size type grade".split())
""" "Class zero" behind a thing tells which, and names nothing by itself."""
_NO_THING = frozenset(
    "lot lots bit way go time low high quarter half couple turn push metre metres meter meters".split()
)
"""Words that look like nouns and alone are no thing to work on."""
DEED_NOUNS = frozenset("press pull push turn twist tug shove flick squeeze crank quarter half".split())
""" "One short press" is how a deed is done, and no thing to do it to."""
_TELLS_HOW = frozenset(
    "short long quick slow firm hard good sharp gentle light full half quarter single double".split()
)


def is_noun(token: Token) -> bool:
    """Whether a thing may end at ``token``: a noun, a name of one or two letters, a number with letters ("T30").

    A marked word that the language model takes for a verb is one: "key off", "emergency stop", "the switch".
    """
    if token.tag_ in NOUNS:
        return token.lower_ not in PRONOUNS
    if token.tag_ in _TAKEN_FOR_VERBS and token.lemma_ not in _STATES:
        return token.i == token.sent.start or token.nbor(-1).tag_ not in {"PRP", "TO", "MD", "RB"}
    if token.tag_ == "VBG" and token.i > token.sent.start and token.nbor(-1).tag_ in _BEFORE_GERUND:
        return True  # "put cribbing in", "the lining"
    is_letters = token.text.isupper() and len(token.text) <= _LETTER and token.lower_ not in {"i", "a"}
    return is_letters or (token.text[0].isalpha() and any(c.isdigit() for c in token.text))


def whole_things(talk: Talk, start: int, end: int, taken: Sequence[int] = ()) -> list[Span]:
    """The things that marked tokens ``start`` to ``end`` hold, each as a whole noun phrase; empty when they hold none.

    No token of ``taken``, a deed's, is in one. Where a verb or another person's deed stands between, what is behind it
    is another statement.
    """
    found: list[Span] = []
    for first, last, is_statement in _pieces(talk.doc, start, end):
        if found and is_statement:
            if not is_aside(talk.doc, found[-1]):
                break
            found.clear()  # "on the motor is a small handle"
        whole = _whole_thing(talk, first, last, taken)
        if whole and not any(s < whole[1] and whole[0] < e for s, e in found):
            found.append(whole)
    return found


def _pieces(doc: Doc, start: int, end: int) -> Iterator[tuple[int, int, bool]]:
    """The pieces between commas, "and", verbs and pronouns; and whether a statement begins before the piece."""
    first, is_statement = start, False
    for at in range(start, end + 1):
        opens = at < end and _opens_statement(doc[at])
        if at < end and not (opens or (doc[at].is_punct and doc[at].text != "-") or doc[at].lower_ in _JOINS):
            continue
        if at > first:
            yield first, at, is_statement
        first, is_statement = at + 1, is_statement or opens


def _opens_statement(token: Token) -> bool:
    if token.tag_ in FINITE_VERBS:
        return not is_noun(token)
    return token.tag_ in {"PRP", "EX", "WP"} or token.lower_ in _PERSONS


def _whole_thing(talk: Talk, start: int, end: int, taken: Sequence[int]) -> Span | None:
    doc = talk.doc
    while start < end and (doc[start].lower_ in NAMES_NOTHING or doc[start].is_punct):
        start += 1
    if start >= end or doc[start].tag_ in {"IN", "TO"}:
        return None
    limit = _limit(talk, end)
    stop = end
    while stop > start and not is_noun(doc[stop - 1]):
        stop -= 1
    if stop == start:  # cut before its noun: "red" of "red handle"
        stop = noun_phrase(doc, start, limit)
        if stop <= start or not is_noun(doc[stop - 1]):
            return None
    elif stop == end:
        stop = _to_head(doc, stop, limit)
    if doc[start].lower_ in _GRADES and start + 1 < len(doc) and doc[start + 1].like_num:
        return None
    stop = _with_of(doc, _to_name(talk, start, stop), limit)
    start = _from_left(doc, start, stop, taken)
    if stop - start == 1 and doc[start].lower_ in _NO_THING:
        return None
    return None if is_way_of_doing(doc, start, stop) else (start, stop)


def is_way_of_doing(doc: Doc, start: int, stop: int) -> bool:
    """Whether the noun phrase tells how a deed is done: "one short press", "a quarter turn"; not "the push switch"."""
    return doc[stop - 1].lower_ in DEED_NOUNS and all(
        t.lower_ in _TELLS_HOW or t.lower_ == "-" or t.like_num or t.tag_ in {"DT", "CD"} for t in doc[start : stop - 1]
    )


def _limit(talk: Talk, end: int) -> int:
    clause = talk.clause_at(end - 1)
    return max(end, clause.end if clause else end)


def _to_head(doc: Doc, stop: int, limit: int) -> int:
    """The end of the compound that is cut before its head: "drop" of "drop arm"."""
    while (
        stop < limit and doc[stop].tag_ in NOUNS and doc[stop - 1].dep_ == "compound" and doc[stop - 1].head.i >= stop
    ):
        stop += 1
    return stop


def _to_name(talk: Talk, start: int, stop: int) -> int:
    """The end of the name that the packs know and that is cut short: "emergency" of "emergency stops"."""
    return max(
        [stop, *(m.end for at in range(start, stop) for m in talk.mentions_in(at, stop + 1, "part") if m.start == at)]
    )


def _with_of(doc: Doc, stop: int, limit: int) -> int:
    """The end of the phrase with "of the …" that tells which one."""
    while stop < limit - 1 and doc[stop].lower_ == "of":
        following = noun_phrase(doc, stop + 1, limit)
        if following <= stop + 1 or not is_noun(doc[following - 1]):
            break
        stop = following
    return stop


def _from_left(doc: Doc, start: int, stop: int, taken: Sequence[int]) -> int:
    """Where the phrase begins, behind its determiner: what describes the noun belongs to it; a number is its count."""
    sentence = doc[start].sent.start
    while start > sentence and start - 1 not in taken:
        before = doc[start - 1]
        belongs = before.dep_ in _DESCRIBES and start <= before.head.i < stop
        if not belongs or before.tag_ not in _DESCRIBING or before.lower_ in NAMES_NOTHING:
            break
        start -= 1
    return start


def joined(doc: Doc, spans: list[Span], first: Span, deed: Sequence[int] = ()) -> list[Span]:
    """Those of ``spans``, in order, that nothing but "and" and the like parts from ``first``.

    Of two with only a comma between them the later says the same in other words: "the plug, the orange handle".
    """
    kept = [first]
    for span in sorted((s for s in spans if s[0] >= first[1]), key=lambda s: s[0]):
        if _is_join(doc, kept[-1][1], span[0], deed):
            kept.append(span)
    for span in sorted((s for s in spans if s[1] <= first[0]), key=lambda s: -s[0]):
        if _is_join(doc, span[1], kept[0][0], deed):
            kept.insert(0, span)
    is_list = len(kept) > 2 or any(t.lower_ in _JOINS for t in doc[kept[0][1] : kept[-1][0]])
    return kept if is_list else kept[:1]


def _is_join(doc: Doc, start: int, end: int, deed: Sequence[int]) -> bool:
    between = doc[start:end]
    has_join = any(t.lower_ in _JOINS or t.text == "," for t in between)
    passes = _JOINS | NAMES_NOTHING | _GRADES
    return has_join and all(
        t.is_punct or t.i in deed or t.lower_ in passes or t.tag_ in {"DT", "PRP$", "CD", "PDT", "JJ"} for t in between
    )


def is_of_deed(talk: Talk, span: Span, verb: int, tokens: Sequence[int]) -> bool:
    """Whether a thing may be what the deed at ``verb`` is done to.

    It is not when it does or suffers something else ("press the button and the lamp goes out"), stands in a condition
    behind the deed ("until there's a lamp"), or in another clause behind a pronoun or a thing that the verb has.
    """
    doc = talk.doc
    head = next((doc[t] for t in range(span[1] - 1, span[0] - 1, -1) if is_noun(doc[t])), doc[span[0]])
    if head.dep_ in {"nsubj", "nsubjpass"} and head.head.i not in tokens and head.head.i > span[0]:
        return span[0] < verb
    clause = talk.clause_at(span[0])
    if span[0] < verb or clause is None or clause == talk.clause_at(verb):
        return True
    return clause.marker is None and own_object(doc, verb, span[0]) is None


def is_aside(doc: Doc, span: Span) -> bool:
    """Whether a preposition leads to the thing: "by the roller door"."""
    at = span[0] - 1
    while at > doc[span[0]].sent.start and doc[at].tag_ in {"DT", "PRP$", "JJ", "CD"}:
        at -= 1
    return at >= 0 and doc[at].tag_ == "IN" and doc[at].sent.start == doc[span[0]].sent.start


def own_object(doc: Doc, verb: int, end: int) -> Token | None:
    """What the parser takes for the object of the verb, before token ``end``: a noun or a pronoun."""
    return next((t for t in doc[verb].rights if t.dep_ == "dobj" and t.i < end), None)


def particles(doc: Doc, tokens: list[int]) -> list[str]:
    """Those of the marked tokens behind a verb that complete it, each once: "push … in", "make safe"."""
    words: list[str] = []
    for token in tokens:
        if token and is_at_once(doc, token - 1, len(doc)):
            continue
        is_particle = (
            doc[token].lower_ in _TURNS
            or doc[token].tag_ in {"RP", "RB", "JJ", "VB", "VBN"}
            or doc[token].lower_ in PARTICLES
        )
        if is_particle and doc[token].lower_ not in words:
            words.append(doc[token].lower_)
    return words


def verb_of(doc: Doc, tokens: list[int]) -> int | None:
    """Which of a deed's marked ``tokens`` is its verb: the first that is one, or that an order may hold as one.

    "A quarter turn", "one push" tell a deed by its noun. None: the words hold no verb.
    """
    first = next((t for t in tokens if _is_verb(doc, t)), None)
    if first is None:
        first = next((t for t in tokens if doc[t].lower_ in _BY_NOUN), None)
    if first is not None:
        return first
    return next((doc[t].head.i for t in tokens if _completes(doc[t])), None)


def _completes(token: Token) -> bool:
    """Whether a marked particle completes a verb right before it that is not marked: "turn the key off"."""
    verb = token.head
    is_near = 0 < token.i - verb.i <= _LONGEST_GAP and verb.sent.start == token.sent.start
    return is_near and verb.tag_ in {"VB", "VBP"} and token.dep_ in {"prt", "advmod"}


def _is_verb(doc: Doc, token: int) -> bool:
    word = doc[token]
    if word.tag_.startswith("VB"):
        return word.lemma_ not in {"be", "'s"}
    if word.tag_ not in NOUNS | {"JJ", "RB"} or word.lower_ in PARTICLES:
        return False
    before = doc[token - 1] if token > word.sent.start else None
    return before is None or before.is_punct or before.lower_ in _ORDERS_BEFORE or before.tag_ == "RB"
