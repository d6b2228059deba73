"""Bikes, model sheets, adjusters, parts and gauges. Positions are in the setup book.

``words`` gives a position in words that cannot be misread: value, unit, origin, leg.
``figures`` lists the figures of a chassis, ``chassis`` gives them to ``jobs.tuning``.
``sheet_files`` is the open file format of model sheets. ``ownership`` tells whose a sold bike
was, and when. ``services`` are called by acts with an id of their own, ``office`` by the desk.
"""
