"""Records whose words may go to a terminal, or into a sheet for people, whatever is made of them there."""

from typing import Any, TypeVar

from vouchbook.cli.plain import plain
from vouchbook.models.record import Record

Any_ = TypeVar("Any_", bound=Record)


def plain_record(record: Any_) -> Any_:
    """``record`` with all text in it plain, at any depth; itself where it is that already."""
    changed = {name: now for name, value in record if (now := _plain(value)) is not value}
    return record.model_copy(update=changed) if changed else record


def _plain(value: Any) -> Any:  # noqa: ANN401  whatever a record holds
    if isinstance(value, Record):
        return plain_record(value)
    if type(value) is str:  # a word of ours, such as a topic, is an enum
        now = plain(value)
        return value if now == value else now
    if isinstance(value, tuple):
        return _same(value, tuple(map(_plain, value)))
    if isinstance(value, dict):
        return _same(value, {_plain(key): _plain(one) for key, one in value.items()})
    return value


def _same(value: Any, now: Any) -> Any:  # noqa: ANN401  a collection, and what it became
    """``value`` itself where nothing in it is another."""
    before, after = (list(one.items()) if isinstance(one, dict) else one for one in (value, now))
    is_same = all(a is b or a == b for a, b in zip(before, after, strict=False)) and len(before) == len(after)
    return value if is_same else now
