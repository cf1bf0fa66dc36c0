"""Where Vouchbook keeps things on this machine: data that took work to make, and results that can be made again."""

import os
from pathlib import Path

import platformdirs

DATA_VARIABLE = "VOUCHBOOK_DATA"
CACHE_VARIABLE = "VOUCHBOOK_CACHE"


def data_folder() -> Path:
    """The folder for data such as assembled speech models; ``VOUCHBOOK_DATA`` names another one."""
    return _named(DATA_VARIABLE) or platformdirs.user_data_path("vouchbook", appauthor=False)


def cache_folder() -> Path:
    """The folder for results that can be made again; ``VOUCHBOOK_CACHE`` names another one."""
    return _named(CACHE_VARIABLE) or platformdirs.user_cache_path("vouchbook", appauthor=False)


def _named(variable: str) -> Path | None:
    value = os.environ.get(variable, "").strip()
    return Path(value).expanduser() if value else None
