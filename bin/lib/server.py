"""The web server as a child process: started, waited for, watched, ended."""

from __future__ import annotations

import http.client
import socket
import subprocess
import sys
import threading
import time
from collections.abc import Callable
from pathlib import Path

from .environment import PYTHON
from .steps import ROOT, Stop, end_child, end_with_parent, step, telling_line

HOST = "127.0.0.1"
READY_SECONDS = 60
# One process keeps the jobs' worker single; threads let a slow upload wait without holding up a page.
OPTIONS = ["--worker-class", "gthread", "--workers", "1", "--threads", "8", "--graceful-timeout", "5"]
QUIET = ["--no-control-socket", "--log-level", "warning"]


def take_port(port: int) -> socket.socket:
    """Hold the port from the first second on, so that nothing else takes it during the set-up."""
    held = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    held.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        held.bind((HOST, port))
    except PermissionError:
        held.close()
        raise Stop(f"port {port} needs more rights than yours. Choose one above 1023: bin/start --port 8000") from None
    except OSError:
        held.close()
        raise Stop(
            f"port {port} is in use. Stop what uses it, or choose another: bin/start --port {port + 1}"
        ) from None
    return held


class Server:
    """The server and its output: kept until it serves, shown from then on."""

    def __init__(self, held: socket.socket, env: dict[str, str], log: Path) -> None:
        self.port: int = held.getsockname()[1]
        self.lines: list[str] = []
        self.shown = False
        self.turn = threading.Lock()
        self.log = log
        bound = ["--bind", f"fd://{held.fileno()}"]
        command: list[str | Path] = [PYTHON, "-m", "gunicorn", *bound, *OPTIONS, *QUIET, "config.wsgi"]
        self.child = subprocess.Popen(
            command,
            cwd=ROOT,
            env=env,
            pass_fds=[held.fileno()],
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
            errors="replace",
            start_new_session=True,
            preexec_fn=end_with_parent,
        )
        held.close()
        self.reader = threading.Thread(target=self._read, daemon=True)
        self.reader.start()

    def _read(self) -> None:
        assert self.child.stdout is not None
        with self.log.open("a", encoding="utf-8") as written:
            for line in self.child.stdout:
                with self.turn:
                    if self.shown:
                        sys.stdout.write(line)
                        sys.stdout.flush()
                    else:
                        self.lines.append(line)
                        written.write(line)
                        written.flush()

    def wait_until_ready(self) -> None:
        """Return once the first page really came. Raises Stop when the server ends or never answers."""
        deadline = time.monotonic() + READY_SECONDS
        with step("Starting the server") as progress:
            while (status := self._first_page()) is None:
                if self.child.poll() is not None:
                    self.reader.join(2)
                    raise Stop(f"the server did not start: {self._reason()} (all of it: {self.log})")
                if time.monotonic() > deadline:
                    raise Stop(f"the server did not answer within {READY_SECONDS} s (what it said: {self.log})")
                progress.beat()
                time.sleep(0.1)
            if status >= 500:
                raise Stop(f"the first page failed: {self._reason()} (all of it: {self.log})")

    def _reason(self) -> str:
        """What the app said last; the server's own lines begin with a bracket and only say that it failed."""
        return telling_line([line for line in self.lines if not line.startswith("[")] or self.lines)

    def _first_page(self) -> int | None:
        connection = http.client.HTTPConnection(HOST, self.port, timeout=10)
        try:
            connection.request("GET", "/")
            return connection.getresponse().status
        except (OSError, http.client.HTTPException):
            return None
        finally:
            connection.close()

    def show_output(self) -> None:
        """From now on its output is the person's: mail printed to the console, warnings."""
        with self.turn:
            sys.stdout.write("".join(self.lines))
            sys.stdout.flush()
            self.shown = True

    def wait(self) -> int:
        return self.child.wait()

    def end(self) -> None:
        end_child(self.child, seconds=10, group=True)


def serve(held: socket.socket, env: dict[str, str], log: Path, on_ready: Callable[[str], None]) -> int:
    """Serve until asked to stop; the child never outlives this call. Raises Stop when the server dies by itself."""
    server = Server(held, env, log)
    try:
        server.wait_until_ready()
        on_ready(f"http://{HOST}:{server.port}")
        server.show_output()
        code = server.wait()
    except KeyboardInterrupt:
        print("\nStopped.", flush=True)
        return 0
    finally:
        server.end()
    server.reader.join(2)
    raise Stop(f"the server ended by itself (exit {code}).")
