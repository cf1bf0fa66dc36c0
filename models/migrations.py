"""Stored documents of older versions, brought up step by step; newer ones are refused."""

from collections.abc import Callable, Mapping
from typing import Any

from vouchbook.models.errors import DocumentError

Document = dict[str, Any]
Step = Callable[[Document], Document]


def _draft_with_pictures(document: Document) -> Document:
    """Version 1 did not say which stills belong to the draft."""
    return {**document, "pictures": []}


def _draft_with_guards(document: Document) -> Document:
    """Version 2 did not say which steps a warning guards, why its signal word, or which steps are another way."""
    items = document.get("items")
    if not isinstance(items, list):
        return document
    return {**document, "items": [_with_guards(item) for item in items]}


def _with_guards(item: Any) -> Any:  # noqa: ANN401  whatever a file gives
    kind = item.get("kind") if isinstance(item, dict) else None
    if kind == "warning":
        return {**item, "guards": [], "signal_reason": REASON_NOT_KEPT}
    return {**item, "branch": None, "instead_of": []} if kind == "step" else item


REASON_NOT_KEPT = "the version of Vouchbook that read this did not keep the reason"
DRAFT_STEPS: Mapping[int, Step] = {1: _draft_with_pictures, 2: _draft_with_guards}
"""Version N to the function that makes version N + 1 of it."""


def upgrade(data: object, name: str, what: str, current: int, steps: Mapping[int, Step]) -> Document:
    """A copy of ``data`` in version ``current``.

    Raises:
        DocumentError: no version, a newer one, or an older one that no step leads on from.
    """
    if not isinstance(data, dict) or not isinstance(data.get("version"), int):
        raise DocumentError(name, f"not a Vouchbook {what}: it has no version", f"Give a {what} that Vouchbook wrote")
    document: Document = dict(data)
    if document["version"] > current:
        raise DocumentError(
            name,
            f"{what} version {document['version']} is newer than {current}, the newest that this Vouchbook knows",
            "Update Vouchbook",
        )
    while document["version"] < current:
        step = steps.get(document["version"])
        if step is None:
            raise DocumentError(name, f"{what} version {document['version']} is not known", "Make it again")
        document = {**step(document), "version": document["version"] + 1}
    return document
