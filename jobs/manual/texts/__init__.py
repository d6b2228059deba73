"""The words of the manuals, one module a manual.

What stands in “…” is read on the screen in just these words (``tests/manual/test_words.py``).
"""
