"""What was typed, taken apart: words, phrases, what to leave out, sizes, filters (pure)."""

import re
from collections.abc import Callable
from datetime import date

from pydantic import Field

from vouchbook.library.search.sizes import Size, Spot, is_asked_as_size, size_of, spots
from vouchbook.library.search.words import STOP_WORDS, words_of
from vouchbook.models.record import Record

LONGEST_QUERY = 1000
_MOST_TERMS = 12
_TERM = re.compile(
    r"(?P<minus>(?<!\S)-)?(?:(?P<field>[A-Za-z]+):(?=\S))?(?:\"(?P<quoted>[^\"]*)\"?|(?P<bare>[^\s\"]+))"
)
_YEARS = re.compile(r"^(\d{4})(?:\s*(?:-|\u2013|to)\s*(\d{4})?)?$")
_KINDS = {
    "step": "step", "steps": "step", "tool": "tool", "tools": "tool", "location": "location", "locations": "location",
    "place": "location", "warning": "warning", "warnings": "warning", "cue": "cue", "cues": "cue", "said": "said",
    "talk": "said",
}  # fmt: skip


class Filters(Record):
    """What a result must be besides matching. Texts are compared by their words; None asks nothing.

    ``kind`` is a kind of item, or "said" for lines of talk; ``person`` who spoke; ``years`` overlap those of the
    subject; ``held_from`` and ``held_to`` are days of the visit, both included.
    """

    subject: str | None = None
    subject_id: int | None = Field(default=None, ge=1, le=2**63 - 1)
    maker: str | None = None
    energy: str | None = None
    years_from: int | None = Field(default=None, ge=1800, le=2200)
    years_to: int | None = Field(default=None, ge=1800, le=2200)
    kind: str | None = None
    phase: str | None = None
    hazard: str | None = None
    person: str | None = None
    place: str | None = None
    held_from: date | None = None
    held_to: date | None = None
    visit_id: int | None = Field(default=None, ge=1, le=2**63 - 1)
    is_confirmed_only: bool = False


class Query(Record):
    """What is searched for. ``words`` and each of ``phrases`` are indexed forms; ``sizes`` are normal forms.

    ``asked`` is what was typed, without the filters and what is to be left out.

    ``notes`` are sentences for the person who typed: what was not understood and so was searched for as words.
    """

    typed: str = ""
    asked: str = ""
    words: tuple[str, ...] = ()
    phrases: tuple[tuple[str, ...], ...] = ()
    excluded: tuple[tuple[str, ...], ...] = ()
    sizes: tuple[Size, ...] = ()
    filters: Filters = Filters()
    notes: tuple[str, ...] = ()

    @property
    def is_empty(self) -> bool:
        """Whether it asks for nothing at all."""
        return not (self.words or self.phrases or self.sizes or self.excluded or self.filters != Filters())


def parse(typed: str, filters: Filters | None = None) -> Query:
    """``typed`` as a query, with ``filters`` set by other means; what is typed stands over them.

    "quoted words" are a phrase, ``-word`` leaves out, ``maker:``, ``kind:`` and the like are filters, a size is found
    in every form, ``near`` before it finds sizes about as large. Whatever else is typed is words: nothing raises.
    """
    text = "".join(c if c.isprintable() else " " for c in typed[:LONGEST_QUERY])
    taken = _Taken(filters or Filters())
    taken.readable_kind()
    free, said = list[str](), list[str]()
    for match in _TERM.finditer(text):
        minus, field, quoted, bare = match.group("minus", "field", "quoted", "bare")
        value = quoted if quoted is not None else bare
        if field and not minus and taken.filter(field.lower(), value):
            continue
        told = f"{field} {value}" if field else value
        forms = tuple(word.form for word in words_of(told))[:_MOST_TERMS]
        if minus and forms:
            taken.excluded.append(forms)
        elif not minus:
            said.append(told)
            if quoted is not None:
                taken.quoted(told, forms)
            else:
                free.append(told)
    taken.words_and_sizes(" ".join(free))
    return taken.query(text.strip(), " ".join(said))


class _Taken:
    """Grows by one typed term at a time."""

    def __init__(self, filters: Filters) -> None:
        self.filters = filters.model_dump()
        self.words: list[str] = []
        self.phrases: list[tuple[str, ...]] = []
        self.excluded: list[tuple[str, ...]] = []
        self.sizes: list[Size] = []
        self.notes: list[str] = []

    def filter(self, name: str, value: str) -> bool:
        """Takes ``name:value`` as a filter; False when it is none and stays text."""
        read = _FILTERS.get(name)
        if read is None:
            return False
        fields = read(value.strip())
        if fields is None:
            self.notes.append(f"{name}:{value} is not a {name} that can be read; it was searched for as words.")
            return False
        near = fields.pop("near", None)
        if isinstance(near, Size):
            self.sizes.append(near)
        self.filters.update(fields)
        return True

    def readable_kind(self) -> None:
        """Reads a kind that was set by other means as a typed one is read; one that is none is told and left out."""
        value = self.filters["kind"]
        if value is not None:
            self.filters.update(_kind(value) or {"kind": None})
            if self.filters["kind"] is None:
                shown = "".join(c if c.isprintable() else " " for c in value)
                self.notes.append(f"kind:{shown} is not a kind that can be read; it was left out.")

    def quoted(self, text: str, forms: tuple[str, ...]) -> None:
        """A phrase; a quoted size is that size."""
        found = spots(text)
        if found and is_asked_as_size(found[0], text) and len(forms) == len(words_of(_said(text, found[0]))):
            self.sizes.append(size_of(found[0]))
        elif len(forms) == 1:
            self.words.append(forms[0])
        elif forms:
            self.phrases.append(forms)

    def words_and_sizes(self, text: str) -> None:
        """The words outside quotes, and the sizes among them."""
        found = [spot for spot in spots(text) if is_asked_as_size(spot, text)]
        left = text
        for spot in found:
            before = left[: spot.start].rstrip().rsplit(None, 1)
            is_near = bool(before) and before[-1].lower() in ("near", "nearly", "around")
            start = left[: spot.start].rstrip().rfind(before[-1]) if is_near else spot.start
            self.sizes.append(size_of(spot, is_near=is_near))
            left = left[:start] + " " * (spot.end - start) + left[spot.end :]
        forms = [(left[word.start : word.end].lower(), word.form) for word in words_of(left)]
        telling = [form for plain, form in forms if plain not in STOP_WORDS]
        if not telling and not (self.phrases or self.sizes):
            telling = [form for _, form in forms]
        self.words.extend(telling)

    def query(self, typed: str, asked: str) -> Query:
        return Query(
            typed=typed,
            asked=asked,
            words=tuple(dict.fromkeys(self.words))[:_MOST_TERMS],
            phrases=tuple(dict.fromkeys(self.phrases))[:_MOST_TERMS],
            excluded=tuple(dict.fromkeys(self.excluded))[:_MOST_TERMS],
            sizes=tuple(dict.fromkeys(self.sizes))[:_MOST_TERMS],
            filters=Filters.model_validate(self.filters),
            notes=tuple(self.notes),
        )


def _said(text: str, spot: Spot) -> str:
    return text[spot.start : spot.end]


_Fields = dict[str, object]


def _text(name: str) -> Callable[[str], _Fields | None]:
    return lambda value: {name: value} if words_of(value) else None


def _kind(value: str) -> _Fields | None:
    kind = _KINDS.get(value.lower())
    return {"kind": kind} if kind else None


def _years(value: str) -> _Fields | None:
    match = _YEARS.match(value)
    if match is None:
        return None
    first = int(match[1])
    last = int(match[2]) if match[2] else (first if value.isdigit() else None)
    if not 1800 <= first <= 2200 or (last is not None and not first <= last <= 2200):
        return None
    return {"years_from": first, "years_to": last}


def _day(value: str) -> tuple[date, date] | None:
    """The days of "2026", "2026-05" or "2026-05-17"; None for what is no day."""
    match = re.fullmatch(r"(\d{4})(?:-(\d\d))?(?:-(\d\d))?", value)
    if match is None:
        return None
    year, month, day = (int(part) if part else None for part in match.groups())
    try:
        first = date(year or 0, month or 1, day or 1)
        if day:
            return first, first
        if month:
            after = date(first.year + month // 12, month % 12 + 1, 1)
            return first, date.fromordinal(after.toordinal() - 1)
        return first, date(first.year, 12, 31)
    except ValueError:
        return None


def _held(*ends: str) -> Callable[[str], _Fields | None]:
    def read(value: str) -> _Fields | None:
        days = _day(value)
        return {f"held_{end}": days[end == "to"] for end in ends} if days else None

    return read


def _confirmed(value: str) -> _Fields | None:
    wanted = {"confirmed": True, "everything": False}.get(value.lower())
    return None if wanted is None else {"is_confirmed_only": wanted}


def _near(value: str) -> _Fields | None:
    found = spots(value)
    return {"near": size_of(found[0], is_near=True)} if found else None


_FILTERS: dict[str, Callable[[str], _Fields | None]] = {
    "subject": _text("subject"), "model": _text("subject"), "maker": _text("maker"), "energy": _text("energy"),
    "years": _years, "year": _years, "kind": _kind, "phase": _text("phase"), "hazard": _text("hazard"),
    "person": _text("person"), "by": _text("person"), "place": _text("place"), "date": _held("from", "to"),
    "from": _held("from"), "until": _held("to"), "to": _held("to"), "is": _confirmed, "near": _near,
}  # fmt: skip
