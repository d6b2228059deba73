"""HTML as a test looks for a piece of it, however its template is broken into lines."""

import re


def one_line(html: str) -> str:
    """The HTML on one line: no whitespace beside a tag, one space elsewhere.

    >>> one_line('<label>\\n  <input\\n    name="a"\\n    checked\\n  >\\n  Yes\\n</label>')
    '<label><input name="a" checked>Yes</label>'
    """
    spaced = re.sub(r"[ \t\n\r]+", " ", html)  # not the no-break space: it is text
    return re.sub(r" (?=[<>])|(?<=>) ", "", spaced)
