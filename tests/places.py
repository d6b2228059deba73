"""Installations of their own, each with its data folder and database, run as processes."""

import json
import os
import subprocess
import sys
import uuid
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit, urlunsplit

import psycopg
from django.db import connection

from tests.shape.source import ROOT

COUNT = """
import json
from django.apps import apps
print(json.dumps({m._meta.db_table: m._base_manager.count() for m in apps.get_models()}))
"""


class Place:
    """An empty data folder, on PostgreSQL with an empty database of its own."""

    def __init__(self, folder: Path, database_url: str) -> None:
        self.folder = folder
        kept = {k: v for k, v in os.environ.items() if k not in ("REDIS_URL", "SECRET_KEY")}
        self.environment = {
            **kept,
            "DATA_DIR": str(folder),
            "DATABASE_URL": database_url,
            "DJANGO_SETTINGS_MODULE": "paddock.settings",
        }

    def try_run(self, *command: str, **environment: str) -> subprocess.CompletedProcess[str]:
        """Run Python with these arguments in this place, whatever comes of it."""
        return subprocess.run(
            [sys.executable, "-W", "ignore", *command],
            cwd=ROOT,
            env={**self.environment, **environment},
            capture_output=True,
            text=True,
            timeout=600,
        )

    def run(self, *command: str, **environment: str) -> str:
        """What it printed; a failure fails the test with what it said."""
        done = self.try_run(*command, **environment)
        assert done.returncode == 0, done.stdout + done.stderr
        return done.stdout

    def python(self, code: str) -> Any:
        """What a few lines printed as JSON, run with Django set up."""
        return json.loads(self.run("manage.py", "shell", "-v", "0", "-c", code))

    def counts(self) -> dict[str, int]:
        """How many rows each table of the project has, asked by this version."""
        return self.python(COUNT)


@contextmanager
def empty_place(folder: Path) -> Iterator[Place]:
    """A place that is removed afterwards, on the kind of database the tests run on."""
    folder.mkdir(parents=True, exist_ok=True)
    if connection.vendor == "sqlite":
        yield Place(folder, "")
        return
    name = f"place_{uuid.uuid4().hex[:12]}"
    server = urlsplit(os.environ["DATABASE_URL"])
    _on_server(f"CREATE DATABASE {name}")
    try:
        yield Place(folder, urlunsplit(server._replace(path=f"/{name}")))
    finally:
        _on_server(f"DROP DATABASE {name} WITH (FORCE)")


def _on_server(statement: str) -> None:
    """A database cannot be made inside a transaction: a connection of its own."""
    own: dict[str, Any] = connection.get_connection_params()
    with psycopg.connect(
        host=own.get("host"), port=own.get("port"), user=own.get("user"),
        password=own.get("password"), dbname="postgres", autocommit=True,
    ) as server:  # fmt: skip
        server.execute(statement)
