"""What a kind of task is.

Each does what takes long, touches nothing of the library, and gives what is then written in one piece of work together
with the end of the task: a task that is begun twice is written once.
"""

from collections.abc import Callable, Mapping
from typing import Any

from vouchbook.library.actor import Work
from vouchbook.library.open import Library

Told = Callable[[float, str], None]
"""How far it is, from 0 to 1, and what is being done."""
Write = Callable[[Work], Mapping[str, Any]]
"""Writes what came of it; gives the result that the task keeps."""
Kind = Callable[[Library, Mapping[str, Any], Told], Write]
