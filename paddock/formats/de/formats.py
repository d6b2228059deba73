"""German: each format of a template or of ``date_format``, and what stands for it.

Django looks up the name of a format here before it takes it as the format itself.
A number has a point in every language: fields, drawings and tables for programs read it.
"""

FORMATS = {
    "j F Y": "j. F Y",
    "j F": "j. F",
    "j F Y, H:i": "j. F Y, H:i",
    "j M Y": "j. M Y",
    "j M y": "j. M y",
    "j M Y H:i": "j. M Y H:i",
    "j M Y, H:i": "j. M Y, H:i",
    "j M Y, H:i:s": "j. M Y, H:i:s",
    "l j F Y": "l, j. F Y",
    "l j F": "l, j. F",
    "l j M": "l, j. M",
}
globals().update(FORMATS)

DECIMAL_SEPARATOR = "."
THOUSAND_SEPARATOR = ""
