"""What the figures were measured on."""

import os
import platform
import sys
from pathlib import Path


def machine() -> str:
    """Processor, threads, system and Python, in one line."""
    name = platform.processor() or platform.machine()
    info = Path("/proc/cpuinfo")
    if info.exists():
        models = [
            line.split(":", 1)[1].strip() for line in info.read_text().splitlines() if line.startswith("model name")
        ]
        name = models[0] if models else name
    load = f", load {os.getloadavg()[0]:.1f}" if hasattr(os, "getloadavg") else ""
    return f"{name}, {os.cpu_count()} threads, {platform.system()}, Python {platform.python_version()}{load}"


def peak_mib() -> float:
    """The most memory that this process has held so far, in MiB."""
    import resource  # not on every system that the other scripts run on

    # Linux counts kilobytes, macOS bytes
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / (1024 * 1024 if sys.platform == "darwin" else 1024)
