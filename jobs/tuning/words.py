"""Sentences that are made here and translated elsewhere.

The arithmetic does not use Django, but people read its sentences. ``_`` marks a template for
makemessages and fills it in. The result is a string that keeps its template and values, so
that a surface can show it in another language.
"""


class Words(str):
    """A finished sentence that keeps its ``template`` and ``values``.

    >>> text = Words("{minutes} min old, reads low", minutes=4)
    >>> text, text.template
    ('4 min old, reads low', '{minutes} min old, reads low')
    """

    template: str
    values: dict[str, object]

    def __new__(cls, template: str, **values: object) -> "Words":
        words = super().__new__(cls, template.format(**values) if values else template)
        words.template = template
        words.values = values
        return words


_ = Words
