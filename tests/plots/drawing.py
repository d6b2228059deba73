"""Reading a drawn SVG back, as a browser would."""

from xml.etree import ElementTree


def read(svg: str) -> ElementTree.Element:
    root = ElementTree.fromstring(svg)
    assert root.tag == "svg"
    assert root.get("role") == "img"
    for one in root.iter():
        assert "style" not in one.attrib
    return root


def of_class(root: ElementTree.Element, name: str) -> list[ElementTree.Element]:
    return [one for one in root.iter() if name in (one.get("class") or "").split()]


def words(root: ElementTree.Element) -> list[str]:
    return [one.text or "" for one in root.iter("text")]
