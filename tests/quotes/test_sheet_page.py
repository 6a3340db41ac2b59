"""The page that prints a build sheet: who may, once, the same again, or the next."""

import html
import re

import pytest

from quotes import pdf, store
from quotes.errors import QuoteError
from quotes.models import Paper
from quotes.services import Printed
from quotes.sheets.documents import Stamp, keep_printed, next_stamp
from shop import services
from shop.models import Knife, StageEvent
from tests.factories import moment
from tests.quotes.sheets import at_the_bench, found, needs_pango, sheet_for
from tests.shop.typing_in import key_on, text_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def knife():
    return at_the_bench()


def address(knife):
    return f"/knives/{knife.serial}/sheet/"


def send(client, knife, key=None):
    key = key or key_on(client.get(address(knife)))
    return client.post(address(knife), {"form_key": key})


# --- printing ---------------------------------------------------------------------


@needs_pango
def test_helper_prints_and_opens_the_paper(helper_client, knife, helper):
    answer = send(helper_client, knife)
    paper = Paper.objects.get()
    assert answer.status_code == 302
    assert answer.headers["Location"] == paper.get_absolute_url()
    assert (paper.kind, paper.media, paper.revision) == ("sheet", "pdf", 1)
    assert (paper.knife, paper.order, paper.by) == (knife, knife.order, helper)
    opened = helper_client.get(answer.headers["Location"])
    assert opened.headers["Content-Type"] == "application/pdf"
    assert opened.content == store.read(paper.sha256)
    assert opened.content.startswith(b"%PDF")


@needs_pango
def test_unchanged_sheet_is_the_same_paper_again(owner_client, knife):
    first, second = (send(owner_client, knife) for _time in range(2))
    assert first.headers["Location"] == second.headers["Location"]
    assert Paper.objects.count() == 1
    places = [one.headers["Location"] for one in (first, second)]
    assert len({owner_client.get(place).content for place in places}) == 1


@needs_pango
def test_changed_sheet_is_the_next_revision(owner_client, knife):
    send(owner_client, knife)
    Knife.objects.update(note="Left-handed cook.")
    assert "prints revision B, which voids it" in text_of(
        owner_client.get(address(knife))
    )
    send(owner_client, knife)
    revisions = Paper.objects.order_by("revision").values_list("revision", flat=True)
    assert list(revisions) == [1, 2]


@needs_pango
def test_moving_the_knife_on_keeps_the_revision(owner_client, knife, owner):
    send(owner_client, knife)
    services.move_knife(found(knife), "grind", gate_passed=True, by=owner, at=moment())
    send(owner_client, knife)
    assert Paper.objects.count() == 1


@needs_pango
def test_form_sent_twice_prints_once(owner_client, knife):
    key = key_on(owner_client.get(address(knife)))
    first = send(owner_client, knife, key)
    Knife.objects.update(note="Left-handed cook.")
    second = send(owner_client, knife, key)
    assert first.headers["Location"] == second.headers["Location"]
    assert Paper.objects.count() == 1


def test_form_without_a_key_prints_nothing(owner_client, knife):
    assert owner_client.post(address(knife)).status_code == 400
    assert not Paper.objects.exists()


def test_second_of_two_printers_is_told(knife):
    """Each made another sheet; whoever keeps first has the revision."""
    older, newer = sheet_for(knife).content, "0" * 64
    stamp, _paper = next_stamp(knife, older, moment())
    body = Printed(body=b"one", media="html")
    keep_printed(knife, newer, body, stamp, by=None)
    with pytest.raises(QuoteError, match="Someone else has just printed"):
        keep_printed(knife, older, body, stamp, by=None)
    assert Paper.objects.count() == 1


def test_two_printers_of_the_same_sheet_share_the_paper(knife):
    content = sheet_for(knife).content
    stamp = Stamp(revision=1, printed=moment())
    body = Printed(body=b"one", media="html")
    papers = {keep_printed(knife, content, body, stamp, by=None) for _time in range(2)}
    assert len(papers) == 1


def test_printing_is_no_move_of_the_knife(owner_client, knife):
    before = StageEvent.objects.count()
    send(owner_client, knife)
    assert StageEvent.objects.count() == before


def test_without_pango_a_page_is_kept(owner_client, knife, monkeypatch):
    def missing(*_args, **_kwargs):
        raise pdf.PdfUnavailable

    monkeypatch.setattr(pdf, "render", missing)
    monkeypatch.setattr(pdf, "available", lambda: False)
    assert "PDF needs the library Pango" in text_of(owner_client.get(address(knife)))
    opened = owner_client.get(send(owner_client, knife).headers["Location"])
    assert opened.headers["Content-Type"].startswith("text/html")
    assert "PDF needs the library Pango" in text_of(opened)


# --- the page ---------------------------------------------------------------------


def test_page_shows_the_sheet_before_it_is_printed(helper_client, knife):
    page = helper_client.get(address(knife))
    text = text_of(page)
    assert "Not printed yet." in text
    assert "Print build sheet" in text
    assert "Outside the band? Stop and plan again before the next weld." in text
    for drawing in (b'id="sheet-1-title"', b'id="bar-title"'):
        assert page.content.count(drawing) == 1
    assert not re.search(r"EUR|€", text)


def test_every_sheet_that_was_printed_can_be_opened(helper_client, knife):
    """A void one as well, and when the knife has left the bench."""
    body = Printed(body=b"one", media="html")
    for revision, content in ((1, "old"), (2, "new")):
        stamp = Stamp(revision=revision, printed=moment())
        keep_printed(knife, content, body, stamp, by=None)
    links = [paper.get_absolute_url() for paper in Paper.objects.all()]
    assert len(links) == 2
    for stage in ("forge", "delivered"):
        Knife.objects.update(stage=stage)
        page = helper_client.get(address(knife)).content.decode()
        assert all(f'href="{link}"' in page for link in links)


def test_page_has_one_heading_of_the_first_rank(helper_client, knife):
    page = helper_client.get(address(knife)).content.decode()
    assert page.count("<h1") == 1
    ids = re.findall(r'\sid="([^"]+)"', page)
    assert len(ids) == len(set(ids))


def test_lower_case_number_finds_the_knife(helper_client, knife):
    Knife.objects.update(serial="AB23")
    assert helper_client.get("/knives/ab23/sheet/").status_code == 200


def test_unknown_knife_is_not_found(helper_client):
    assert helper_client.get("/knives/ZZZZ/sheet/").status_code == 404


def test_stranger_is_asked_to_sign_in(client, knife):
    assert client.get(address(knife)).headers["Location"].startswith("/login/")


def test_number_of_queries_does_not_grow_with_the_billet(
    helper_client, knife, django_assert_max_num_queries
):
    for length in (0.15, 0.16, 0.17):
        other = at_the_bench(length=length)
        services.assign_plan(other, knife.target.plan)
    with django_assert_max_num_queries(24):
        helper_client.get(address(knife))


# --- no sheet ---------------------------------------------------------------------


def test_knife_without_a_billet_gets_a_sentence_and_the_way_out(helper_client, knife):
    services.assign_plan(knife, None)
    page = helper_client.get(address(knife))
    assert "comes out of no billet yet" in text_of(page)
    assert f"?knife={knife.serial}" in html.unescape(page.content.decode())
    assert "Print build sheet" not in text_of(page)
    answer = helper_client.post(address(knife), {"form_key": "k1"})
    assert answer.status_code == 409
    assert not Paper.objects.exists()


def test_knife_not_accepted_gets_a_sentence(helper_client, knife):
    Knife.objects.update(stage="")
    text = text_of(helper_client.get(address(knife)))
    assert "printed once the order is accepted" in text


def test_billet_that_cannot_be_forged_is_told_in_the_plans_words(helper_client, knife):
    knife.target.plan.steps.filter(kind="weld").update(temperature=1900.0)
    page = helper_client.get(address(knife))
    assert page.status_code == 200
    assert "starts to melt" in text_of(page)
    assert knife.target.plan.get_absolute_url() in page.content.decode()
