"""The catalogues of messages: what is to be translated, and the compiled form Django reads.

Sentences stand in Python and templates, in the shipped findings (TOML) and in the shipped
checklists (JSON). ``manage.py messages`` brings every one of them into each catalogue.
"""

import io
import json
import tomllib
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from babel.messages.catalog import Catalog
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po, write_po
from django.conf import settings

DOMAINS = ("django", "djangojs")  # of Python and templates; of scripts
LANGUAGES = tuple(code for code, _name in settings.LANGUAGES if code != "en")
FINDINGS = Path(settings.BASE_DIR) / "jobs" / "tuning" / "knowledge" / "data"
CHECKLISTS = Path(settings.BASE_DIR) / "fixtures" / "checklists.json"
HEADER = """msgid ""
msgstr ""
"Content-Type: text/plain; charset=UTF-8\\n"
"Language: {language}\\n"
"Plural-Forms: {plural}\\n"

"""
# The same catalogue compiles to the same bytes on any day.
UNDATED = datetime(2000, 1, 1, tzinfo=UTC)
# The keys of a finding that people read; all others hold names.
READ_KEYS = {
    "action", "ask", "check", "disagreement", "do", "next", "say", "see", "source_note", "step",
    "stop", "text", "title", "worse",
}  # fmt: skip


def files() -> list[Path]:
    """Every catalogue, as people edit it."""
    home = Path(settings.BASE_DIR) / "paddock" / "locale"
    folders = [home / language / "LC_MESSAGES" for language in LANGUAGES]
    return [folder / f"{domain}.po" for folder in folders for domain in DOMAINS]


def read(file: Path) -> Catalog:
    with file.open("rb") as opened:
        return read_po(opened, locale=file.parent.parent.name)


def compiled(file: Path) -> bytes:
    """What Django reads, made of the catalogue as it stands."""
    catalogue = read(file)
    catalogue.creation_date = catalogue.revision_date = UNDATED
    found = io.BytesIO()
    write_mo(found, catalogue)
    return found.getvalue()


def tidy(file: Path) -> None:
    """Write a catalogue the same way each time, so that a change shows only what changed."""
    catalogue = read(file)
    catalogue.fuzzy = False
    found = io.BytesIO()
    write_po(found, catalogue, width=100, include_lineno=False, omit_header=True)
    file.write_text(
        HEADER.format(language=catalogue.locale_identifier, plural=catalogue.plural_forms)
        + found.getvalue().decode()
    )


def data_texts() -> list[str]:
    """Every sentence of the shipped findings and checklists, each once."""
    found: dict[str, None] = {}
    for file in sorted(FINDINGS.glob("*.toml")):
        if file.stem != "sources":
            found.update(dict.fromkeys(_read("", tomllib.loads(file.read_text()))))
    found.update(dict.fromkeys(_checklists(json.loads(CHECKLISTS.read_text()))))
    return [text for text in found if text]


def _read(key: str, value: Any) -> Iterator[str]:
    if isinstance(value, str):
        if key in READ_KEYS and " " in value:
            yield value
    elif isinstance(value, list):
        for one in value:
            yield from _read(key, one)
    elif isinstance(value, dict):
        for name, one in value.items():
            yield from _read(name, one)


def _checklists(lists: list[dict[str, Any]]) -> Iterator[str]:
    for one in lists:
        yield one["name"]
        for item in one["items"]:
            yield item["text"]
            yield item.get("help", "")
            yield from (words for _code, words in item.get("points", ()))
