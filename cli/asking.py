"""What a reviewer is asked at the terminal, one line each: a verdict's reason, new words, an item by hand, a spot."""

import re
from collections.abc import Callable, Mapping, Sequence
from typing import Any, TypeVar, get_args

import typer
from pydantic import ValidationError

from vouchbook.cli import keys
from vouchbook.cli.plain import say
from vouchbook.extract.listen.captions.times import read_time
from vouchbook.library.editions.statements import headed
from vouchbook.library.review.by_hand import HandItem
from vouchbook.library.search.sizes import spots
from vouchbook.models.decisions import FieldValue, Judgement, RejectReason, Spot
from vouchbook.models.editions import CHOICES, FIELDS, NEEDED, Bonds, ItemKind
from vouchbook.models.transcript import Transcript

_REASONS: tuple[RejectReason, ...] = get_args(RejectReason)
_KINDS: tuple[ItemKind, ...] = get_args(ItemKind)
_SPOT = re.compile(r"(\d{1,3})[,;\s]+(\d+(?:\.\d+)?)\s*%?[,;\s]+(\d+(?:\.\d+)?)\s*%?")
Made = TypeVar("Made")


def rejection() -> Judgement | None:
    """Why, by one key; None where it is not rejected after all."""
    say("  ".join(f"{number} {reason}" for number, reason in enumerate(_REASONS, 1)))
    pressed = keys.key("Why", "".join(str(number) for number in range(1, len(_REASONS) + 1)) + "q")
    if pressed == "q":
        return None
    reason = _REASONS[int(pressed) - 1]
    note = keys.line("Note") if reason == "other" else ""
    return _made(Judgement.model_validate, {"verdict": "rejected", "reason": reason, "note": note or None})


def amendment(kind: ItemKind) -> Judgement | None:
    """The new words, field by field as ``field=words``, until an empty line."""
    say("Type FIELD=NEW WORDS, an empty line ends: " + ", ".join(FIELDS[kind]))
    words: dict[str, FieldValue] = {}
    while typed := keys.line("Amend"):
        field, _, value = typed.partition("=")
        words[field.strip()] = _count(field.strip(), value.strip())
    return _made(Judgement.model_validate, {"verdict": "amended", "words": words}) if words else None


def hand_item(talk: Transcript) -> HandItem | None:
    """An item that was said in ``talk``, or stands in a source; None where something needed is empty or wrong."""
    typer.echo("An item by hand. What may be left out is in brackets; an empty line at anything else stops.")
    kind = _choice("Kind", _KINDS)
    basis = _basis(talk) if kind else None
    if kind is None or basis is None:
        typer.echo("Nothing was added.\n")
        return None
    fields: dict[str, FieldValue] = {}
    for name in FIELDS[kind]:
        if name in CHOICES:
            fields[name] = _choice(name.capitalize(), CHOICES[name])
        else:
            fields[name] = _value(name, keys.line(name.capitalize() if name in NEEDED else f"[{name.capitalize()}]"))
        if fields[name] is None and name in NEEDED:
            typer.echo("Nothing was added.\n")
            return None
    guards = keys.line("[Before which steps: i3 i7]").replace(",", " ").split() if kind == "warning" else ()
    after = keys.line("[Behind which item: i7]")
    made = {"kind": kind, "fields": fields, "bonds": Bonds(guards=tuple(guards)), "after": after or None, **basis}
    item = _made(HandItem.model_validate, made)
    if item is not None:
        say(f"    {headed(item.kind, item.fields)}")
    return item if item is not None and keys.key("Add it", "yn") == "y" else None


def spot_in(prompt: str, stills: int) -> tuple[int, Spot] | None:
    """The place of a still in a list of so many, and the spot in it as ``2, 40%, 55%``; None for an empty line."""
    while typed := keys.line(prompt):
        match = _SPOT.fullmatch(typed)
        number, x, y = (float(part) for part in match.groups()) if match else (0.0, 0.0, 0.0)
        if 1 <= number <= stills and x <= 100 and y <= 100:
            return int(number) - 1, Spot(x=x / 100, y=y / 100)
        say(f"Type a number from 1 to {stills} and two parts in per cent: 1, 40%, 55%. An empty line stops.")
    return None


def number_of(prompt: str, many: int) -> int | None:
    """A place in a list of so many, counted from 0; None for an empty line."""
    while typed := keys.line(prompt):
        if typed.isascii() and typed.isdigit() and 1 <= int(typed) <= many:
            return int(typed) - 1
        say(f"Type a number from 1 to {many}. An empty line stops.")
    return None


def _choice(prompt: str, options: Sequence[str]) -> Any:  # noqa: ANN401  one of a literal type, checked by the record
    say("  ".join(f"{number} {option}" for number, option in enumerate(options, 1)))
    while typed := keys.line(prompt).lower():
        if typed in options:
            return str(typed)
        if typed.isascii() and typed.isdigit() and 1 <= int(typed) <= len(options):
            return str(options[int(typed) - 1])
        say(f"Type one of these words, or a number from 1 to {len(options)}. An empty line stops.")
    return None


def _basis(talk: Transcript) -> Mapping[str, object] | None:
    """The words that are marked by seconds and shown, or the source; None for neither."""
    while typed := keys.line("[Said at: 1:23-1:31, in the recording]"):
        times = [read_time(part.strip(), ".").seconds for part in re.split(r"[-\u2013]", typed)]
        if len(times) != 2 or times[0] is None or times[1] is None or times[1] <= times[0]:
            typer.echo("Type two times, the earlier first: 1:23-1:31, or 1:23.5-1:31. An empty line names a source.")
            continue
        first, last = _words_between(talk, times[0], times[1])
        if last < first:
            say(f"No word begins between {typed}: mark other seconds.")
            continue
        say(f"    \u201c{talk.text(first, last)}\u201d")
        if keys.key("These words", "yn") == "y":
            return {"first_word": first, "last_word": last}
    source = keys.line("Not from the recording, but from (page of the maker's guide, standard)")
    return {"source_note": source} if source else None


def _words_between(talk: Transcript, start_s: float, end_s: float) -> tuple[int, int]:
    """The first and the last word that begin in these seconds; the last before the first where none does."""
    inside = [number for number, word in enumerate(talk.words) if start_s <= word.start_s < end_s]
    return (inside[0], inside[-1]) if inside else (0, -1)


def _value(field: str, typed: str) -> FieldValue:
    """What was typed, a size in its normal form; None for nothing. "At least" and "about" stay as they were typed."""
    found = spots(typed) if field == "size" else []
    if len(found) == 1 and found[0].normal == found[0].quantity.normal:
        return found[0].normal
    return _count(field, typed)


def _count(field: str, typed: str) -> FieldValue:
    return int(typed) if field == "count" and typed.isascii() and typed.isdigit() else typed or None


def _made(make: Callable[[dict[str, object]], Made], fields: dict[str, object]) -> Made | None:
    try:
        return make(fields)
    except ValidationError as error:
        say(f"{error.errors(include_url=False)[0]['msg'].removeprefix('Value error, ')}", "")
        return None
