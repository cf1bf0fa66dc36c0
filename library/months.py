"""Days that lie whole months apart (pure)."""

from calendar import monthrange
from datetime import MAXYEAR, date


def months_later(day: date, months: int) -> date:
    """The same day so many months later; the last of the month where it has no such day, the last of all at most."""
    whole = day.month - 1 + months
    year, month = day.year + whole // 12, whole % 12 + 1
    if year > MAXYEAR:
        return date.max
    return date(year, month, min(day.day, monthrange(year, month)[1]))
