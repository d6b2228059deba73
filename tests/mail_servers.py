"""A mail server of a test's own, on 127.0.0.1: it keeps what it took, and refuses on demand."""

import base64
import socketserver
import ssl
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

USER, PASSWORD = "van@example.org", "Spanner-and-3-tyres"


class Taken:
    """``letters``: each as it came; ``signed_in``: user and password of every try.

    ``refuses``: the reply to a command that begins with the key, such as ``MAIL``.
    """

    def __init__(self) -> None:
        self.port = 0
        self.letters: list[str] = []
        self.signed_in: list[tuple[str, str]] = []
        self.refuses: dict[str, str] = {}


class Conversation(socketserver.StreamRequestHandler):
    taken: Taken

    def handle(self) -> None:
        self.say("220 a test's server")
        while line := self.rfile.readline().decode().strip():
            verb = line.split(" ")[0].upper()
            if refusal := next((r for v, r in self.taken.refuses.items() if verb == v), ""):
                self.say(refusal)
            elif verb == "EHLO":
                self.say("250-a test's server\r\n250 AUTH PLAIN")
            elif verb == "AUTH":
                self.sign_in(line.split(" ")[2])
            elif verb == "DATA":
                self.letter()
            elif verb == "QUIT":
                self.say("221 bye")
                return
            else:
                self.say("250 ok")

    def say(self, reply: str) -> None:
        self.wfile.write(f"{reply}\r\n".encode())

    def sign_in(self, given: str) -> None:
        _as, user, password = base64.b64decode(given).decode().split("\0")
        self.taken.signed_in.append((user, password))
        right = (user, password) == (USER, PASSWORD)
        self.say("235 ok" if right else "535 5.7.8 No such user here")

    def letter(self) -> None:
        self.say("354 go on")
        lines = []
        while (line := self.rfile.readline().decode()) not in (".\r\n", ""):
            lines.append(line)
        self.taken.letters.append("".join(lines))
        self.say("250 taken")


@contextmanager
def mail_server(certificate: Path | None = None) -> Iterator[Taken]:
    """``certificate``: key and certificate of one that speaks TLS from the start."""
    taken = Taken()

    class Server(socketserver.ThreadingTCPServer):
        daemon_threads = True
        block_on_close = False

        def get_request(self):
            connection, address = super().get_request()
            if certificate is not None:
                context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
                context.load_cert_chain(certificate)
                connection = context.wrap_socket(connection, server_side=True)
            return connection, address

        def handle_error(self, request, client_address):
            """A client that hangs up is part of these tests."""

    handler = type("ConversationOfThis", (Conversation,), {"taken": taken})
    with Server(("127.0.0.1", 0), handler) as server:
        taken.port = server.server_address[1]
        thread = threading.Thread(target=server.serve_forever, args=(0.01,), daemon=True)
        thread.start()
        try:
            yield taken
        finally:
            server.shutdown()
            thread.join()
