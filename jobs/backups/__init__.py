"""Backups of the whole place: database, photos and documents, and the secret key.

A backup is one file, made while the program runs and tried by restoring it into a scratch
place before it counts. Without a passphrase it is ``paddock-<time>.tar.gz``, and holds

    manifest.json       when and by which version; rows and SHA-256 of each table and file
    database.sqlite3    or ``database.dump`` (pg_dump, custom format)
    files/...           everything under ``MEDIA_ROOT``
    secret-key          signs sessions and links

With a passphrase it is ``paddock-<time>.tar`` and holds two files of the open age format
(age-encryption.org/v1): ``key.age``, an identity locked by the passphrase, and
``data.tar.gz.age``, the archive above, locked for that identity. The program is not needed
to open it: ``age -d key.age > key; age -d -i key data.tar.gz.age | tar xz``.

``making`` writes and tries a backup, ``restoring`` brings one back into an empty place,
``database`` knows the two databases, ``archive`` the file's form, ``rotation`` which old
ones are removed. Other tools carry the folder elsewhere.
"""
