"""An explanation: what was found, seen, weighed and valued in the words of one item or question."""

from vouchbook.extract.packs.schema import Kind, Weight
from vouchbook.extract.read.marked.candidate import Source
from vouchbook.extract.read.mentions import How
from vouchbook.models.evidence import Evidence
from vouchbook.models.items import Item
from vouchbook.models.phases import Phase
from vouchbook.models.quantities import Quantity
from vouchbook.models.questions import OpenQuestion, QuestionKind
from vouchbook.models.record import Record


class Piece(Record):
    """A piece of evidence: ``contribution`` is ``value`` times ``weight``."""

    name: str
    value: float
    weight: float
    contribution: float


class Telling(Record):
    """Words that may be an item, on the scales.

    ``sure`` is how sure its ``source`` is of it, 0 to 1. ``pieces`` stand with the largest contribution first; their
    sum and ``offset`` are ``total``, which makes it ``probability`` likely. From ``least`` on it is an item;
    ``stays`` where it is one although it weighs less, because no prohibition that the rules find is dropped.
    """

    quote: Evidence
    says: dict[str, str | bool | None]
    source: Source
    sure: float
    reasons: tuple[str, ...]
    pieces: tuple[Piece, ...]
    offset: float
    total: float
    probability: float
    least: float
    stays: bool


class WordMarks(Record):
    """A word with the share, 0 to 1, by which the tagger takes it as each thing; shares of a tenth or less left out."""

    word: int
    text: str
    shares: dict[str, float]


class Named(Record):
    """A name of the packs: ``heard`` are the words as they stand, ``how`` tells by what they are known as ``term``."""

    term: str
    kind: Kind
    packs: tuple[str, ...]
    heard: str
    how: How
    phase: Phase | None
    weight: Weight


class Valued(Record):
    """A value in the words.

    ``taken_as`` is what the item shows of it, as its ``used_for``: None where it does not. ``corrected_from`` is what
    was said first and taken back; ``alternatives`` are what the talk leaves open.
    """

    quantity: Quantity
    used_for: str | None = None
    taken_as: str | None = None
    corrected_from: tuple[str, ...] = ()
    alternatives: tuple[str, ...] = ()
    is_bare: bool = False
    is_label: bool = False
    is_asked: bool = False
    is_denied: bool = False
    is_disputed: bool = False


class TopicFrom(Record):
    """Where the topic came from: ``shares`` of the tagger over the words, or by rules where there are none.

    ``line`` is the topic of the talk around it; ``custom`` what such a deed or hazard speaks for whatever its words.
    """

    topic: Phase
    shares: dict[Phase, float]
    line: Phase
    custom: Phase | None = None


class Adjusted(Record):
    """``why`` the confidence changed, and the ``score`` from then on."""

    why: str
    score: float


class Words(Record):
    """What is known of the words of an item or question: marks, names of the packs, values."""

    marks: tuple[WordMarks, ...]
    named: tuple[Named, ...]
    values: tuple[Valued, ...]


class TiedTo(Record):
    """A step of today's draft that an item is tied to, and ``why`` in words."""

    step: Item
    why: str


class ItemExplained(Record):
    """What made an item.

    ``stored`` is the item of the draft, ``today`` the one that reading makes of its words now, None where it makes
    none; ``differs`` tells in words how they differ. ``tellings`` are what was weighed and became the item, its own
    words first: none where nothing was weighed, and then ``sure`` is what its rule gives it. ``over_all`` are shares
    of the tagger over all its words, by question. ``not_chosen`` said the same, or was too unlikely. ``guards`` are
    the steps that a warning must be read before, ``instead_of`` those that another way replaces, as read now.
    """

    stored: Item
    today: Item | None
    differs: tuple[str, ...]
    sure: float | None
    tellings: tuple[Telling, ...]
    adjusted: tuple[Adjusted, ...]
    not_chosen: tuple[Telling, ...]
    over_all: dict[str, dict[str, float]]
    topic: TopicFrom | None
    guards: tuple[TiedTo, ...] = ()
    instead_of: tuple[TiedTo, ...] = ()
    words: Words


class QuestionExplained(Record):
    """What raised a question: its ``rule`` in words, the words ``by`` which it was sprung, and what else it rests on.

    ``today`` is None where reading raises no such question now; ``differs`` tells in words how it differs.
    """

    stored: OpenQuestion
    today: OpenQuestion | None
    differs: tuple[str, ...]
    kind: QuestionKind
    rule: str
    by: tuple[Evidence, ...]
    facts: tuple[str, ...]
    words: Words


Explained = ItemExplained | QuestionExplained
