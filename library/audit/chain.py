"""The chain of the journal: each entry's hash covers the hash of the one before (pure).

Whoever edits, deletes or reorders entries breaks it. Whoever works out all hashes anew, or cuts off the end, makes
another head: a head that was kept elsewhere tells.
"""

import json
from collections.abc import Iterable, Mapping
from datetime import UTC, datetime
from hashlib import sha256
from typing import Any, Self

from pydantic import AwareDatetime, Field

from vouchbook.models.errors import SettingError
from vouchbook.models.record import Record

START = "0" * 64
"""What stands before the first entry."""

_HASH = r"^[0-9a-f]{64}$"
_WORDS = "vouchbook journal"


class Entry(Record):
    """One change: who (None: the library by itself) did what to which row, when by the clock of that moment.

    ``body`` holds what JSON can. Where the clock had gone back, ``body["clock_behind_s"]`` says by how many seconds.
    """

    seq: int = Field(ge=1)
    at: AwareDatetime
    person: int | None
    act: str = Field(min_length=1)
    what: str = Field(min_length=1)
    what_id: str
    body: Mapping[str, Any]
    before_hash: str = Field(pattern=_HASH)
    own_hash: str = Field(pattern=_HASH)


class Head(Record):
    """The number and hash of an entry: while it stands, so does everything before it."""

    seq: int = Field(ge=0)
    own_hash: str = Field(pattern=_HASH)

    def __str__(self) -> str:
        """One line to print and keep elsewhere."""
        return f"{_WORDS} {self.seq} {self.own_hash}"

    @classmethod
    def read(cls, line: str) -> Self:
        """The head that :meth:`__str__` wrote.

        Raises:
            SettingError: the line is no such head.
        """
        parts = line.strip().removeprefix(_WORDS).split()
        try:
            seq, own_hash = parts
            return cls(seq=int(seq), own_hash=own_hash)
        except ValueError:
            raise SettingError(
                f"journal head: {line.strip()[:100]!r} is none. Give the line as it was printed: {_WORDS} NUMBER HASH."
            ) from None


class Broken(Record):
    """The first entry at which the chain does not hold, and why, in one sentence."""

    seq: int
    sentence: str


def canonical(value: object) -> bytes:
    """The one form in which JSON is hashed: keys sorted, no spaces, ASCII alone.

    Raises:
        ValueError: not a number (NaN or infinite).
        TypeError: nothing that JSON holds.
    """
    plain = json.loads(json.dumps(value, allow_nan=False))  # keys that are numbers become text before they are sorted
    return json.dumps(plain, sort_keys=True, separators=(",", ":")).encode("ascii")


def canonical_sha256(value: object) -> str:
    """The SHA-256 of :func:`canonical`, in hexadecimal."""
    return sha256(canonical(value)).hexdigest()


def linked(
    before: Entry | None, at: datetime, person: int | None, act: str, about: tuple[str, str], body: Mapping[str, Any]
) -> Entry:
    """The entry that follows ``before``; ``about`` says which kind of row, and which."""
    told: dict[str, Any] = json.loads(canonical(dict(body)))
    if before is not None and at < before.at:
        told["clock_behind_s"] = round((before.at - at).total_seconds(), 3)
    entry = Entry(
        seq=before.seq + 1 if before else 1,
        at=at,
        person=person,
        act=act,
        what=about[0],
        what_id=about[1],
        body=told,
        before_hash=before.own_hash if before else START,
        own_hash=START,
    )
    return entry.model_copy(update={"own_hash": hash_of(entry)})


def hash_of(entry: Entry) -> str:
    """The hash that ``entry`` should carry: over all of it but ``own_hash``."""
    told = entry.model_dump(exclude={"own_hash", "at"}) | {"at": entry.at.astimezone(UTC).isoformat()}
    return canonical_sha256(told)


def broken(entries: Iterable[Entry], kept: Iterable[Head] = ()) -> Broken | None:
    """The first place at which ``entries``, in the order of their numbers, do not hold; None when all do.

    Each head of ``kept`` must stand among them.
    """
    heads = {head.seq: head.own_hash for head in kept if head.seq}
    seq, own_hash = 0, START
    for entry in entries:
        if entry.seq != seq + 1:
            return Broken(seq=seq + 1, sentence=f"Entry {seq + 1} is missing; entry {entry.seq} follows entry {seq}.")
        seq += 1
        if hash_of(entry) != entry.own_hash:
            return Broken(seq=seq, sentence=f"Entry {seq} is not what was written: its hash does not fit.")
        if entry.before_hash != own_hash:
            return Broken(seq=seq, sentence=f"Entry {seq} was written after another entry {seq - 1} than the one here.")
        if heads.pop(seq, entry.own_hash) != entry.own_hash:
            return Broken(seq=seq, sentence=f"Entry {seq} is another than the one whose head was kept.")
        own_hash = entry.own_hash
    if heads:
        return Broken(seq=seq + 1, sentence=f"The journal ends at entry {seq}; a head of entry {max(heads)} was kept.")
    return None
