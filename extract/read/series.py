"""The usual sizes."""
from vouchbook.models.quantities import Quantity


def is_usual(size: Quantity) -> bool:
    return True
