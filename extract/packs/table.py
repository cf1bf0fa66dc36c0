"""From a file's table to a pack, with every problem on the way.

In a file, entries stand in one list per kind (``part = [{ term = "bonnet", synonyms = ["hood"] }]``), and words that
speak for a topic without being a thing stand under ``[topic_words.PHASE]`` as ``strong`` and ``weak`` lists.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from pydantic import ValidationError
from pydantic_core import ErrorDetails

from vouchbook.extract.packs.schema import KINDS, Clash, Entry, Kind, Misfit, Pack, clashes, normal_form
from vouchbook.models.errors import PackError

Place = tuple[str | int, ...]
"""Where something stands in a file's table: keys, and numbers from 0 in lists, as in ``("part", 3, "synonyms", 0)``."""

HEAD = tuple(name for name in Pack.model_fields if name != "entries")
LISTS: tuple[Kind, ...] = tuple(kind for kind in KINDS if kind != "topic_word")
"""The kinds whose entries stand in a list of that name."""


@dataclass(frozen=True)
class Problem:
    """One thing that keeps a table from being a pack.

    ``what`` and ``remedy`` are how loading tells it, ``advice`` is a remedy that fits better where there is one.
    ``subject`` is the entry, ``""`` for the pack; ``detail`` is set for a field that cannot be used; ``other`` is where
    the entry stands that this one clashes with.
    """

    place: Place
    what: str
    remedy: str
    subject: str = ""
    detail: ErrorDetails | None = None
    other: Place | None = None
    advice: str = ""


@dataclass
class Examined:
    """What a table holds: entries as far as they can be used, each with its place, and all problems."""

    head: dict[str, Any] = field(default_factory=dict)
    entries: list[tuple[Place, Entry]] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)


def pack_from_table(table: Mapping[str, Any], name: str) -> Pack:
    """The pack that a file's table holds; ``name`` is how errors name the file.

    Raises:
        PackError: an unknown key or kind, a field that does not fit, or a form with two meanings; names the entry.
    """
    examined = examine(table)
    for problem in examined.problems:
        raise PackError(name, problem.what, problem.remedy)
    return Pack.model_validate({**examined.head, "entries": tuple(entry for _, entry in examined.entries)})


def examine(table: Mapping[str, Any]) -> Examined:
    """Everything that is wrong in ``table``, most basic first, and what of it could be used."""
    found = Examined({key: value for key, value in table.items() if key in HEAD})
    unknown = [key for key in table if key not in (*HEAD, *LISTS, "topic_words", "topic_word")]
    for key in (*unknown, *(["topic_word"] if "topic_word" in table else [])):
        remedy = f"Known are {', '.join(LISTS)}, topic_words, {', '.join(HEAD)}"
        found.problems.append(Problem((key,), f"unknown key or kind '{key}'", remedy))
    rows = [row for kind in LISTS for row in _rows(table, kind, found.problems)]
    rows += _topic_word_rows(table.get("topic_words", {}), found.problems)
    told: set[Place] = set()
    for place, kind, row in rows:
        entry, problems = _entry(place, kind, row)
        for problem in problems:
            if kind == "topic_word" and problem.place[-1] == "phase":  # said once for all words under that phase
                if place[:2] in told:
                    continue
                told.add(place[:2])
            found.problems.append(problem)
        if entry is not None:
            found.entries.append((place, entry))
    found.problems += _head_problems(found.head)
    found.problems += [_of_clash(found, clash) for clash in clashes([entry for _, entry in found.entries])]
    return found


_Row = tuple[Place, Kind, Mapping[str, Any]]


def _rows(table: Mapping[str, Any], kind: Kind, problems: list[Problem]) -> Iterator[_Row]:
    rows = table.get(kind, [])
    whole = isinstance(rows, list) and all(isinstance(row, Mapping) for row in rows)
    if not whole:
        problems.append(Problem((kind,), f"'{kind}' is not a list of tables", f'Write {kind} = [{{ term = "…" }}]'))
    for index, row in enumerate(rows if isinstance(rows, list) else []):
        if isinstance(row, Mapping):
            yield (kind, index), kind, row


def _topic_word_rows(topic_words: object, problems: list[Problem]) -> Iterator[_Row]:
    top = "topic_words"
    if not isinstance(topic_words, Mapping):
        remedy = 'Write [topic_words.fire] and below it strong = ["…"]'
        problems.append(Problem((top,), "'topic_words' is not a table", remedy))
        return
    for phase, lists in topic_words.items():
        if not isinstance(lists, Mapping) or not set(lists) <= {"strong", "weak"}:
            what = f"'topic_words.{phase}' holds more than strong and weak lists"
            problems.append(Problem((top, phase), what, "Use only these two"))
        for weight, words in lists.items() if isinstance(lists, Mapping) else ():
            if weight not in {"strong", "weak"}:
                continue
            if not isinstance(words, list):
                what = f"'topic_words.{phase}.{weight}' is not a list"
                problems.append(Problem((top, phase, weight), what, "Write a list of words"))
                continue
            for index, word in enumerate(words):
                yield (top, phase, weight, index), "topic_word", {"term": word, "phase": phase, "weight": weight}


def _entry(place: Place, kind: Kind, row: Mapping[str, Any]) -> tuple[Entry | None, list[Problem]]:
    """The entry of one row, without the fields that cannot be used, and what is wrong with it."""
    subject, remedy = f"{kind} '{_written(row.get('term', '(no term)'))}'", "Correct this entry"
    misfits: list[Misfit] = []
    context = {"misfits": misfits}
    problems: list[Problem] = []
    entry: Entry | None
    try:
        entry = Entry.model_validate({**row, "kind": kind}, context=context)
    except ValidationError as error:
        details = error.errors(include_url=False)
        for detail in details:
            at = (*place, *detail["loc"])
            problems.append(Problem(at, f"{subject}: {_message(detail)}", remedy, subject, detail))
        entry = _mended(kind, row, details, context)
    broken = {problem.place[-1] for problem in problems if len(problem.place) == len(place) + 1}  # whole fields
    for misfit in misfits:
        if misfit.field not in broken:
            at = (*place, misfit.field)
            problems.append(Problem(at, f"{subject}: {misfit.what}", remedy, subject, advice=misfit.remedy))
    return entry, problems


def _mended(
    kind: Kind, row: Mapping[str, Any], details: list[ErrorDetails], context: Mapping[str, object]
) -> Entry | None:
    """The entry without what cannot be used, so that its other words are still compared; None without a term."""
    broken = {detail["loc"] for detail in details}
    whole: dict[str, Any] = {"kind": kind}
    for name, value in row.items():
        if name == "term" and (name,) in broken:
            whole[name] = normal_form(value) if isinstance(value, str) else value  # capitals are the usual slip
        elif isinstance(value, list):
            whole[name] = [part for index, part in enumerate(value) if (name, index) not in broken]
        elif (name,) not in broken:
            whole[name] = value
    try:
        return Entry.model_validate(
            {name: whole[name] for name in whole if name in Entry.model_fields}, context=context
        )
    except ValidationError:
        return None


def _head_problems(head: Mapping[str, Any]) -> Iterator[Problem]:
    try:
        Pack.model_validate(head)
    except ValidationError as error:
        for detail in error.errors(include_url=False):
            place = tuple(part for part in detail["loc"] if part != "[key]")
            yield Problem(place, _message(detail), "Correct it in the file", "", detail)


def _of_clash(found: Examined, clash: Clash) -> Problem:
    (place, entry), (other, _) = found.entries[clash.entry], found.entries[clash.other]
    subject = f"{entry.kind} '{entry.term}'"
    return Problem(
        (*place, clash.field), clash.what, "Correct it in the file", subject, other=other, advice=clash.remedy
    )


def _message(detail: ErrorDetails) -> str:
    place = ".".join(str(part) for part in detail["loc"])
    message = detail["msg"].removeprefix("Value error, ")
    return f"{place}: {message}" if place else message


def _written(value: object) -> str:
    try:
        return str(value)
    except ValueError:  # a whole number of thousands of digits, which Python does not write out
        return "a number too long to print"
