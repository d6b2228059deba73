"""The sheets of a file as CSV text, one line a row; what cannot be opened, in words."""

import csv
import io
import json
import subprocess
import sys
import zipfile
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext as _

from . import sheet_reader
from .rows import text_of

ZIP, OLE = b"PK\x03\x04", b"\xd0\xcf\x11\xe0"
MOST_UNPACKED = 100_000_000
WAIT_S = 20


class FileFault(ValueError):
    """Why a file cannot be read at all, in words for a person."""


@dataclass(frozen=True)
class Sheet:
    """One sheet. ``name`` is empty for a file of plain text."""

    name: str
    text: str


def sheets_of(content: bytes) -> list[Sheet]:
    """The sheets that hold something: of XLSX, XLS and ODS by content, else one of plain text.

    Raises FileFault.
    """
    if not content.startswith((ZIP, OLE)):
        return [Sheet("", text_of(content))]
    if content.startswith(ZIP):
        _refuse_bomb(content)
    sheets = [_sheet(sheet) for sheet in _read(content)["sheets"]]
    filled = [sheet for sheet in sheets if sheet.text.strip('",\n')]
    if not filled:
        raise FileFault(_("The file is empty."))
    return filled


def _refuse_bomb(content: bytes) -> None:
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as archive:
            unpacked = sum(member.file_size for member in archive.infolist())
    except zipfile.BadZipFile as error:
        raise FileFault(_("The file is damaged: it cannot be opened as a spreadsheet.")) from error
    if unpacked > MOST_UNPACKED:
        raise FileFault(_("The file is too large when it is unpacked. Save the list by itself."))


def _read(content: bytes) -> dict[str, Any]:
    """What the reader says. It is ended when it takes too long, and may end itself."""
    command = [sys.executable, "-I", str(sheet_reader.__file__)]
    too_large = _("The file is too large to be read. Save the list by itself, as XLSX or CSV.")
    try:
        done = subprocess.run(  # noqa: S603 - our own program, no shell
            command, input=content, capture_output=True, timeout=WAIT_S, check=False
        )
    except subprocess.TimeoutExpired as error:
        raise FileFault(too_large) from error
    if done.returncode:
        raise FileFault(too_large)
    said: dict[str, Any] = json.loads(done.stdout)
    if said.get("fault") == "password":
        raise FileFault(_("The file has a password. Save it without one and try again."))
    if "fault" in said:
        raise FileFault(
            _("This is no spreadsheet that can be read (%(why)s). Save it as XLSX, ODS or CSV.")
            % {"why": said["why"]}
        )
    return said


def _sheet(said: dict[str, Any]) -> Sheet:
    rows, height = said["rows"], said["height"]
    if height < 0 or height > len(rows):
        raise FileFault(
            _("The sheet “%(name)s” is larger than a list may be (%(most)d rows).")
            % {"name": said["name"], "most": sheet_reader.MOST_ROWS}
        )
    text = io.StringIO()
    csv.writer(text, quoting=csv.QUOTE_ALL, lineterminator="\n").writerows(rows)
    return Sheet(said["name"], text.getvalue())
