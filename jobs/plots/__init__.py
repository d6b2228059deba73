"""Numbers in, SVG out. No Django, no trade, no words of its own.

Every picture is a string of inline SVG that follows the page's theme by classes and
``currentColor``, carries its text alternative, and needs neither style nor script, so
it works in a page, with no signal, and in a PDF. The words come from the caller, who
translates them. Sizes are SVG user units: at its natural width one unit is one pixel.
"""
