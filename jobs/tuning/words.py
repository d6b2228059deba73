"""Sentences made here, translated elsewhere.

The arithmetic knows no Django, yet what it says is read by people. ``_`` marks a
template for makemessages and fills it in; the result is an ordinary string that still
knows its template and values, so that a surface can say it in another language.
"""


class Words(str):
    """A finished sentence that remembers its ``template`` and ``values``.

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
