"""Seconds as people read them."""


def clock(seconds: float) -> str:
    """``3:05``, or ``1:02:03`` from one hour on."""
    minutes, second = divmod(int(seconds), 60)
    hours, minute = divmod(minutes, 60)
    return f"{hours}:{minute:02}:{second:02}" if hours else f"{minute}:{second:02}"
