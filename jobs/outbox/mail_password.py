"""The password of the mail server that was set on screen: in a file of its own, mode 600.

It is not in the database, so that no export, no backup (encrypted or not) and no page holds
it: after a restore it is typed once more. It is kept with the server it was typed for, and is
given to no other.
"""

import json
import os
import tempfile
from pathlib import Path

from django.conf import settings

FILE = "mail-password"


def password_keep(*, server: str, password: str) -> None:
    """Replace the file in one step: a reader finds the old one or the new one, whole."""
    folder = Path(settings.DATA_DIR)
    folder.mkdir(parents=True, exist_ok=True)
    handle, unfinished = tempfile.mkstemp(dir=folder, prefix=f".{FILE}-")  # mkstemp: mode 600
    with os.fdopen(handle, "w", encoding="utf-8") as out:
        json.dump({"server": server, "password": password}, out)
    os.replace(unfinished, folder / FILE)


def password_of(server: str) -> str:
    """The password typed for this server; empty if there is none here."""
    try:
        kept = json.loads((Path(settings.DATA_DIR) / FILE).read_text(encoding="utf-8"))
    except (FileNotFoundError, ValueError):
        return ""
    return str(kept["password"]) if kept.get("server") == server else ""
