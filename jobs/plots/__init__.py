"""SVG pictures from numbers, without Django and without words of its own.

Every picture is a string of inline SVG. Classes and ``currentColor`` make it follow the theme
of the page. It has a text alternative and needs neither style nor script, so it works in a
page, without network, and in a PDF. The caller gives the words and translates them. Sizes are
SVG user units: at its natural width one unit is one pixel.

``ruler``: the clicks of an adjuster. ``strip``: the timetable of a day. ``lines``, ``steps``,
``multiples``: plots. ``places``: where something was seen. ``share``: a proportion.
"""
