"""Unit vectors of voices put into a given number of groups, by average linkage."""

from typing import Final

import numpy as np

from vouchbook.extract.listen.voice_network import Floats

_MOST_LINKED: Final = 1200
"""Average linkage compares all pairs; of longer talks, neighbours are averaged first. 1200 take about a second."""
_SMALLEST_GROUP: Final = 3
_SMALLEST_SHARE: Final = 0.01
_ROUNDS: Final = 10


def voice_centres(vectors: Floats, count: int) -> Floats:
    """Unit vectors of the ``count`` voices in ``vectors`` (n, 256), which stand in the order of time.

    The groups of average linkage are candidates, at whatever height of its tree they stand; the voices are those that
    together are most like all vectors. Cutting the tree into ``count`` groups would not do: a stretch drowned by a
    machine is farther from all voices than they are from each other. Fewer vectors than ``count`` give fewer centres.
    """
    linked = _averaged(vectors)
    candidates = _means_of_groups(linked)
    likeness = candidates @ vectors.T
    chosen: list[int] = []
    reached = np.full(len(vectors), -1.0, dtype=np.float32)
    for _ in range(min(count, len(candidates))):
        gains = np.maximum(likeness, reached).sum(axis=1)
        chosen.append(int(np.argmax(gains)))
        reached = np.maximum(reached, likeness[chosen[-1]])
    centres = candidates[chosen]
    for _ in range(_ROUNDS):  # the first one chosen stood for all voices
        moved = _moved(vectors, centres)
        if np.allclose(moved, centres):
            break
        centres = moved
    return centres


def _moved(vectors: Floats, centres: Floats) -> Floats:
    """The means of what is nearest to each centre; a centre that nothing is nearest to stays."""
    nearest = np.argmax(vectors @ centres.T, axis=1)
    sums = [vectors[nearest == index].sum(axis=0) for index in range(len(centres))]
    return _units(np.array([total if total.any() else centre for total, centre in zip(sums, centres, strict=True)]))


def _averaged(vectors: Floats) -> Floats:
    """Means of as many neighbours as it takes to have no more than can be linked."""
    together = -(-len(vectors) // _MOST_LINKED)
    if together <= 1:
        return vectors
    means = np.array([vectors[start : start + together].mean(axis=0) for start in range(0, len(vectors), together)])
    return _units(means)


def _means_of_groups(vectors: Floats) -> Floats:
    """Unit means of all groups that average linkage makes on its way and that are large enough to be a voice.

    A cough is not; where nothing is, each vector stands for itself.
    """
    smallest = max(_SMALLEST_GROUP, int(_SMALLEST_SHARE * len(vectors)))
    sums, sizes = vectors.copy(), np.ones(len(vectors), dtype=np.int64)
    groups = []
    for first, second in _linkage(vectors):
        sums[first] += sums[second]
        sizes[first] += sizes[second]
        if sizes[first] >= smallest:
            groups.append(sums[first].copy())
    return _units(np.array(groups)) if groups else vectors


def _linkage(vectors: Floats) -> list[tuple[int, int]]:
    """Pairs of groups in the order in which average linkage (UPGMA) joins them, each named by its first vector."""
    likeness = (vectors @ vectors.T).astype(np.float64)
    np.fill_diagonal(likeness, -np.inf)
    sizes = np.ones(len(vectors))
    merges = []
    for _ in range(len(vectors) - 1):
        first, second = sorted(np.unravel_index(int(np.argmax(likeness)), likeness.shape))
        merges.append((int(first), int(second)))
        weight = sizes[first] + sizes[second]
        joined = (sizes[first] * likeness[first] + sizes[second] * likeness[second]) / weight
        joined[[first, second]] = -np.inf
        likeness[first], likeness[:, first] = joined, joined
        likeness[second], likeness[:, second] = -np.inf, -np.inf
        sizes[first] = weight
    return merges


def _units(vectors: Floats) -> Floats:
    return np.asarray(vectors / np.maximum(np.linalg.norm(vectors, axis=1, keepdims=True), 1e-9), dtype=np.float32)
