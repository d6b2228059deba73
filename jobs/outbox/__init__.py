"""Deferred work: a row written in the transaction that asks for it, then done by a worker.

``services.job_enqueue`` asks for work, ``registry`` names its handlers, ``worker`` does one row
at a time with a lease, and counts its tries. With Redis one message per row is sent into the
queue of its handler (``messages``, ``queues``); without it a thread does the work
(``embedded``). Mail is sent this way.
At each sweep the functions under ``registry.scheduled`` ask for what is due by the clock.
``signs`` keeps the last sign of life of each process.
"""
