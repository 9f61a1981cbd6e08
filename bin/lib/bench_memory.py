"""What a process holds of memory, as the system tells it. Standard library only."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path


def peak_bytes() -> int:
    """The most memory that this process ever held: its own, not that of the process it was started from."""
    status = Path("/proc/self/status")
    if status.exists():
        line = next(line for line in status.read_text().splitlines() if line.startswith("VmHWM"))
        return int(line.split()[1]) * 1024
    import resource

    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * (1 if sys.platform == "darwin" else 1024)


def resident_megabytes(pid: int) -> float:
    """MB of memory that a process holds now."""
    status = Path(f"/proc/{pid}/status")
    if status.exists():
        line = next(line for line in status.read_text().splitlines() if line.startswith("VmRSS"))
        return int(line.split()[1]) / 1000
    said = subprocess.run(["ps", "-o", "rss=", "-p", str(pid)], capture_output=True, text=True, check=True).stdout
    return int(said) / 1000
