"""Nothing a person types makes a paper fetch, embed or attach anything."""

import http.server
import io
import threading

import pytest
from django.utils import timezone

from quotes import documents, pdf
from quotes.offer.sentences import Dates
from quotes.pricing import price_order
from quotes.texts import TEXTS
from shop.models import Shop
from tests.factories import CustomerFactory, OrderFactory
from tests.quotes.orders import own_text, ready_order, ready_shop

pytestmark = [
    pytest.mark.django_db,
    pytest.mark.skipif(not pdf.available(), reason="PDF needs Pango"),
]

SECRET = "quenchedinmilk"

VECTORS = {
    "link attachment": '<link rel=attachment href="{file}">',
    "a attachment": '<a rel=attachment href="{file}">x</a>',
    "img file": '<img src="{file}">',
    "img http": '<img src="{http}">',
    "css import": '<style>@import url("{http}");</style>',
    "css background": '<p style="background:url({http})">x</p>',
    "svg image": '<svg><image href="{http}" width="9" height="9"/></svg>',
    "font face": "<style>@font-face{{font-family:f;src:url({http})}}*{{font-family:f}}"
    "</style>",
    "object": '<object data="{file}"></object>',
    "embed": '<embed src="{http}">',
    "base": '<base href="{http}"><img src="a.png">',
}
"""The ways by which user text has made a printer of pages fetch things."""


@pytest.fixture
def listener():
    """A server on this machine that notes what is asked of it."""
    asked = []

    class Handler(http.server.BaseHTTPRequestHandler):
        def do_GET(self):
            asked.append(self.path)
            self.send_response(404)
            self.end_headers()

        def log_message(self, *_args):
            pass

    with http.server.ThreadingHTTPServer(("127.0.0.1", 0), Handler) as server:
        thread = threading.Thread(target=server.serve_forever)
        thread.start()
        yield f"http://127.0.0.1:{server.server_port}/x", asked
        server.shutdown()
        thread.join()


@pytest.fixture
def secret(tmp_path):
    file = tmp_path / "secret.txt"
    file.write_text(SECRET)
    return file.as_uri()


def read(body):
    from pypdf import PdfReader

    return PdfReader(io.BytesIO(body))


def assert_harmless(body, asked):
    reader = read(body)
    plain = b""
    for number in range(1, reader.trailer["/Size"]):
        found = reader.get_object(number)
        plain += (
            found.get_data() if hasattr(found, "get_data") else repr(found).encode()
        )
    assert asked == []
    assert not list(reader.attachments)
    assert SECRET.encode() not in plain
    assert not any(page.images for page in reader.pages)


@pytest.mark.parametrize("vector", list(VECTORS))
def test_what_a_person_types_is_printed_as_typed(vector, listener, secret):
    ready_shop()
    http_url, asked = listener
    attack = VECTORS[vector].format(file=secret, http=http_url)
    Shop.objects.filter(pk=1).update(address=attack, owner=attack[:80])
    for key in TEXTS:
        own_text(key, attack)
    customer = CustomerFactory(name=attack[:80], address=attack)
    order = OrderFactory(customer=customer, wish=attack)
    ready_order(attack[:60], order=order, finish=attack[:80])
    priced = price_order(order, timezone.localdate())
    dates = Dates(issued_at=timezone.now(), valid_until=timezone.localdate())
    paper = documents.quote_paper(priced, Shop.current(), 1, dates)
    body = documents.quote_pdf(paper)
    assert_harmless(body, asked)
    said = "".join(page.extract_text() for page in read(body).pages)
    assert attack[:5] in said


@pytest.mark.parametrize("vector", list(VECTORS))
def test_even_unescaped_nothing_is_fetched(vector, listener, secret):
    """The second lock: the fetcher itself, should a template ever fail to escape."""
    http_url, asked = listener
    attack = VECTORS[vector].format(file=secret, http=http_url)
    body = pdf.render(f"<!doctype html><title>x</title>{attack}", documents.STYLES)
    assert_harmless(body, asked)


def test_listener_would_have_heard(listener):
    """The trap itself works."""
    import urllib.error
    import urllib.request

    http_url, asked = listener
    with pytest.raises(urllib.error.HTTPError):
        urllib.request.urlopen(http_url)
    assert asked == ["/x"]


def test_no_paper_template_trusts_what_was_typed(settings):
    for path in (settings.BASE_DIR / "templates" / "pdf").glob("*.html"):
        text = path.read_text("utf-8")
        assert "|safe" not in text.replace(" ", "")
        assert "autoescape off" not in text
