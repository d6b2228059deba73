"""A form as a browser would send it: what its fields hold, with one button pressed."""

from lxml import html


def filled(page: bytes) -> dict[str, list[str]]:
    """Every field of the form that a browser posts, with its values in order; no CSRF token."""
    (form,) = html.fromstring(page.decode()).xpath("//form[@class='form finding']")
    found: dict[str, list[str]] = {}
    for field in form.xpath(".//input | .//select | .//textarea"):
        for value in _values(field):
            found.setdefault(field.get("name"), []).append(value)
    del found["csrfmiddlewaretoken"]
    return found


def _values(field: html.HtmlElement) -> list[str]:
    if field.tag == "select":
        options = field.xpath(".//option")
        chosen = [option for option in options if option.get("selected") is not None]
        return [(chosen or options)[0].get("value")]
    if field.tag == "textarea":
        return [(field.text or "").removeprefix("\n").replace("\n", "\r\n")]
    if field.get("type") == "checkbox":
        return [field.get("value", "on")] if field.get("checked") is not None else []
    return [field.get("value", "")]
