"""PDFs: text that can be read back, our own stylesheets, and nothing fetched from outside."""

import io
import sys

import pytest
from PIL import Image, ImageFile
from pypdf import PdfReader

from jobs.paper.documents import PaperError, pdf_make

pytestmark = pytest.mark.pdf


def text_of(pdf: bytes) -> str:
    return "\n".join(page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages)


def png() -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (4, 4), "teal").save(out, "PNG")
    return out.getvalue()


def test_what_is_written_can_be_read_back():
    pdf = pdf_make(html="<h1>Invoice 2026-0001</h1><p>Rebound 12 clicks, hot — 6 softer</p>")
    assert "Invoice 2026-0001" in text_of(pdf)
    assert "6 softer" in text_of(pdf)


def test_a_stylesheet_of_ours_is_used(tmp_path, settings):
    (tmp_path / "landscape.css").write_text("@page { size: A4 landscape }")
    settings.STATICFILES_DIRS = [tmp_path]
    page = PdfReader(io.BytesIO(pdf_make(html="<p>x", stylesheets=("landscape.css",)))).pages[0]
    # ISO 216: A4 is 210 mm x 297 mm, here lying; a PDF point is 1/72 inch (ISO 32000-1).
    assert float(page.mediabox.width) == pytest.approx(297 / 25.4 * 72, abs=0.1)


def test_a_stylesheet_that_is_not_there_is_named():
    with pytest.raises(PaperError, match=r"no stylesheet nowhere\.css"):
        pdf_make(html="<p>x", stylesheets=("nowhere.css",))


def test_an_attached_image_is_set():
    pdf = pdf_make(html='<img src="image:fork">', images={"fork": png()})
    assert len(PdfReader(io.BytesIO(pdf)).pages[0].images) == 1


@pytest.mark.parametrize(
    "html",
    [
        '<img src="http://127.0.0.1:1/x.png">',
        '<img src="file:///etc/hostname">',
        '<img src="image:nobody">',
        '<link rel="stylesheet" href="https://elsewhere.example/x.css">',
    ],
)
def test_nothing_is_fetched_from_outside(html):
    with pytest.raises(PaperError, match="from outside"):
        pdf_make(html=html)


def test_making_a_pdf_leaves_pillow_strict_about_damaged_pictures():
    pdf_make(html="<p>x</p>")
    assert ImageFile.LOAD_TRUNCATED_IMAGES is False


class NoPango:
    """Makes ``import weasyprint`` fail as it does where the library is not installed."""

    def find_spec(self, name, path=None, target=None):
        if name == "weasyprint":
            raise OSError("cannot load library 'libpango-1.0-0'")


def test_without_pango_the_package_is_named(monkeypatch):
    monkeypatch.delitem(sys.modules, "weasyprint", raising=False)
    monkeypatch.setattr(sys, "meta_path", [NoPango(), *sys.meta_path])
    with pytest.raises(PaperError, match="apt-get install libpango"):
        pdf_make(html="<p>x")
