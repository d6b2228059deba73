"""The form of a backup's file: a tar, compressed, locked where there is a passphrase."""

import hashlib
import io
import tarfile
from collections.abc import Mapping
from pathlib import Path

import pyrage
from django.utils.translation import gettext as _

from .faults import BackupFault

KEY, DATA = "key.age", "data.tar.gz.age"
Member = Path | bytes


def write(to: Path, members: Mapping[str, Member], passphrase: str, scratch: Path) -> None:
    """Write the members, by their names in the archive; ``scratch`` is a folder to work in."""
    if not passphrase:
        _write_tar(to, members)
        return
    plain, locked = scratch / "data.tar.gz", scratch / DATA
    _write_tar(plain, members)
    identity = pyrage.x25519.Identity.generate()
    pyrage.encrypt_file(str(plain), str(locked), [identity.to_public()])
    plain.unlink()
    key = pyrage.passphrase.encrypt(str(identity).encode(), passphrase)
    with tarfile.open(to, "w") as outer:
        _add(outer, KEY, key)
        _add(outer, DATA, locked)
    locked.unlink()


def read(file: Path, into: Path, passphrase: str) -> None:
    """Unpack a backup into an empty folder. Raises BackupFault for what is no backup of ours."""
    try:
        with tarfile.open(file) as archive:
            locked = KEY in archive.getnames()
            archive.extractall(into, filter="data")
        if locked:
            _unlock(into, passphrase)
    except (tarfile.TarError, EOFError, OSError) as error:
        raise BackupFault(
            _("%(file)s cannot be read as a backup: %(why)s") % {"file": file.name, "why": error}
        ) from error


def _unlock(folder: Path, passphrase: str) -> None:
    if not passphrase:
        raise BackupFault(_("This backup is encrypted: its passphrase is needed."))
    try:
        secret = pyrage.passphrase.decrypt((folder / KEY).read_bytes(), passphrase)
        identity = pyrage.x25519.Identity.from_str(secret.decode())
        plain = folder / "data.tar.gz"
        pyrage.decrypt_file(str(folder / DATA), str(plain), [identity])
    except pyrage.DecryptError as error:
        raise BackupFault(_("The passphrase does not open this backup.")) from error
    with tarfile.open(plain) as archive:
        archive.extractall(folder, filter="data")
    for done_with in (folder / KEY, folder / DATA, plain):
        done_with.unlink()


def sha256(file: Path) -> str:
    with file.open("rb") as content:
        return hashlib.file_digest(content, "sha256").hexdigest()


def _write_tar(to: Path, members: Mapping[str, Member]) -> None:
    # Photos are compressed already; of the rest, little effort finds the most.
    with tarfile.open(to, "w:gz", compresslevel=1) as archive:
        for name, member in members.items():
            _add(archive, name, member)


def _add(archive: tarfile.TarFile, name: str, member: Member) -> None:
    if isinstance(member, Path):
        archive.add(member, arcname=name, recursive=False)
        return
    header = tarfile.TarInfo(name)
    header.size, header.mode = len(member), 0o600
    archive.addfile(header, io.BytesIO(member))
