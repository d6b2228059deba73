"""Advice on a bike: the knowledge of ``jobs.tuning`` applied to the setup book.

``models`` and ``services`` keep what people decided about advice: suggestions overruled,
questions answered, bikes settled, findings of the business's own. ``selectors`` read a bike
from the book for the reasoning, judge whether it is settled or reopened, and count how often
an expectation was seen.
"""
