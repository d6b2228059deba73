"""Says in one line why HOST:PORT cannot be served on; silent when it can."""

import socket
import sys


def main(host: str, port: str) -> str | None:
    if not (port.isdecimal() and 0 < int(port) < 65536):
        return f"PORT must be a number from 1 to 65535, not {port!r}."
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    with socket.socket(family) as tried:
        tried.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            tried.bind((host, int(port)))
        except OSError as error:
            return f"{host}:{port} cannot be used ({error.strerror}). Try: make demo PORT=8123"
    return None


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
