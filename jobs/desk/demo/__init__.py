"""An invented trackday, entered through the same services and acts that people use.

house    the business, its crew, sheets, packages, checklists and prices
day      the trackday: both files, through the import of the desk
player    the day's clock, and people doing acts on it
earlier  short days before it, from their file: what the evidence counts
routine  the round of a day: arrivals, hot reads, pre-grid checks, hand-over
story    what happened to single bikes
play     all of it up to a moment
"""
