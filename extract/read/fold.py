"""Repeats: the same thing said again in other words is one item, with every place kept as evidence."""

from collections.abc import Callable, Iterable

from vouchbook.extract.read.found import Found


def folded(found: Iterable[Found], repeats: Callable[[Found, Found], bool]) -> list[Found]:
    """``found``, items of one kind, by time; each that ``repeats`` an earlier one becomes further evidence of that one.

    Two sizes or counts that differ are never one item, however alike the words.
    """
    out: list[Found] = []
    for item in sorted(found, key=lambda f: (f.start, f.end)):
        place = next((n for n, e in enumerate(out) if not _disagree(e, item) and repeats(e, item)), None)
        if place is None:
            out.append(item)
        else:
            out[place] = _joined(out[place], item)
    return out


def _joined(earlier: Found, later: Found) -> Found:
    """The earlier item, with what only the later one told."""
    fields = {key: value if value is not None else later.fields.get(key) for key, value in earlier.fields.items()}
    return earlier.with_(
        fields=fields,
        size=earlier.size or later.size,
        count=earlier.count or later.count,
        also=(*earlier.also, (later.start, later.end), *later.also),
        act=max(earlier.act, later.act),
        weighed=(*earlier.weighed, *later.weighed),
        reasons=(*earlier.reasons, "said more than once"),
    )


def _disagree(earlier: Found, later: Found) -> bool:
    pairs = ((earlier.size, later.size), (earlier.count, later.count))
    return any(one and other and one.quantity.normal != other.quantity.normal for one, other in pairs)
