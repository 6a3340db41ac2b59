"""Photos that go with a message: ticked, attached, kept with it, and how many."""

import itertools

import pytest
from django.core import mail as outbox
from django.utils import timezone

from quotes.mails import pictures
from quotes.models import Mail
from shop import kept_files, photos
from shop.models import Photo
from tests.factories import OrderFactory
from tests.quotes.mailing import begun, post, proposal, send  # noqa: F401
from tests.quotes.orders import address
from tests.shop.cameras import jpeg, opened
from tests.shop.typing_in import errors_on, text_of

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("post")]
COUNT = itertools.count()


@pytest.fixture
def order():
    order = OrderFactory(knives=1, customer__email="tilda@grauwacke.example")
    order.agreed = 0  # so that nothing is open of it
    order.save()
    return order


def marked(order, *, body=None, **marks):
    """A photo as it is kept, without the picture being worked on."""
    body = body or jpeg((64 + next(COUNT), 32))
    sha256 = kept_files.keep(photos.folder(), body)
    return Photo.objects.create(
        knife=order.knives.first(), name=f"{next(COUNT):022d}", sha256=sha256,
        small_sha256=sha256, width=64, height=32, at=timezone.now(), **marks,
    )  # fmt: skip


def offered(client, order, kind="balance"):
    page = client.get(address("mail-new", order, kind))
    field = page.context["form"].fields.get("photos")
    ticked = page.context["form"].initial["photos"]
    return [int(key) for key, _label in field.choices] if field else [], ticked


def test_photos_meant_for_the_customer_are_offered_and_the_final_ones_ticked(
    owner_client, order
):
    shown = marked(order, shown=True)
    final = marked(order, final=True)
    marked(order)
    marked(order, shown=True, final=True, taken_back=timezone.now())
    marked(OrderFactory(knives=1), shown=True, final=True)
    assert offered(owner_client, order) == ([final.pk, shown.pk], [final.pk])
    assert offered(owner_client, order, "progress") == ([final.pk, shown.pk], [])
    assert offered(owner_client, order, "quote") == ([], [])
    page = owner_client.get(address("mail-new", order, "balance"))
    assert f"/knives/photo/{final.name}/small/" in page.content.decode()


def test_text_speaks_of_photographs_only_where_there_are_some(order):
    assert "photographs" not in proposal(order, "balance").body
    marked(order, final=True)
    assert "Its last photographs are attached." in proposal(order, "balance").body


def test_ticked_photos_are_attached_and_kept(owner_client, order):
    marked(order, shown=True)
    second = marked(order, shown=True, final=True)
    send(owner_client, order, "balance")
    (message,) = outbox.outbox
    (attached,) = message.attachments
    assert attached.filename == photos.file_name(second, "large")
    assert attached.mimetype == "image/jpeg"
    assert attached.content == photos.read_large(second)
    assert opened(attached.content).format == "JPEG"
    assert list(Mail.objects.get().photos.all()) == [second]
    page = owner_client.get(address("mail-new", order, "balance"))
    assert "1 photo" in text_of(page)


def test_message_that_failed_ticks_its_photos_again(owner_client, order, settings):
    first, _second = marked(order, shown=True), marked(order, shown=True, final=True)
    answer = send(owner_client, order, "balance", photos=[str(first.pk)])
    Mail.objects.update(state="failed")
    page = owner_client.get(answer.url)
    assert page.context["form"].initial["photos"] == [first.pk]


def test_no_more_than_ten_photos(owner_client, order):
    keys = [str(marked(order, shown=True).pk) for _one in range(11)]
    page = send(owner_client, order, "balance", photos=keys)
    assert "11 photos are ticked; a message takes 10" in errors_on(page, "photos")
    assert (outbox.outbox, Mail.objects.count()) == ([], 0)
    assert send(owner_client, order, "balance", photos=keys[:10]).status_code == 302
    assert len(outbox.outbox[0].attachments) == 10


def test_no_more_than_eight_megabytes(owner_client, order):
    most = pictures.MOST_BYTES
    assert most == 8_000_000
    keys = [
        str(marked(order, body=bytes([place]) * size, shown=True).pk)
        for place, size in enumerate((most - 2, 2, 3), start=1)
    ]
    page = send(owner_client, order, "balance", photos=[keys[0], keys[2]])
    assert "These photos have 9 megabytes; a message takes 8" in errors_on(
        page, "photos"
    )
    assert page.context["form"]["photos"].value() == [keys[0], keys[2]]
    assert send(owner_client, order, "balance", photos=keys[:2]).status_code == 302


@pytest.mark.parametrize("odd", ["0", "x", "9" * 40])
def test_photo_of_nobody_is_refused(owner_client, order, odd):
    marked(order, shown=True)
    page = send(owner_client, order, "balance", photos=[odd])
    assert "Choose one of the list." in errors_on(page, "photos")


def test_photo_of_another_order_or_not_shown_is_refused(owner_client, order):
    marked(order, shown=True)
    for foreign in (marked(OrderFactory(knives=1), shown=True), marked(order)):
        page = send(owner_client, order, "balance", photos=[str(foreign.pk)])
        assert "Choose one of the list." in errors_on(page, "photos")
    assert outbox.outbox == []


def test_photo_whose_file_is_lost_is_told_before_sending(owner_client, order):
    photo = marked(order, final=True)
    (photos.folder() / photo.sha256).write_bytes(b"other")
    page = send(owner_client, order, "balance")
    assert "missing or damaged: untick it" in errors_on(page, "photos")
    assert send(owner_client, order, "balance", photos=[]).status_code == 302


def test_photos_cost_no_question_more_a_message(
    owner_client, django_assert_max_num_queries
):
    order = OrderFactory(knives=2, customer__email="tilda@grauwacke.example")
    order.agreed = 0
    order.save()
    for _one in range(6):
        marked(order, shown=True, final=True)
    for _message in range(3):
        send(owner_client, order, "balance")
    with django_assert_max_num_queries(40):
        owner_client.get(address("mail-new", order, "balance"))


def test_without_a_server_the_pictures_can_be_saved(owner_client, order, settings):
    settings.EMAIL_HOST = ""
    photo = marked(order, final=True)
    page = owner_client.get(address("mail-new", order, "balance")).content.decode()
    assert "Pictures to save and to attach" in page
    assert f"/knives/photo/{photo.name}/large/" in page
    data = {**begun(owner_client, order, "balance"), "copied": "1"}
    owner_client.post(address("mail-new", order, "balance"), data)
    assert list(Mail.objects.get().photos.all()) == [photo]
