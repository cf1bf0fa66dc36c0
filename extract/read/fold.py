"""Repeats: the same thing said again in other words is one item, with every place kept as evidence."""

from collections.abc import Sequence

from rapidfuzz import fuzz

from vouchbook.extract.read.found import Found

_SAME = 88
_TOOL_NEAR_LINES = 4
"""A tool named again this soon is the same job's; later it is another job's, and an item of its own."""


def folded(found: Sequence[Found]) -> list[Found]:
    """``found`` by time, each repeat turned into further evidence of the first that said it."""
    out: list[Found] = []
    for item in sorted(found, key=lambda f: (f.start, f.end)):
        place = next((n for n, earlier in enumerate(out) if _repeats(earlier, item)), None)
        if place is None:
            out.append(item)
            continue
        earlier = out[place]
        fields = {key: value if value is not None else item.fields.get(key) for key, value in earlier.fields.items()}
        out[place] = earlier.with_(
            fields=fields,
            size=earlier.size or item.size,
            count=earlier.count or item.count,
            also=(*earlier.also, (item.start, item.end), *item.also),
            act=max(earlier.act, item.act),
            reasons=(*earlier.reasons, "said more than once"),
        )
    return out


def _repeats(earlier: Found, item: Found) -> bool:
    if earlier.kind != item.kind or _disagree(earlier, item):
        return False
    if item.kind == "tool":
        return (
            item.line - earlier.line <= _TOOL_NEAR_LINES
            and earlier.fields["name"].lower() == item.fields["name"].lower()
        )
    if item.kind == "step":
        if earlier.fields["action"].split()[0] != item.fields["action"].split()[0]:
            return False
        if (
            item.line == earlier.line
            and earlier.fields["action"] == item.fields["action"]
            and "it" in {earlier.fields["object"], item.fields["object"]}
        ):
            return True
        return fuzz.token_sort_ratio(earlier.fields["object"].lower(), item.fields["object"].lower()) >= _SAME
    if item.kind == "location":
        same_part = fuzz.token_sort_ratio(earlier.fields["part"].lower(), item.fields["part"].lower()) >= _SAME
        return (
            same_part and fuzz.token_set_ratio(earlier.fields["place"].lower(), item.fields["place"].lower()) >= _SAME
        )
    if item.kind == "warning" and earlier.fields["prohibits"] != item.fields["prohibits"]:
        return False
    return fuzz.token_sort_ratio(earlier.fields["text"].lower(), item.fields["text"].lower()) >= _SAME


def _disagree(earlier: Found, item: Found) -> bool:
    """Two sizes or counts that differ: never one item, however alike the words."""
    for one, other in ((earlier.size, item.size), (earlier.count, item.count)):
        if one and other and one.quantity.normal != other.quantity.normal:
            return True
    return False
