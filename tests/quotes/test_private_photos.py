"""Photos on the private page: those marked, of the link's order, and no others."""

import datetime as dt
import re

import pytest
from django.urls import reverse
from django.utils import timezone

from quotes.private import photos as private_photos
from quotes.private.photos import photos_shown
from shop import photos
from shop.models import Photo
from tests.factories import CustomerFactory, OrderFactory
from tests.quotes.orders import issue, ready_order, ready_shop, without_printer
from tests.quotes.privates import opened, quoted_order, visitor
from tests.shop.cameras import from_a_phone, kept_photo, parts_of
from tests.shop.typing_in import text_of

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def shop(monkeypatch):
    ready_shop()
    without_printer(monkeypatch)


@pytest.fixture
def order(owner_client):
    return quoted_order(owner_client)


def address(photo, size="small"):
    return reverse("private-photo", args=[photo.name, size])


def shown_photo(order, **more):
    return kept_photo(order.knives.get(), shown=True, **more)


def test_marked_photos_stand_on_the_page_newest_first(order):
    first = shown_photo(order, note="Etched, both sides")
    hidden = kept_photo(order.knives.get(), note="The flaw at the heel")
    second = shown_photo(order)
    customer, _link = opened(order)
    page = customer.get("/q/view/")
    body, text = page.content.decode(), text_of(page)
    assert "Etched, both sides" in text
    assert "The flaw" not in text
    places = [body.index(address(one)) for one in (second, first)]
    assert places == sorted(places)
    assert hidden.name not in body
    pictures = re.findall(r"<img [^>]+>", body)
    assert len(pictures) == 2
    for one in pictures:
        assert 'loading="lazy"' in one
        assert 'width="64" height="32"' in one
    assert 'alt="Etched, both sides"' in pictures[1]
    assert re.search(r'alt="Photo of Test knife, \d', pictures[0])
    assert address(first, "large") in body


def test_page_without_photos_says_nothing_of_them(order):
    customer, _link = opened(order)
    assert 'id="photos"' not in customer.get("/q/view/").content.decode()


def test_no_more_are_shown_than_a_page_can_bear(order, monkeypatch):
    monkeypatch.setattr(private_photos, "MOST_SHOWN", 2)
    kept = [shown_photo(order) for _time in range(3)]
    shown = photos_shown(order)
    assert [one.small for one in shown] == [address(kept[2]), address(kept[1])]


def test_picture_is_given_without_what_the_camera_told(order):
    photo = shown_photo(order, body=from_a_phone())
    customer, _link = opened(order)
    for size, kept in (("small", photo.small_sha256), ("large", photo.sha256)):
        answer = customer.get(address(photo, size))
        assert answer.content == (photos.folder() / kept).read_bytes()
        assert not {0xE1, 0xE2, 0xED, 0xFE} & set(parts_of(answer.content))
        wanted = {
            "Content-Type": "image/jpeg",
            "X-Content-Type-Options": "nosniff",
            "Content-Security-Policy": "sandbox; default-src 'none'",
            "X-Robots-Tag": "noindex, nofollow, noarchive",
            "Cache-Control": "private, no-cache",
        }
        assert {name: answer.headers.get(name) for name in wanted} == wanted
        name = answer.headers["Content-Disposition"]
        assert re.fullmatch(r'inline; filename="photo-[\w-]+\.jpg"', name, re.ASCII)


def test_browser_asks_again_and_is_told_it_may(order):
    photo = shown_photo(order)
    customer, link = opened(order)
    tag = customer.get(address(photo)).headers["ETag"]
    again = customer.get(address(photo), headers={"if-none-match": tag})
    assert again.status_code == 304
    link.revoked_at = timezone.now()
    link.save()
    ended = customer.get(address(photo), headers={"if-none-match": tag})
    assert ended.status_code == 410


def test_what_is_not_marked_or_not_theirs_is_not_given(owner_client, order):
    stranger = OrderFactory(customer=CustomerFactory(name="Ada", folded="ada"))
    ready_order(order=stranger)
    issue(owner_client, stranger)
    unmarked = kept_photo(order.knives.get())
    final = kept_photo(order.knives.get(), final=True)
    others = shown_photo(stranger)
    back = shown_photo(order)
    photos.take_back(back, by=None, at=timezone.now())
    customer, _link = opened(order)
    for photo in (unmarked, final, others, back):
        for size in ("small", "large"):
            answer = customer.get(address(photo, size))
            assert answer.status_code == 404
            assert "There is nothing at this address" in text_of(answer)
            assert answer.headers["X-Robots-Tag"] == "noindex, nofollow, noarchive"
    visited, _link = opened(stranger)
    assert visited.get(address(others)).status_code == 200


def test_no_picture_without_a_link_that_works(order, client):
    photo = shown_photo(order)
    assert visitor().get(address(photo)).status_code == 403
    customer, link = opened(order)
    assert customer.get(address(photo)).status_code == 200
    assert customer.post(address(photo)).status_code == 405
    assert customer.get(reverse("photo", args=[photo.name, "small"])).status_code == 302
    late = timezone.localdate() - dt.timedelta(days=400)
    order.quotes.get().order.links.update(expires_on=late)
    link.revoked_at = timezone.now()
    link.save()
    answer = customer.get(address(photo))
    assert answer.status_code == 410
    assert "no longer works" in text_of(answer)


def test_over_plain_http_none_is_given(order):
    photo = shown_photo(order)
    customer, _link = opened(order)
    answer = customer.get(address(photo), headers={"x-forwarded-for": "192.0.2.1"})
    assert answer.status_code == 403
    assert "encrypted" in text_of(answer)


def test_taken_off_the_page_it_is_gone_at_once(order):
    photo = shown_photo(order)
    customer, _link = opened(order)
    photos.mark(photo, shown=False, final=True)
    assert customer.get(address(photo)).status_code == 404
    assert photo.name not in customer.get("/q/view/").content.decode()


def test_damaged_picture_is_told(order):
    photo = shown_photo(order)
    customer, _link = opened(order)
    (photos.folder() / photo.small_sha256).unlink()
    answer = customer.get(address(photo))
    assert answer.status_code == 500
    assert "This photo cannot be read" in text_of(answer)


def test_page_with_as_many_photos_as_it_shows_stays_small(order):
    photo = shown_photo(
        order, note="Etched for the second time, both sides, in daylight"
    )
    for place in range(30):
        photo.pk, photo.name = None, f"{place:022d}"
        photo.save(force_insert=True)
    assert Photo.objects.count() == 31
    customer, _link = opened(order)
    body = customer.get("/q/view/").content
    assert body.count(b"<img") == 24
    assert len(body) < 45_000
