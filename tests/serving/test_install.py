"""The page over http from which a tablet installs the authority."""

import io
import ssl
from datetime import UTC, datetime
from html import unescape
from wsgiref.util import setup_testing_defaults

import pytest
from cryptography import x509

from jobs.serving import authority
from jobs.serving.install import CERTIFICATE, InstallPage
from jobs.serving.names import van_of
from jobs.serving.upkeep import Upkeep

HERE = "http://192.168.8.2:8081/"


@pytest.fixture
def identity(tmp_path):
    return authority.identity_of(van_of("van"), home=tmp_path)


@pytest.fixture
def ask(identity):
    page = InstallPage(identity, here=HERE, site="https://van.local:8443/")

    def asked(path, method="GET", host="van.local"):
        environ = {"PATH_INFO": path, "REQUEST_METHOD": method, "HTTP_HOST": host}
        setup_testing_defaults(environ)
        said = {}

        def start(status, headers):
            said["status"], said["headers"] = int(status[:3]), dict(headers)

        body = b"".join(page(environ, start))
        return said["status"], said["headers"], body

    return asked


def test_it_gives_the_authority_as_tablets_install_it(identity, ask):
    status, headers, body = ask(CERTIFICATE)
    assert (status, headers["Content-Type"]) == (200, "application/x-x509-ca-cert")
    assert x509.load_der_x509_certificate(body) == identity.authority


def test_nothing_else_is_there_least_of_all_a_key(tmp_path, ask):
    for path in ("/authority.pem", "/server.pem", "/../authority.pem", "//authority.pem", "/desk/"):
        assert ask(path)[0] == 404
    assert ask("/", method="POST")[0] == 404
    key = authority._loaded(tmp_path / "van.local" / "authority.pem")[1]
    secret = key.private_numbers().private_value.to_bytes(32, "big")
    for path in ("/", "/install.css", "/install.svg", CERTIFICATE):
        body = ask(path)[2]
        assert b"PRIVATE" not in body
        assert secret not in body


def test_the_page_says_where_to_go_and_how_to_know_it_is_the_right_one(identity, ask):
    _status, _headers, body = ask("/", host="evil.example")
    page = unescape(body.decode())
    assert 'href="https://van.local:8443/"' in page
    assert HERE in page
    assert identity.fingerprint in page
    assert "evil.example" not in page
    for platform in ("iPad", "Android", "Windows", "Mac", "Linux"):
        assert f"<h2>{platform}" in page


def test_the_code_leads_a_camera_to_this_page(ask):
    segno = pytest.importorskip("segno")
    zxingcpp = pytest.importorskip("zxingcpp")
    from PIL import Image

    shown = segno.make(HERE, error="m", micro=False)
    assert f'd="{_path(shown)}"'.encode() in ask("/install.svg")[2]
    file = io.BytesIO()
    shown.save(file, kind="png", scale=6, border=4)
    assert zxingcpp.read_barcode(Image.open(file)).text == HERE


def _path(code):
    svg = code.svg_inline(scale=6, border=4, dark="#000", light="#fff")
    return svg.rpartition('d="')[2].partition('"')[0]


def test_while_it_runs_the_certificate_is_renewed_before_it_ends(tmp_path, monkeypatch):
    """Who connects afterwards gets the new one, from the same server."""
    early = datetime.now(UTC) - authority.CERTIFICATE_LASTS + authority.RENEWED_BEFORE / 2
    old = authority.identity_of(van_of("van"), home=tmp_path, now=early)
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    context.load_cert_chain(old.server_file)
    upkeep = Upkeep(old, home=tmp_path, context=lambda: context, announcer=None)
    loaded = []
    monkeypatch.setattr(
        type(context), "load_cert_chain", lambda _self, file: loaded.append(file), raising=False
    )
    upkeep.look()
    upkeep.look()
    assert len(loaded) == 1
    assert not authority.is_due(upkeep.identity.server, datetime.now(UTC))
