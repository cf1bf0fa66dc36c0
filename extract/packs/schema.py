"""What a pack may say: the vocabulary of one trade, as frozen records. No file is touched here."""

import re
from collections.abc import Iterable, Iterator, Sequence
from typing import Annotated, Literal, NamedTuple, Self, get_args

from pydantic import AfterValidator, Field, StringConstraints, ValidationInfo, model_validator

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


class Misfit(NamedTuple):
    """Fields that are right each by itself and do not fit together: which ``field`` to look at, and a way out."""

    field: str
    what: str
    remedy: str


class Clash(NamedTuple):
    """Two entries of a pack that contradict each other: the index of the later one, of the earlier, and how."""

    entry: int
    other: int
    field: str
    what: str
    remedy: str


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
    def _fields_fit_together(self, info: ValidationInfo) -> Self:
        """Raises for the first misfit; a list ``misfits`` in the context takes all of them instead."""
        found = list(_misfits(self))
        if info.context and "misfits" in info.context:
            info.context["misfits"].extend(found)
        elif found:
            raise ValueError(found[0].what)
        return self


class Topic(Record):
    """Something that a walk-through of this kind of subject should have covered.

    ``about`` completes "nobody spoke of …", and ``ask`` is the question to ask then. ``words`` show that it was
    touched. With ``only_if``, it is due only when two sentences hold one of those words: said once it may be a figure
    of speech. In both lists a name of an entry stands for all its names (in ``only_if``, those of six letters or more).
    """

    phase: Phase
    about: str = Field(min_length=3, max_length=120)
    ask: str = Field(default="What is there to know of it?", min_length=3, max_length=200, pattern=r"\?$")
    words: tuple[Form, ...] = Field(min_length=1)
    only_if: tuple[Form, ...] = ()


class Pack(Record):
    """The vocabulary of one domain. ``recognised_by`` are words that tell from talk that this is the domain.

    They choose among the packs that come with the program; a pack that is given by its file is used whatever is said.
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
        for clash in clashes(self.entries):
            raise ValueError(clash.what)
        return self


def clashes(entries: Sequence[Entry]) -> Iterator[Clash]:
    """Every form with two meanings, every term with two entries, every sound-alike that is a word of ``entries``."""
    meaning: dict[tuple[Kind, str], int] = {}
    for index, entry in enumerate(entries):
        for form in map(normal_form, entry.forms):
            known = meaning.setdefault((entry.kind, form), index)
            if entries[known].term != entry.term:
                what = f"{entry.kind} '{form}' stands for both '{entries[known].term}' and '{entry.term}'"
                yield Clash(
                    index,
                    known,
                    "term" if form == normal_form(entry.term) else "synonyms",
                    what,
                    "Leave it to one of them",
                )
    for kind in KINDS:
        first: dict[str, int] = {}
        for index, entry in enumerate(entries):
            if entry.kind == kind and first.setdefault(entry.term, index) != index:
                what = f"{kind} '{entry.term}' has two entries"
                yield Clash(index, first[entry.term], "term", what, "Make one entry of the two")
    real = {form: index for (_, form), index in reversed(meaning.items())}
    for index, entry in enumerate(entries):
        for sound in map(normal_form, entry.sounds_like):
            if sound in real:
                what = f"{entry.kind} '{entry.term}' sounds like '{sound}', which is a word of this pack"
                yield Clash(
                    index, real[sound], "sounds_like", what, "Take it out: a real word is never taken for another"
                )


def _misfits(entry: Entry) -> Iterator[Misfit]:
    needed = {"hazard": ("hazard", "signal"), "verb": ("act",), "topic_word": ("phase",)}.get(entry.kind, ())
    for field in needed:
        if getattr(entry, field) is None:
            yield Misfit(field, f"a {entry.kind} needs '{field}'", f"Add {field} = … to this entry")
    if entry.act and entry.kind != "verb":
        yield Misfit("act", "only a verb has an 'act'", "Take it out, or move the entry to verb = […]")
    if entry.implies_tool and entry.kind != "fastener":
        yield Misfit(
            "implies_tool", "only a fastener has an 'implies_tool'", "Take it out, or move the entry to fastener = […]"
        )
    if entry.signal and not entry.hazard and "hazard" not in needed:
        yield Misfit("hazard", "a 'signal' needs its 'hazard'", "Add hazard = … to this entry")
    if entry.weight == "strong" and entry.phase is None and "phase" not in needed:
        yield Misfit("phase", "a 'weight' needs its 'phase'", "Add phase = … to this entry")
    for twice in _repeats(normal_form(form) for form in (*entry.forms, *entry.sounds_like)):
        yield Misfit("synonyms", f"'{twice}' stands there twice (hyphens and spaces count as the same)", "Take one out")


def _repeats(values: Iterable[str]) -> Iterator[str]:
    """Each value that comes again, once."""
    seen: dict[str, int] = {}
    for value in values:
        seen[value] = seen.get(value, 0) + 1
        if seen[value] == 2:
            yield value
