"""What is known of the words of an entry: the marks of each, the names of the packs in them, and their values."""

from collections.abc import Iterable, Iterator, Mapping, Sequence

from vouchbook.extract.packs.schema import Entry, Pack, normal_form
from vouchbook.extract.read.explained.records import Named, Valued, WordMarks, Words
from vouchbook.extract.read.found import Found, Said
from vouchbook.extract.read.marked.stretches import is_word
from vouchbook.extract.read.questions.conflicts import disputed_values
from vouchbook.extract.read.questions.raised import WordSpan
from vouchbook.extract.read.talk import Talk
from vouchbook.extract.read.values import Value
from vouchbook.extract.read.workings import Workings
from vouchbook.extract.tagger.marks import Marks
from vouchbook.models.evidence import Evidence

LEAST_SHARE = 0.1
"""Shares up to this are noise that nobody wants to read."""

SEEN_AS: Mapping[str, tuple[str, tuple[str, ...]]] = {
    "deed": ("step", ("B-deed", "I-deed")),
    "thing": ("step", ("B-thing", "I-thing")),
    "place of a deed": ("step", ("B-place", "I-place")),
    "thing with its deed left unsaid": ("step", ("B-alone", "I-alone")),
    "part": ("location", ("B-part", "I-part")),
    "place of a part": ("location", ("B-place", "I-place")),
    "tool": ("tool", ("B-name", "I-name")),
    "size of a tool": ("tool", ("B-size", "I-size")),
    "warning": ("warning", ("B-", "I-")),
    "sign": ("cue", ("B-", "I-")),
    "small talk": ("chatter", ("yes",)),
    "only pointed at": ("pointer", ("yes",)),
    "told elsewhere": ("borrowed", ("yes",)),
}
"""What a word can be taken as: the tagger's question, and those of its answers that say so."""


def words_of(
    workings: Workings, packs: Sequence[Pack], evidence: Sequence[Evidence], found: Found | None = None
) -> Words:
    """What is known of the words of ``evidence``; ``found`` is the item that they make."""
    spans = tuple(dict.fromkeys((e.first_word, e.last_word) for e in evidence))
    return Words(
        marks=tuple(_marks(workings.talk, workings.marks, spans)) if workings.marks else (),
        named=tuple(_named(workings.talk, packs, spans)),
        values=tuple(_values(workings.talk, spans, found)),
    )


def shares_over(marks: Marks, head: str, start: int, end: int) -> dict[str, float]:
    """The answers of ``head`` with their mean share over tokens ``start`` to ``end``, largest first, above a tenth."""
    mean = marks.tables[head][start:end].mean(axis=0)
    shares = {label: round(float(share), 4) for label, share in zip(marks.labels[head], mean, strict=True)}
    return _largest_first({label: share for label, share in shares.items() if share > LEAST_SHARE})


def tokens_in(talk: Talk, spans: Iterable[WordSpan]) -> list[int]:
    """The tokens of the words in ``spans``, each once, in order."""
    words = {word for first, last in spans for word in range(first, last + 1)}
    return [token.i for token in talk.doc if token._.word in words]


def _marks(talk: Talk, marks: Marks, spans: Iterable[WordSpan]) -> Iterator[WordMarks]:
    columns = {name: marks.column(head, *labels) for name, (head, labels) in SEEN_AS.items()}
    tokens_of: dict[int, list[int]] = {}
    for token in tokens_in(talk, spans):
        if is_word(talk, token):
            tokens_of.setdefault(talk.word(token), []).append(token)
    for word, tokens in tokens_of.items():
        shares = {name: round(float(column[tokens].max()), 4) for name, column in columns.items()}
        shares = _largest_first({name: share for name, share in shares.items() if share > LEAST_SHARE})
        if shares:
            yield WordMarks(word=word, text=talk.transcript.words[word].text, shares=shares)


def _largest_first(shares: Mapping[str, float]) -> dict[str, float]:
    return dict(sorted(shares.items(), key=lambda pair: -pair[1]))


def _named(talk: Talk, packs: Sequence[Pack], spans: Iterable[WordSpan]) -> Iterator[Named]:
    tokens = set(tokens_in(talk, spans))
    for mention in talk.mentions:
        if mention.start in tokens and mention.end - 1 in tokens:
            entry = mention.entry
            yield Named(
                term=entry.term,
                kind=entry.kind,
                packs=tuple(pack.name for pack in packs if _tells_of(pack, entry)),
                heard=talk.transcript.text(talk.word(mention.start), talk.word(mention.end - 1)),
                how=mention.how,
                phase=entry.phase,
                weight=entry.weight,
            )


def _tells_of(pack: Pack, entry: Entry) -> bool:
    """Whether ``pack`` has a hand in ``entry``, which may be laid together from several packs."""
    forms = {normal_form(form) for form in entry.forms}
    return any(forms & {normal_form(form) for form in own.forms} for own in pack.of_kind(entry.kind))


def _values(talk: Talk, spans: Sequence[WordSpan], found: Found | None) -> Iterator[Valued]:
    disputed = disputed_values(talk)
    for value in talk.values:
        if not any(first <= value.first and value.last <= last for first, last in spans):
            continue
        used_for, said = _use(value, found)
        yield Valued(
            quantity=value.quantity,
            used_for=used_for,
            taken_as=said.quantity.normal if said else None,
            corrected_from=tuple(earlier.quantity.said for earlier in value.corrected_from),
            alternatives=tuple(choice.normal for choice in value.alternatives),
            is_bare=value.is_bare,
            is_label=value.is_label,
            is_asked=value.is_asked,
            is_denied=value.is_denied,
            is_disputed=(value.first, value.last) in disputed,
        )


def _use(value: Value, found: Found | None) -> tuple[str | None, Said | None]:
    """What the item uses the value for, and as what."""
    for name, said in (("size", found.size), ("count", found.count)) if found else ():
        if said and said.first <= value.last and value.first <= said.last:
            return name, said
    return None, None
