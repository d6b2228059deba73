"""Photos, and the zip of tables that is given away.

A photo is re-encoded without metadata and served only through a view that has checked who may
see it. ``archive`` writes rows as a Data Package of CSV tables.
"""
