"""The restore drill: a place in use is backed up, and comes back equal somewhere else."""

import os
import tarfile
from collections.abc import Iterator

import pytest

from jobs.backups.archive import DATA, KEY
from tests.places import Place, empty_place

pytestmark = [pytest.mark.django_db, pytest.mark.slow]

PASSPHRASE = "three tyres and a spanner"
FILL = """
from django.conf import settings
from jobs.people.models import Business, Customer
from pathlib import Path
Customer.objects.create(name="Ada Quist", email="ada@example.org")
for name, content in (("photos/2026/09/a.jpg", b"a picture"), ("photos/2026/09/b.jpg", b"b")):
    file = Path(settings.MEDIA_ROOT) / name
    file.parent.mkdir(parents=True, exist_ok=True)
    file.write_bytes(content)
"""
# All there is, by the product's own reading of it; the drill compares by other means: rows.
HOLDS = """
import hashlib, json
from django.apps import apps
from django.conf import settings
from pathlib import Path
rows = {}
for model in apps.get_models():
    if model._meta.label not in ("backups.Backup", "contenttypes.ContentType", "auth.Permission"):
        fields = [f.attname for f in model._meta.concrete_fields]
        found = list(model._base_manager.order_by("pk").values_list(*fields))
        content = hashlib.sha256(repr(found).encode()).hexdigest()
        rows[model._meta.db_table] = [len(found), content]
root = Path(settings.MEDIA_ROOT)
files = {str(f.relative_to(root)): f.read_text() for f in sorted(root.rglob("*")) if f.is_file()}
print(json.dumps({"rows": rows, "files": files, "key": settings.SECRET_KEY}))
"""

AUTHORITY = """
import json
from jobs.serving.authority import home, identity_of
from jobs.serving.names import van_of
print(json.dumps(identity_of(van_of("van.local"), home=home()).fingerprint))
"""
FAULTS = """
import json
from jobs.backups.models import Backup
print(json.dumps([backup.fault for backup in Backup.objects.all()]))
"""
OF_TOMORROW = """
from django.db import connection
from django.db.migrations.recorder import MigrationRecorder
MigrationRecorder(connection).record_{how}("setups", "9999_of_tomorrow")
"""


@pytest.fixture(scope="module")
def used(tmp_path_factory) -> Iterator[Place]:
    """Made once: its tests only read it, or leave it as it was."""
    with empty_place(tmp_path_factory.mktemp("used")) as place:
        place.run("manage.py", "migrate", "-v", "0")
        place.run("manage.py", "shell", "-v", "0", "-c", FILL)
        yield place


@pytest.fixture
def empty(tmp_path) -> Iterator[Place]:
    with empty_place(tmp_path / "empty") as place:
        yield place


@pytest.mark.parametrize("passphrase", ["", PASSPHRASE], ids=["open", "encrypted"])
def test_what_was_backed_up_comes_back_equal(used, empty, tmp_path, passphrase):
    secret = {"BACKUP_PASSPHRASE": passphrase}
    said = used.run("manage.py", "backup", str(tmp_path / "kept"), **secret)
    assert "every table and file is equal" in said
    (file,) = (tmp_path / "kept").iterdir()
    assert file.stat().st_mode & 0o077 == 0
    assert empty.run("manage.py", "restore", str(file), **secret).startswith("Restored as of")
    assert empty.python(HOLDS) == used.python(HOLDS)

    again = empty.try_run("manage.py", "restore", str(file), **secret)
    assert (again.returncode, "This place is in use" in again.stderr) == (1, True)


@pytest.mark.parametrize("passphrase", ["", PASSPHRASE], ids=["open", "encrypted"])
def test_tablets_trust_a_van_restored_from_an_encrypted_one(used, empty, tmp_path, passphrase):
    """Its authority's key lets anybody pretend to be the van, so an open file does not hold it."""
    secret = {"BACKUP_PASSPHRASE": passphrase}
    authority = used.python(AUTHORITY.format(data=used.folder))
    used.run("manage.py", "backup", str(tmp_path / "kept"), **secret)
    (file,) = (tmp_path / "kept").iterdir()
    empty.run("manage.py", "restore", str(file), **secret)
    kept = empty.folder / "serving" / "van.local" / "authority.pem"
    assert kept.exists() is bool(passphrase)
    if passphrase:
        assert (kept.stat().st_mode & 0o077, kept.parent.stat().st_mode & 0o077) == (0, 0)
    same = empty.python(AUTHORITY.format(data=empty.folder)) == authority
    assert same is bool(passphrase)


def test_an_encrypted_one_opens_only_by_its_passphrase_and_shows_nothing(used, empty, tmp_path):
    used.run("manage.py", "backup", str(tmp_path / "kept"), BACKUP_PASSPHRASE=PASSPHRASE)
    (file,) = (tmp_path / "kept").iterdir()
    with tarfile.open(file) as archive:
        assert sorted(archive.getnames()) == [DATA, KEY]
        for name in (DATA, KEY):
            # The header that the age format begins with (age-encryption.org/v1).
            assert archive.extractfile(name).read(21) == b"age-encryption.org/v1"
    assert b"Ada Quist" not in file.read_bytes()

    for passphrase, why in (("", "passphrase is needed"), ("wrong", "does not open this backup")):
        done = empty.try_run("manage.py", "restore", str(file), BACKUP_PASSPHRASE=passphrase)
        assert (done.returncode, why in done.stderr) == (1, True), done.stderr
    assert not (empty.folder / "files").exists()


def test_a_damaged_file_is_refused_before_anything_is_written(used, empty, tmp_path):
    used.run("manage.py", "backup", str(tmp_path / "kept"))
    (file,) = (tmp_path / "kept").iterdir()
    whole = file.read_bytes()
    for damaged in (whole[: len(whole) // 2], b"", b"not a tar at all"):
        broken = tmp_path / "broken.tar.gz"
        broken.write_bytes(damaged)
        done = empty.try_run("manage.py", "restore", str(broken))
        assert (done.returncode, "cannot be read as a backup" in done.stderr) == (1, True)
    assert "Restored" in empty.run("manage.py", "restore", str(file))


def test_a_backup_of_a_newer_version_is_refused(used, empty, tmp_path):
    used.run("manage.py", "shell", "-v", "0", "-c", OF_TOMORROW.format(how="applied"))
    used.run("manage.py", "backup", str(tmp_path / "kept"))
    used.run("manage.py", "shell", "-v", "0", "-c", OF_TOMORROW.format(how="unapplied"))
    (file,) = (tmp_path / "kept").iterdir()
    done = empty.try_run("manage.py", "restore", str(file))
    assert (done.returncode, "made by a newer version" in done.stderr) == (1, True)
    assert "setups.9999_of_tomorrow" in done.stderr


def test_a_place_without_a_database_says_what_to_run(empty, tmp_path):
    done = empty.try_run("manage.py", "backup", str(tmp_path / "kept"))
    assert (done.returncode, "run manage.py setup first" in done.stderr) == (1, True)
    assert not (tmp_path / "kept").exists()


def test_a_folder_that_cannot_be_written_is_said_and_noted(used, tmp_path):
    (tmp_path / "a file").touch()
    done = used.try_run("manage.py", "backup", str(tmp_path / "a file" / "kept"))
    assert (done.returncode, "could not be written" in done.stderr) == (1, True)
    assert "could not be written" in used.python(FAULTS)[0]


def test_one_that_was_killed_in_the_middle_leaves_no_backup_and_is_cleared_away(used, tmp_path):
    kept = tmp_path / "kept"
    (kept / ".making-abc").mkdir(parents=True)
    (kept / ".making-abc" / "database.sqlite3").touch()
    yesterday = (kept / ".making-abc").stat().st_mtime - 2 * 86400
    os.utime(kept / ".making-abc", (yesterday, yesterday))
    used.run("manage.py", "backup", str(kept))
    assert [file.suffix for file in kept.iterdir()] == [".gz"]
