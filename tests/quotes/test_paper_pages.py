"""Papers as they are given out: the very bytes, and to whom."""

import pytest
from django.utils import timezone

from quotes import services
from quotes.services import Printed
from tests.factories import OrderFactory
from tests.shop.typing_in import text_of

pytestmark = pytest.mark.django_db

PDF = b"%PDF-1.7 not really"


def kept(kind="quote", body=PDF, media="pdf"):
    order = OrderFactory(knives=1)
    printed = Printed(body=body, media=media)
    if kind == "sheet":
        return services.keep_sheet(
            order.knives.get(), "content", printed, 2, by=None, at=timezone.now()
        )
    return services._paper(
        printed, order=order, kind="quote", revision=3, by=None, made_at=timezone.now()
    )


def test_pdf_is_given_as_it_was_kept(owner_client):
    paper = kept()
    answer = owner_client.get(paper.get_absolute_url())
    assert answer.content == PDF
    assert answer["Content-Type"] == "application/pdf"
    assert answer["X-Content-Type-Options"] == "nosniff"
    assert answer["Cache-Control"] == "no-store"
    name = f"quote-{paper.order.number}-r3.pdf"
    assert answer["Content-Disposition"] == f'inline; filename="{name}"'


def test_pdf_may_load_nothing(owner_client):
    policy = owner_client.get(kept().get_absolute_url())["Content-Security-Policy"]
    assert policy == "sandbox; default-src 'none'; frame-ancestors 'none'"


def test_page_to_print_may_load_its_style_sheet_only(owner_client):
    paper = kept(body="<h1>Prüfung</h1>".encode(), media="html")
    answer = owner_client.get(paper.get_absolute_url())
    assert answer["Content-Type"] == "text/html; charset=utf-8"
    policy = answer["Content-Security-Policy"]
    assert "default-src 'none'; style-src 'self'" in policy
    assert "script" not in policy
    assert answer["Content-Disposition"].endswith('.html"')


def test_quote_does_not_exist_for_a_helper(helper_client):
    assert helper_client.get(kept().get_absolute_url()).status_code == 404


def test_build_sheet_is_for_the_whole_shop(helper_client):
    paper = kept("sheet")
    answer = helper_client.get(paper.get_absolute_url())
    assert answer.content == PDF
    name = f"sheet-{paper.knife.serial}-r2.pdf"
    assert answer["Content-Disposition"] == f'inline; filename="{name}"'


def test_stranger_is_asked_to_sign_in(client):
    assert client.get(kept("sheet").get_absolute_url()).url.startswith("/login/")


def test_paper_that_is_not_there_is_not_found(owner_client):
    assert owner_client.get("/papers/4711/").status_code == 404


@pytest.mark.parametrize("damage", [b"oily fingers", None])
def test_damaged_paper_is_never_given_out(owner_client, settings, damage):
    paper = kept()
    file = settings.PAPER_DIR / paper.sha256
    file.unlink() if damage is None else file.write_bytes(damage)
    answer = owner_client.get(paper.get_absolute_url())
    assert answer.status_code == 500
    assert "This paper is damaged" in text_of(answer)
    assert paper.sha256 in text_of(answer)
    assert b"oily" not in answer.content


def test_paper_takes_no_post(owner_client):
    assert owner_client.post(kept().get_absolute_url()).status_code == 405
