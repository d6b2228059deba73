"""What the clock asks for: a look whether the database is damaged."""

from jobs.outbox.registry import scheduled

from . import damage

scheduled(damage.look)
