"""Simulated riders, to measure how often the bands of the outlook hold the next ring.

``riders`` makes the truth and imports nothing of the outlook; ``seasons`` lets the outlook
forecast it and counts. ``python -m jobs.tuning outlook`` prints the figures.
"""
