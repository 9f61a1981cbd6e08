"""A mail server on this machine that takes what it is sent and remembers it: enough of RFC 5321 for one client."""

from __future__ import annotations

import socketserver
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from email import message_from_bytes, policy
from email.message import EmailMessage


class Session(socketserver.StreamRequestHandler):
    """One client's visit."""

    server: MailServer

    def handle(self) -> None:
        self.say("220 mail.test")
        for line in self.rfile:
            verb = line.strip().partition(b" ")[0].upper()
            if verb == b"QUIT":
                return self.say("221 bye")
            if verb == b"DATA":
                self.say("354 go on")
                self.take()
            refused = verb == b"RCPT" and self.server.refuses
            self.say("550 nobody of that name" if refused else "250 yes")
        return None

    def take(self) -> None:
        lines = []
        for line in self.rfile:
            if line == b".\r\n":
                break
            lines.append(line.removeprefix(b".") if line.startswith(b"..") else line)
        self.server.letters.append(message_from_bytes(b"".join(lines), policy=policy.default))

    def say(self, words: str) -> None:
        self.wfile.write(words.encode() + b"\r\n")


class MailServer(socketserver.ThreadingTCPServer):
    """Listens on a free port; `letters` holds what came. It offers no encryption."""

    daemon_threads = True

    def __init__(self) -> None:
        super().__init__(("127.0.0.1", 0), Session)
        self.letters: list[EmailMessage] = []
        self.refuses = False

    @property
    def port(self) -> int:
        return self.server_address[1]


@contextmanager
def mail_server() -> Iterator[MailServer]:
    with MailServer() as server:
        thread = threading.Thread(target=server.serve_forever, daemon=True)
        thread.start()
        yield server
        server.shutdown()
        thread.join()
