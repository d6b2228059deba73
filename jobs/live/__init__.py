"""Tells browsers that a trackday has changed: server-sent events with its revision.

``services`` announces a revision, ``pump`` reads Redis or the database, ``hub`` knows who
listens in this process, ``stream`` is one open connection.
"""
