"""A drawing for black and white paper: WeasyPrint gives a drawing only the styles inside it."""

STYLE = """
path { fill: none; }
text { font-family: sans-serif; font-size: 12px; fill: #000; }
.grid { stroke: #bbb; stroke-width: 1; }
.axis { stroke: #000; stroke-width: 1.2; }
.line { stroke: #000; stroke-width: 2; }
.line.s1 { stroke-dasharray: 7 3; }
.line.s2 { stroke-dasharray: 2 3; }
.lead { stroke: #000; stroke-width: 0.8; }
.dot { fill: #000; }
.name, .last, .panel-name { font-weight: bold; }
"""


def on_paper(svg: str) -> str:
    """The same drawing with its styles inside, in black and greys.

    >>> on_paper('<svg viewBox="0 0 1 1"><path d="M0 0"/></svg>').startswith('<svg viewBox')
    True
    """
    head, end, rest = svg.partition(">")
    return f"{head}{end}<style>{STYLE}</style>{rest}"
