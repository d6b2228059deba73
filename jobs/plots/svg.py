"""SVG elements as text: escaped, with short numbers."""

from html import escape

CASED = {"view_box": "viewBox", "class_": "class"}
TEXT_SIZE = 12.0


def number(value: float) -> str:
    """A coordinate with at most two decimals: 3 -> "3", 2.504 -> "2.5"."""
    text = f"{float(value):.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def element(tag: str, *children: str, **attributes: str | float | None) -> str:
    """One element. ``None`` leaves an attribute out; ``text_anchor`` becomes text-anchor.

    >>> element("circle", class_="was", r=5.5)
    '<circle class="was" r="5.5"/>'
    """
    words = "".join(
        f' {CASED.get(name, name.replace("_", "-"))}="{_value(value)}"'
        for name, value in attributes.items()
        if value is not None
    )
    if not children:
        return f"<{tag}{words}/>"
    return f"<{tag}{words}>{''.join(children)}</{tag}>"


def _value(value: str | float) -> str:
    return escape(value) if isinstance(value, str) else number(value)


def text(words: str, *, x: float, y: float, anchor: str = "start", class_: str = "") -> str:
    """A piece of text, its baseline at ``y``."""
    return element(
        "text",
        escape(words, quote=False),
        x=x,
        y=y,
        text_anchor=None if anchor == "start" else anchor,
        class_=class_ or None,
    )


def path(*commands: str, class_: str) -> str:
    return element("path", d="".join(commands), class_=class_)


def polyline(points: list[tuple[float, float]], *, class_: str) -> str:
    """Straight pieces from point to point."""
    return path("M", "L".join(f"{number(x)} {number(y)}" for x, y in points), class_=class_)


def picture(*children: str, width: float, height: float, alt: str, class_: str) -> str:
    """The complete drawing. ``alt`` is its text alternative."""
    if not alt.strip():
        raise ValueError("a picture without a text alternative")
    return element(
        "svg",
        *children,
        class_=class_,
        view_box=f"0 0 {number(width)} {number(height)}",
        role="img",
        aria_label=alt,
        focusable="false",
    )


def text_width(words: str, size: float = TEXT_SIZE) -> float:
    """The approximate width of words in a system sans-serif font, rather too wide.

    0.58 em a character is the mean advance of Latin lower case with figures in the
    common sans-serif faces (from memory), rounded up.
    """
    return len(words) * size * 0.58
