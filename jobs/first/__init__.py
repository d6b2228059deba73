"""The beginning of a place: while there is no tuner, every page leads here.

``gate`` asks for the one-time code and lets one browser in (see ``jobs/people/setup_code.py``).
"""
