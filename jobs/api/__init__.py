"""The API for machines: the services and selectors of the other rooms as JSON.

Times are UTC with their offset, positions are text. The schema is made by drf-spectacular.
Who may open which view is in ``jobs.people.access``.
"""
