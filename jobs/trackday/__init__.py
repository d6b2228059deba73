"""Venues, trackdays, run groups, sessions, entries, conditions, and the clock.

Planned times never change. ``selectors.trackday_times`` gives the expected times of a day from
planned times, delays, lunch and flags (``clock``). ``where`` says where each bike is.
``ownership`` says which days a customer sees of bikes that were sold, ``sharing`` keeps the links
by which they show one.
``services`` are called by acts and end with the revision of the day; ``office`` by the desk.
"""
