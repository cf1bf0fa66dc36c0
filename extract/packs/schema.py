"""What a pack may say: the vocabulary of one trade, as frozen records. No file is touched here.

In a file, entries stand in one list per kind (``part = [{ term = "bonnet", synonyms = ["hood"] }]``), and words that
speak for a topic without being a thing stand under ``[topic_words.PHASE]`` as ``strong`` and ``weak`` lists.
"""

import re
from collections.abc import Iterable, Mapping
from typing import Annotated, Any, Literal, Self, get_args

from pydantic import AfterValidator, Field, StringConstraints, ValidationError, model_validator

from vouchbook.models.errors import PackError
from vouchbook.models.items import Hazard, Signal
from vouchbook.models.phases import Phase
from vouchbook.models.record import Record

Kind = Literal[
    "part", "tool", "fastener", "place", "hazard", "state", "sign", "person", "ppe", "material", "verb", "topic_word",
]  # fmt: skip
KINDS: tuple[Kind, ...] = get_args(Kind)
Weight = Literal["strong", "weak"]
"""How firmly words speak for their phase: ``strong`` alone is enough, ``weak`` only adds to others."""

Act = Literal[
    "remove", "fit", "disconnect", "connect", "unplug", "plug in", "loosen", "tighten", "turn", "press", "release",
    "hold", "pull", "push", "slide", "lift", "lower", "open", "close", "cut", "break", "pry", "drill", "spread",
    "tape", "chock", "prop", "wear", "test", "check", "wait", "tell", "call", "lock", "tag", "switch off",
    "switch on", "isolate", "earth", "discharge", "drain", "vent", "cool", "extinguish", "ventilate", "evacuate",
    "keep away", "cover", "mark", "fold", "tilt", "crank", "engage", "disengage", "tow", "carry", "find", "reach",
    "touch", "hit", "pierce", "spray", "stop", "start", "move", "leave", "use", "take", "put", "insert", "feel",
    "listen", "unlock", "undo", "unscrew", "flip", "pump",
]  # fmt: skip

_FORM = r"^[a-z0-9]+(?:(?:[ \-/'.]| & )[a-z0-9]+)*$"
# A sound-alike is never allowed to touch a polarity, side, state, number or unit: a wrong guess there can kill.
_NEVER_REPAIRED = """
not no never none nothing neither nor don't do does doesn't can can't cannot won't shouldn't must mustn't is isn't
on off left right up down open closed close shut front rear back inside outside live dead hot before after until
zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen seventeen
eighteen nineteen twenty thirty forty fifty sixty seventy eighty ninety hundred thousand half quarter
"""
_UNITS = "volt volts amp amps watt watts bar psi mil mils millimetre millimeter metre meter inch"


def normal_form(text: str) -> str:
    """``text`` as it is compared: lower case, hyphen and slash as a space, straight apostrophe, single spaces."""
    return " ".join(re.sub(r"[-/\u2010-\u2013]", " ", text.replace("\u2019", "'").lower()).split())


def _leaves_values_alone(form: str) -> str:
    words = set(normal_form(form).split())
    if words & set(_NEVER_REPAIRED.split()) or form in _UNITS.split() or any(char.isdigit() for char in form):
        raise ValueError(f"'{form}' holds a polarity, side, state, number or unit, which is never guessed from sound")
    if len(form) < 3:
        raise ValueError(f"'{form}' is too short to be told from other words")
    return form


Form = Annotated[str, StringConstraints(pattern=_FORM, max_length=60)]
SoundAlike = Annotated[Form, AfterValidator(_leaves_values_alone)]


class Entry(Record):
    """One term of the trade with all that it is called.

    ``sounds_like`` is what recognisers print for it. ``implies_tool`` is the tool that a fastener asks for, ``act`` the
    plain verb that a verb stands for. ``replaces`` drops what earlier packs say of the same term; otherwise it adds.
    """

    kind: Kind
    term: Form
    synonyms: tuple[Form, ...] = ()
    sounds_like: tuple[SoundAlike, ...] = ()
    phase: Phase | None = None
    weight: Weight = "weak"
    hazard: Hazard | None = None
    signal: Signal | None = None
    implies_tool: Form | None = None
    act: Act | None = None
    replaces: bool = False

    @property
    def forms(self) -> tuple[str, ...]:
        """The term and its synonyms."""
        return (self.term, *self.synonyms)

    @model_validator(mode="after")
    def _fields_fit_the_kind(self) -> Self:
        needs = {
            "hazard": self.kind == "hazard", "signal": self.kind == "hazard", "act": self.kind == "verb",
            "phase": self.kind == "topic_word",
        }  # fmt: skip
        for field, needed in needs.items():
            if needed and getattr(self, field) is None:
                raise ValueError(f"a {self.kind} needs '{field}'")
        if self.act and self.kind != "verb":
            raise ValueError("only a verb has an 'act'")
        if self.implies_tool and self.kind != "fastener":
            raise ValueError("only a fastener has an 'implies_tool'")
        if self.signal and not self.hazard:
            raise ValueError("a 'signal' needs its 'hazard'")
        if self.weight == "strong" and self.phase is None:
            raise ValueError("a 'weight' needs its 'phase'")
        twice = _first_repeat(normal_form(form) for form in (*self.forms, *self.sounds_like))
        if twice:
            raise ValueError(f"'{twice}' stands there twice (hyphens and spaces count as the same)")
        return self


class Topic(Record):
    """Something that a walk-through of this kind of subject should have covered.

    ``about`` completes "nobody spoke of …". ``words`` show that it was touched. With ``only_if``, it is due only when
    one of those words was spoken.
    """

    phase: Phase
    about: str = Field(min_length=3, max_length=120)
    words: tuple[Form, ...] = Field(min_length=1)
    only_if: tuple[Form, ...] = ()


class Pack(Record):
    """The vocabulary of one domain. ``recognised_by`` are words that tell from talk that this is the domain.

    ``energies`` names a kind of drive or supply by the words that give it away.
    """

    name: str = Field(pattern=r"^[a-z][a-z0-9_]*$")
    title: str = Field(min_length=1)
    recognised_by: tuple[Form, ...] = ()
    energies: dict[Form, tuple[Form, ...]] = Field(default_factory=dict)
    topics: tuple[Topic, ...] = ()
    entries: tuple[Entry, ...] = ()

    def of_kind(self, kind: Kind) -> tuple[Entry, ...]:
        """The entries of one kind, in the order of the file."""
        return tuple(entry for entry in self.entries if entry.kind == kind)

    @model_validator(mode="after")
    def _each_form_means_one_thing(self) -> Self:
        meaning: dict[tuple[Kind, str], str] = {}
        for entry in self.entries:
            for form in map(normal_form, entry.forms):
                known = meaning.setdefault((entry.kind, form), entry.term)
                if known != entry.term:
                    raise ValueError(f"{entry.kind} '{form}' stands for both '{known}' and '{entry.term}'")
        for kind in KINDS:
            twice = _first_repeat(entry.term for entry in self.of_kind(kind))
            if twice:
                raise ValueError(f"{kind} '{twice}' has two entries")
        real = {form for _, form in meaning}
        for entry in self.entries:
            for sound in map(normal_form, entry.sounds_like):
                if sound in real:
                    raise ValueError(f"{entry.kind} '{entry.term}' sounds like '{sound}', which is a word of this pack")
        return self


def pack_from_table(table: Mapping[str, Any], name: str) -> Pack:
    """The pack that a file's table holds; ``name`` is how errors name the file.

    Raises:
        PackError: an unknown key or kind, a field that does not fit, or a form with two meanings; names the entry.
    """
    head = {key: value for key, value in table.items() if key in Pack.model_fields and key != "entries"}
    unknown = [key for key in table if key not in head and key not in KINDS and key != "topic_words"]
    if unknown or "topic_word" in table:
        key = unknown[0] if unknown else "topic_word"
        known = ", ".join(kind for kind in KINDS if kind != "topic_word")
        raise PackError(name, f"unknown key or kind '{key}'", f"Known are {known}, topic_words, {', '.join(_HEAD)}")
    rows = [(kind, row) for kind in KINDS for row in _rows(table, kind, name)]
    rows += _topic_word_rows(table.get("topic_words", {}), name)
    entries = tuple(_entry(kind, row, name) for kind, row in rows)
    try:
        return Pack.model_validate({**head, "entries": entries})
    except ValidationError as error:
        raise PackError(name, _first_problem(error), "Correct it in the file") from error


_HEAD = tuple(field for field in Pack.model_fields if field != "entries")


def _rows(table: Mapping[str, Any], kind: Kind, name: str) -> list[Mapping[str, Any]]:
    rows = table.get(kind, [])
    if not isinstance(rows, list) or not all(isinstance(row, Mapping) for row in rows):
        raise PackError(name, f"'{kind}' is not a list of tables", f'Write {kind} = [{{ term = "…" }}]')
    return rows


def _topic_word_rows(topic_words: object, name: str) -> list[tuple[Kind, Mapping[str, Any]]]:
    rows: list[tuple[Kind, Mapping[str, Any]]] = []
    if not isinstance(topic_words, Mapping):
        raise PackError(name, "'topic_words' is not a table", 'Write [topic_words.fire] and below it strong = ["…"]')
    for phase, lists in topic_words.items():
        if not isinstance(lists, Mapping) or not set(lists) <= {"strong", "weak"}:
            raise PackError(name, f"'topic_words.{phase}' holds more than strong and weak lists", "Use only these two")
        for weight, words in lists.items():
            if not isinstance(words, list):
                raise PackError(name, f"'topic_words.{phase}.{weight}' is not a list", "Write a list of words")
            rows += [("topic_word", {"term": word, "phase": phase, "weight": weight}) for word in words]
    return rows


def _entry(kind: Kind, row: Mapping[str, Any], name: str) -> Entry:
    try:
        return Entry.model_validate({**row, "kind": kind})
    except ValidationError as error:
        term = row.get("term", "(no term)")
        raise PackError(name, f"{kind} '{term}': {_first_problem(error)}", "Correct this entry") from error


def _first_problem(error: ValidationError) -> str:
    first = error.errors(include_url=False)[0]
    place = ".".join(str(part) for part in first["loc"])
    message = first["msg"].removeprefix("Value error, ")
    return f"{place}: {message}" if place else message


def _first_repeat(values: Iterable[str]) -> str | None:
    seen: set[str] = set()
    for value in values:
        if value in seen:
            return value
        seen.add(value)
    return None
