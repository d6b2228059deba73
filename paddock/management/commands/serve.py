"""``manage.py serve``: set this place up and serve it, everything in one process."""

import socket
import sys
from contextlib import ExitStack
from typing import Any

import segno
import uvicorn
from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError
from django.db import connection
from django.urls import reverse

from jobs.desk.demo.play import is_demo
from jobs.people import setup_code
from jobs.serving import running
from jobs.serving.announce import NameTaken
from jobs.serving.authority import Identity
from paddock.pages import pages


class Command(BaseCommand):
    help = (
        "Set this place up (manage.py setup) and serve it: pages, live updates and deferred work. "
        "With the variable VAN (van.local, or an address) over https, for tablets."
    )
    requires_system_checks = []

    def handle(self, *args: Any, **options: Any) -> None:
        call_command("setup", no_code=True, stdout=self.stdout, stderr=self.stderr)
        if is_demo() and not settings.DEMO:
            raise CommandError(
                "This database holds the invented day of the demo. Set DATA_DIR to a new folder, "
                "or move the database away."
            )
        refuse_used_port(settings.HOST, settings.PORT)
        with ExitStack() as beside:
            config = uvicorn.Config(
                "paddock.asgi:application",
                host=settings.HOST,
                port=settings.PORT,
                log_level="warning",
                proxy_headers=False,  # nobody stands in front
                server_header=False,
            )
            if settings.VAN:
                refuse_used_port(settings.HOST, settings.INSTALL_PORT)
                try:
                    identity = beside.enter_context(running.van_served(config))
                except NameTaken as taken:
                    raise CommandError(
                        f"{settings.VAN} is the name of another machine here ({taken}): choose "
                        "another one."
                    ) from taken
                self._print_install(identity)
            self._print_address()
            connection.close()
            uvicorn.Server(config).run()

    def _print_address(self) -> None:
        path = "/"
        if not setup_code.tuner_exists():
            path = f"{reverse('first')}?code={setup_code.code_new()}"
            pages.says_where_to_begin = False
            self.stdout.write("Begin here. The code works once, in the browser that opens it:")
        self.stdout.write(f"\n  {settings.PUBLIC_URL}{path}\n\nStop it with Ctrl+C.\n")
        self.stdout.flush()

    def _print_install(self, identity: Identity) -> None:
        """Where tablets, and this machine's own browser, install the authority."""
        here = running.install_url()
        if self.stdout.isatty():
            segno.make(here, micro=False).terminal(out=sys.stdout, compact=True)
        self.stdout.write(
            f"Once on each tablet, and in this machine's browser, install the authority from\n\n"
            f"  {here}\n\nIts SHA-256 fingerprint: {identity.fingerprint}\n"
        )


def refuse_used_port(host: str, port: int) -> None:
    """Raises CommandError in words where nothing can be served there."""
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    with socket.socket(family) as tried:
        tried.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            tried.bind((host, port))
        except OSError as error:
            raise CommandError(
                f"{host}:{port} cannot be used ({error.strerror}). Choose another with PORT."
            ) from error
