"""Names by which the rest of the room is found."""

MAKE = "backups.make"  # the handler of deferred work that makes one
