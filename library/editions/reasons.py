"""What somebody says about an edition when they do something with it, on one line (pure)."""

from vouchbook.models.errors import SettingError

_LONGEST = 2000


def told(what: str, given: str, remedy: str) -> str:
    """``given`` with single spaces.

    Raises:
        SettingError: it says nothing, is longer than a page, or holds what cannot be printed.
    """
    given = " ".join(given.split())
    if not given or len(given) > _LONGEST or not given.isprintable():
        raise SettingError(f"{what} has 1 to {_LONGEST} characters. {remedy}")
    return given
