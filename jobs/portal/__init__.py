"""The customer's pages: history in sentences, wear and its cost, documents, download.

A customer sees only own bikes: which days, ``jobs.trackday.ownership`` says. ``entrance`` signs
them in, ``sharing`` is a day shown to somebody else by a link.
"""
