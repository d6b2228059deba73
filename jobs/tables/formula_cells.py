"""Texts that a spreadsheet would run as a formula, made harmless for people who open a CSV.

A spreadsheet takes a cell as a formula where it begins with one of these signs (OWASP, CSV
Injection). An apostrophe before it makes it text. A program that reads the file would take the
apostrophe as a letter of it, so what is written for programs stays as it was typed.
"""

SIGNS = ("=", "+", "-", "@", "\t", "\r", "\n")


def cell_for_people(value: object) -> object:
    """A text that is no formula; numbers stay numbers, below zero too.

    >>> cell_for_people("=2+5")
    "'=2+5"
    >>> cell_for_people("+49 170 1"), cell_for_people("Ada"), cell_for_people(-3)
    ("'+49 170 1", 'Ada', -3)
    """
    return f"'{value}" if isinstance(value, str) and value.startswith(SIGNS) else value
