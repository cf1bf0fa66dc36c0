"""What must not be done, in words that mean the same behind "never".

"Stay out of the arches" forbids being in the arches: put behind "never" as it stands, it would tell the opposite.
"""

import re

from spacy.tokens import Doc

from vouchbook.extract.read.phrases import text_of
from vouchbook.extract.read.scope import STAY, Prohibition, is_look_alike
from vouchbook.extract.read.tape import tape

_AWAY = {
    "out of": "in",
    "out from": "over",
    "out from under": "under",
    "outside": "inside",
    "off of": "on",
    "off": "on",
    "away from": "near",
    "clear of": "near",
    "clear": "near",
    "back from": "near",
    "back": "near",
    "away": "near it",
    "out": "in",
}
_PLACE = r"(?P<where>out of|out from under|out from|outside|off of|off|away from|clear of|back from|clear|away)"
_STAY_AWAY = re.compile(
    # "stay out of the arches", "keep well clear of the mast"
    r"^(?:stay|stays|keep|keeps|steer|stand|get|hold|remain) "
    r"(?:well |right |the hell |yourself |everybody |everyone |people |back )*"
    rf"{_PLACE}(?: (?P<what>.+))?$"
)
_KEEP_THING_AWAY = re.compile(
    # "keep your hands out of the gap", "keep your blades off the left wall"
    r"^(?:keep|leave|have|get|hold) "
    r"(?P<thing>(?:the |your |all |any |it|them|him|people|anybody|everybody|everyone)?(?: ?[a-z'-]+){0,3}?) "
    rf"{_PLACE} (?P<what>.+)$"
)
_FAR = (
    r"(?:(?:at least|a good|about|some|around) )*"
    r"(?P<far>(?:[a-z0-9.,'-]+ ){1,3}?(?:met(?:re|er)s?|m|feet|foot|ft|yards?|paces?))"
)
_THING_AT_DISTANCE = re.compile(
    # "keep it five metres away from the vehicle", "have everybody thirty metres back from the tank"
    r"^(?:keep|leave|have|get|hold) (?P<thing>(?:(?:the|your|all|any|that|this) [a-z'-]+(?: [a-z'-]+)??)|[a-z']+) "
    rf"{_FAR} (?:away from|clear of|back from|off|away|back|clear)(?: (?P<what>.+))?$"
)
_BODY_AWAY = re.compile(
    rf"^(?P<thing>hands|fingers|paws|mitts|feet|tools|heads?|saws?|cutters?|blades?) {STAY}(?:well )?{_PLACE}"
    r"(?: (?P<what>.+))?$"
)
_BODY_OUT = re.compile(
    # "keep your hands out", "heads well back"
    rf"^(?:(?:keep|leave|hold) )?(?P<thing>[a-z' -]+?) {STAY}(?:well |right |all )?"
    r"(?P<where>out|off|away|clear|back)$"
)
_LEAVE_ALONE = re.compile(
    r"^leaves? (?P<what>.+?) (?:well )?(?:alone|be|where (?:it|they) (?:is|'s|are))(?P<rest>(?: .*)?)$"
)
_ALONE = re.compile(r"^(?:leave|left) (?:well |strictly )?alone")
_LEAVE_SHUT = re.compile(r"^(?:leaves?|keeps?) (?P<what>.+?) (?:shut|closed|locked)(?P<rest>(?: .*)?)$")
_NOWHERE_ELSE = re.compile(r"^(?:nowhere|no place|not anywhere) else(?P<rest>(?: .*)?)$")
_ANYWHERE_BUT = re.compile(
    # "anywhere but the sills you can cut": "you can cut" is what may be done elsewhere
    r"^(?:anywhere|everywhere|anything|everything) (?:but|except)(?: for)? (?P<what>.+?)"
    r"(?: (?:you|we|they) (?:can|could|may) (?P<verb>.+))?$"
)
_WANTING = re.compile(r"^(?:be )?(?:want(?:ing)?|going|gonna|gon na|wanna|wan na) (?:to )?(?=\S)")

_WHERE = frozenset("on from by under at in with near through between over off".split())
_DARING = re.compile(r"^(?:do is (?:to )?|(?:you )?dare(?: to)?(?: |$))")
""" "What you never do is lift it" and "don't you dare lift it" both forbid to lift it."""


_EMPTY = frozenset("ever never no not just please and or but mind though ok okay right you".split())
"""Words that stress what is forbidden and do not say it."""


def forbidden_act(doc: Doc, found: Prohibition) -> str:
    """What ``found`` forbids, so that "never" may stand before it: "be in the sills", "touch that", "open the lid".

    Words of the talk wherever they can stand as they are.
    """
    if found.elliptic:
        return "do it"
    line = tape(doc, found.start, found.end).text.rstrip(" .,;:!?")
    if is_look_alike(doc, found.cue, found.end):
        return f"use it as {_joined(line)}"
    if _ALONE.match(line):
        return "touch it"
    if match := _ANYWHERE_BUT.match(line):
        return _joined(f"{match['verb'] or 'touch'} {match['what']}")
    for rule, form in (
        (_NOWHERE_ELSE, "do it anywhere else{rest}"),
        (_LEAVE_SHUT, "open {what}{rest}"),
        (_LEAVE_ALONE, "touch {what}{rest}"),
        (_BODY_AWAY, "put {thing} {where} {what}"),
        (_STAY_AWAY, "be {where} {what}"),
        (_THING_AT_DISTANCE, "have {thing} nearer than {far} to {what}"),
        (_KEEP_THING_AWAY, "put {thing} {where} {what}"),
        (_BODY_OUT, "put {thing} {where} {what}"),
    ):
        if match := rule.match(line):
            parts = {name: (value or "").strip() for name, value in match.groupdict().items()}
            where = parts.get("where", "")
            parts["where"] = _AWAY.get(where, "")
            parts["what"] = parts.get("what") or ("" if where == "away" else "it")
            parts["rest"] = f" {parts['rest']}" if parts.get("rest") else ""
            return _joined(" ".join(form.format(**{"thing": "", **parts}).split()))
    return _plain_verb(doc, found)


def _plain_verb(doc: Doc, found: Prohibition) -> str:
    """The words as said, the verb in its base form: "nobody walks under it" and "avoid walking under it" alike."""
    text = text_of(doc, found.start, found.end)
    text = _DARING.sub("", _WANTING.sub("", text))
    if not text or all(word in _EMPTY for word in re.findall(r"[a-z']+", text.lower())):
        return "do it"  # "don't you dare", "never, ever"
    first = doc[found.start]
    if first.lower_ in _WHERE:
        return f"do it {text}"  # "not on the glass"
    if first.tag_ == "VBN" and text.lower().strip(" .,;:!?") == first.lower_:
        return f"{first.lemma_.lower()} it"  # "left alone, never turned"
    if first.tag_ in {"VBZ", "VBG"} and text.lower().startswith(first.lower_) and first.lemma_.isalpha():
        text = first.lemma_.lower() + text[len(first.text) :]
    return text


def _joined(line: str) -> str:
    """A tape's words as they are written: " n't" and " 's" back on their words."""
    line = re.sub(r" (n't|'s|'re|'ll|'ve|'d|'m)(?!\S)", r"\1", line)
    return re.sub(r" ([,.;:!?])", r"\1", line)
