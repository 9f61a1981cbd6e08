"""Steps that a person can follow: a name, what is going on, how long it took, one line when it fails."""

from __future__ import annotations

import ctypes
import os
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import NoReturn, TypeAlias

ROOT = Path(__file__).resolve().parents[2]
Command: TypeAlias = Sequence[str | Path]
# Between two signs of life on a screen, and in a log file that nobody watches.
BEAT_SECONDS, LOG_BEAT_SECONDS = 0.5, 15.0


class Stop(Exception):  # noqa: N818
    """The one sentence a person needs when a step cannot go on."""


class Progress:
    """One step's line: rewritten in place on a screen, a line now and then in a log."""

    def __init__(self, name: str) -> None:
        self.name, self.detail = name, ""
        self.screen = sys.stdout.isatty()
        self.began = self._spoke = time.monotonic()

    @property
    def seconds(self) -> float:
        return time.monotonic() - self.began

    def start(self) -> None:
        self._put(f"  {self.name} ...", end="" if self.screen else "\n")

    def beat(self) -> None:
        """A sign of life, once more than a second has passed."""
        now = time.monotonic()
        line = f"{self.name} ... {self.seconds:.0f} s  {self.detail}".rstrip()
        if self.screen and self.seconds > 1:
            self._put(f"\r\033[K  {line[:78]}", end="")
        elif not self.screen and now - self._spoke >= LOG_BEAT_SECONDS:
            self._spoke = now
            self._put(f"  {line}")

    def end(self, outcome: str = "") -> None:
        took = f" {self.seconds:.1f} s" if self.seconds > 1 else ""
        line = f"{self.name}: {outcome or 'done'}{took}"
        self._put(f"\r\033[K  {line}" if self.screen else f"  {line}")

    @staticmethod
    def _put(text: str, end: str = "\n") -> None:
        print(text, end=end, flush=True)


@contextmanager
def step(name: str) -> Iterator[Progress]:
    """A step that Python itself does; its line ends whatever happens."""
    progress = Progress(name)
    progress.start()
    try:
        yield progress
    except BaseException as error:
        progress.end("failed" if isinstance(error, Stop) else "stopped")
        raise
    progress.end()


def run(
    name: str,
    command: Command,
    *,
    log: Path,
    env: Mapping[str, str] | None = None,
    detail: Callable[[str], str] = lambda line: "",
) -> str:
    """Run a command as one step and return what it printed.

    `detail` turns a line of output into the few words shown beside the clock, "" for none.
    Raises Stop with the last telling line and the place of the log.
    """
    lines: list[str] = []
    with step(name) as progress, log.open("a", encoding="utf-8") as written:
        child = subprocess.Popen(
            command,
            cwd=ROOT,
            env=env,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
            errors="replace",
        )

        def read() -> None:
            assert child.stdout is not None
            with child.stdout as said:
                for line in said:
                    lines.append(line)
                    written.write(line)
                    progress.detail = detail(line) or progress.detail

        reader = threading.Thread(target=read)
        reader.start()
        try:
            _wait(child, progress)
        finally:
            end_child(child)
            reader.join()
        if child.returncode:
            raise Stop(f"{name} failed: {telling_line(lines)} (all of it: {log})")
    return "".join(lines)


def _wait(child: subprocess.Popen[str], progress: Progress) -> None:
    while True:
        try:
            child.wait(BEAT_SECONDS)
            return
        except subprocess.TimeoutExpired:
            progress.beat()


def telling_line(lines: Sequence[str]) -> str:
    """The line that says what went wrong: the last one, or the last that calls itself an error.

    The class in front of a Python error is left out: `a.b.ImproperlyConfigured: text` reads `text`.
    """
    said = [line.strip() for line in lines if line.strip()]
    errors = [line for line in said if line.startswith(("ERROR", "E:", "Error"))]
    line = (errors or said or ["it said nothing"])[-1]
    head, colon, rest = line.partition(": ")
    dotted = bool(colon) and " " not in head and (head.endswith(("Error", "Exception")) or "." in head)
    return rest if dotted else line


def end_child(child: subprocess.Popen[str], *, seconds: float = 10, group: bool = False) -> None:
    """Ask a child to end, then make it; with `group` all that it started too."""

    def tell(number: int) -> None:
        try:
            if group:
                os.killpg(child.pid, number)
            else:
                child.send_signal(number)
        except ProcessLookupError:
            pass

    if child.poll() is None:
        tell(signal.SIGTERM)
        try:
            child.wait(seconds)
        except subprocess.TimeoutExpired:
            tell(signal.SIGKILL)
            child.wait()
    elif group:
        tell(signal.SIGKILL)


def end_with_parent() -> None:
    """In a new child, before its program: on Linux, end when the parent dies, however it dies."""
    if sys.platform == "linux":
        ctypes.CDLL(None).prctl(1, signal.SIGTERM)


def guarded(program: str, main: Callable[[], int]) -> NoReturn:
    """Run `main`; whatever goes wrong is one line and a non-zero exit, never a traceback."""
    signal.signal(signal.SIGINT, signal.default_int_handler)  # a shell's background job inherits it switched off
    for number in (signal.SIGTERM, signal.SIGHUP):
        signal.signal(number, lambda got, frame: sys.exit(128 + got))
    try:
        sys.exit(main())
    except Stop as stop:
        sys.exit(f"{program}: {stop}")
    except KeyboardInterrupt:
        print("\nStopped.")
        sys.exit(130)
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), 1)
        sys.exit(141)
    except OSError as error:
        place = f"{error.filename}: " if error.filename else ""
        sys.exit(f"{program}: {place}{error.strerror or error}")
    except Exception as error:
        sys.exit(f"{program}: {type(error).__name__}: {error}")
