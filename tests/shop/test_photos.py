"""Photos of a knife: added by everybody, marked by the owner, taken back."""

import re

import pytest
from django.test import Client
from django.urls import reverse

from billets.models import SubmittedForm
from shop import photos
from shop.kept_files import DamagedFileError
from shop.models import Photo
from tests.factories import KnifeFactory, OrderFactory
from tests.shop.cameras import file_of, jpeg, kept_photo, opened, sent, two_halves
from tests.shop.typing_in import errors_on, key_on, text_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def knife():
    order = OrderFactory(knives=1, accepted=True)
    return order.knives.get()


def page_of(knife):
    return reverse("photos", args=[knife.serial])


def send(client, knife, *bodies, note="", key=None):
    """Send pictures as from a page just opened."""
    key = key or key_on(client.get(page_of(knife)))
    files = [sent(body, f"IMG_{place}.JPG") for place, body in enumerate(bodies, 1)]
    data = {"form_key": key, "note": note, "pictures": files}
    return client.post(page_of(knife), data)


def address(photo, size="small"):
    return reverse("photo", args=[photo.name, size])


def on_disk():
    folder = photos.folder()
    return {one.name for one in folder.iterdir()} if folder.exists() else set()


def named():
    rows = Photo.objects.filter(taken_back=None).values_list("sha256", "small_sha256")
    return {name for row in rows for name in row}


# --- adding -------------------------------------------------------------------------


def test_helper_adds_pictures_with_a_note(helper_client, helper, knife):
    answer = send(helper_client, knife, jpeg(), jpeg((48, 48)), note="Flaw hunt")
    assert answer.url == page_of(knife)
    assert "2 photos are kept." in text_of(helper_client.get(answer.url))
    newest, first = photos.kept_of(knife)
    assert (newest.width, newest.height, first.width) == (48, 48, 64)
    for one in (newest, first):
        assert (one.by, one.stage, one.note) == (helper, "forge", "Flaw hunt")
        assert (one.shown, one.final) == (False, False)
        assert re.fullmatch(r"[\w-]{22}", one.name, re.ASCII)
    assert on_disk() == named()


def test_photos_begin_at_the_knife_s_page(helper_client, knife):
    page = helper_client.get(knife.get_absolute_url()).content.decode()
    assert f'href="{page_of(knife)}"' in page
    assert "None yet" in text_of(helper_client.get(page_of(knife)))


def test_one_bad_file_keeps_none_and_the_note_stays(owner_client, knife):
    good = [jpeg((32 + place, 32)) for place in range(5)]
    answer = send(owner_client, knife, *good, b"<svg/>", note="Etched")
    said = errors_on(answer, "pictures")
    assert "“IMG_6.JPG” cannot be read as a JPEG, PNG or WebP picture." in said
    assert "None was kept: choose the good ones again." in said
    assert said.count("IMG_") == 1
    page = answer.content.decode()
    assert 'value="Etched"' in page
    assert "<title>Error:" in page
    assert not Photo.objects.exists()
    assert on_disk() == set()


def test_every_bad_file_is_named_at_once(owner_client, knife):
    answer = send(owner_client, knife, b"", b"<svg/>")
    said = errors_on(answer, "pictures")
    assert "“IMG_1.JPG” arrived empty." in said
    assert "“IMG_2.JPG” cannot be read" in said
    assert "None was kept" not in said


def test_no_picture_and_a_long_note_are_told(owner_client, knife):
    answer = send(owner_client, knife, note="x" * 201)
    assert errors_on(answer, "pictures") == "Choose one picture or more."
    assert "at most 200 signs" in errors_on(answer, "note")
    assert f'value="{"x" * 201}"' in answer.content.decode()


def test_sent_twice_is_kept_once_and_read_once(owner_client, knife, monkeypatch):
    key = key_on(owner_client.get(page_of(knife)))
    send(owner_client, knife, jpeg(), key=key)
    monkeypatch.setattr("shop.forms.photos.read_pictures", None)
    assert send(owner_client, knife, jpeg(), key=key).url == page_of(knife)
    assert Photo.objects.count() == 1


def test_other_pictures_under_the_same_key_are_told(owner_client, knife):
    key = key_on(owner_client.get(page_of(knife)))
    send(owner_client, knife, jpeg(), key=key)
    answer = send(owner_client, knife, jpeg((80, 80)), key=key)
    assert answer.status_code == 409
    assert Photo.objects.count() == 1
    assert on_disk() == named()


def test_sending_that_comes_to_nothing_leaves_no_file(owner_client, knife):
    data = {"pictures": [sent(jpeg())]}
    assert owner_client.post(page_of(knife), data).status_code == 400
    assert on_disk() == set()
    with pytest.raises(RuntimeError, match="disk"):
        _send_while_the_database_fails(owner_client, knife)
    assert not SubmittedForm.objects.exists()
    assert on_disk() == set()


def _send_while_the_database_fails(client, knife):
    def fail(*_args, **_values):
        raise RuntimeError("disk")

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("shop.photos.add", fail)
        send(client, knife, jpeg())


def test_number_of_queries_does_not_grow(
    owner_client, knife, django_assert_max_num_queries
):
    for many in (1, 12):
        for _time in range(many):
            kept_photo(knife)
        with django_assert_max_num_queries(8):
            owner_client.get(page_of(knife))


# --- marking ------------------------------------------------------------------------


def test_owner_marks_what_stood_on_the_page(owner_client, knife):
    first, second = kept_photo(knife), kept_photo(knife, shown=True)
    key = key_on(owner_client.get(page_of(knife)))
    later = kept_photo(knife, shown=True)
    elsewhere = kept_photo(KnifeFactory(order=knife.order))
    data = {
        "form_key": key, "seen": [first.name, second.name, elsewhere.name, "\x00"],
        "shown": [first.name, elsewhere.name], "final": [second.name],
    }  # fmt: skip
    owner_client.post(reverse("photos-marks", args=[knife.serial]), data)
    marks = {one.pk: (one.shown, one.final) for one in Photo.objects.all()}
    assert marks == {
        first.pk: (True, False), second.pk: (False, True), later.pk: (True, False),
        elsewhere.pk: (False, False),
    }  # fmt: skip
    page = owner_client.get(page_of(knife)).content.decode()
    assert f'name="shown" value="{first.name}" checked' in page


def test_helper_neither_sees_nor_sends_marks(helper_client, knife):
    photo = kept_photo(knife, note="Etched")
    page = helper_client.get(page_of(knife)).content.decode()
    assert 'name="shown"' not in page
    assert "Take back" not in page
    data = {"form_key": "k", "seen": [photo.name], "shown": [photo.name]}
    answer = helper_client.post(reverse("photos-marks", args=[knife.serial]), data)
    assert answer.status_code == 403
    photo.refresh_from_db()
    assert not photo.shown


def test_only_marked_photos_are_shown_newest_first(knife):
    other = KnifeFactory(order=knife.order)
    first = kept_photo(knife, shown=True)
    kept_photo(knife)
    second = kept_photo(other, shown=True)
    kept_photo(OrderFactory(knives=1).knives.get(), shown=True)
    assert list(photos.shown_to_customer(knife.order)) == [second, first]


# --- taking back --------------------------------------------------------------------


def take_back(client, photo, key="some-key"):
    return client.post(reverse("photo-back", args=[photo.name]), {"form_key": key})


@pytest.mark.parametrize("size", ["small", "large"])
def test_taken_back_is_read_by_nobody(
    owner_client, owner, knife, size, django_capture_on_commit_callbacks
):
    photo = kept_photo(knife, shown=True)
    with django_capture_on_commit_callbacks(execute=True):
        assert take_back(owner_client, photo).url == page_of(knife)
    assert owner_client.get(address(photo, size)).status_code == 404
    photo.refresh_from_db()
    assert photo.taken_back_by == owner
    with pytest.raises(DamagedFileError):
        getattr(photos, f"read_{size}")(photo)
    assert list(photos.shown_to_customer(knife.order)) == []
    assert on_disk() == set()


def test_file_stays_while_another_photo_names_it(
    owner_client, knife, django_capture_on_commit_callbacks
):
    one, same = kept_photo(knife), kept_photo(knife)
    with django_capture_on_commit_callbacks(execute=True):
        take_back(owner_client, one)
    assert owner_client.get(address(same)).status_code == 200
    assert owner_client.get(address(one)).status_code == 404
    with django_capture_on_commit_callbacks(execute=True):
        take_back(owner_client, same, key="other-key")
    assert on_disk() == set()


def test_helper_takes_back_their_own_only(helper_client, helper, owner, knife):
    own, others = kept_photo(knife, by=helper), kept_photo(knife, by=owner)
    page = helper_client.get(page_of(knife)).content.decode()
    assert reverse("photo-back", args=[own.name]) in page
    assert reverse("photo-back", args=[others.name]) not in page
    assert take_back(helper_client, own).status_code == 302
    assert take_back(helper_client, others, key="k").status_code == 403
    assert list(photos.kept_of(knife)) == [others]


def test_taken_back_twice_and_marked_afterwards_changes_nothing(owner_client, knife):
    photo = kept_photo(knife)
    take_back(owner_client, photo)
    take_back(owner_client, photo, key="another-key")
    assert "taken back already" in text_of(owner_client.get(page_of(knife)))
    photos.mark(photo, shown=True, final=True)
    photo.refresh_from_db()
    assert not photo.shown


# --- giving out ---------------------------------------------------------------------


@pytest.mark.parametrize("size", ["small", "large"])
def test_picture_is_given_as_a_picture_and_nothing_else(helper_client, knife, size):
    photo = kept_photo(knife, body=file_of(two_halves((800, 600)), "PNG"))
    answer = helper_client.get(address(photo, size))
    assert (
        opened(answer.content).size == {"small": (400, 300), "large": (800, 600)}[size]
    )
    headers = answer.headers
    assert headers["Content-Type"] == "image/jpeg"
    assert headers["X-Content-Type-Options"] == "nosniff"
    assert headers["Content-Security-Policy"] == "sandbox; default-src 'none'"
    assert headers["Cache-Control"] == "private, no-cache"
    name = re.fullmatch(r'inline; filename="(.+)"', headers["Content-Disposition"])[1]
    assert re.fullmatch(rf"photo-{knife.serial}-[\w-]+\.jpg", name, re.ASCII)
    again = helper_client.get(
        address(photo, size), headers={"if-none-match": headers["ETag"]}
    )
    assert (again.status_code, again.content) == (304, b"")


def test_strangers_and_wrong_names_get_nothing(owner_client, knife):
    photo = kept_photo(knife)
    assert Client().get(address(photo)).url.startswith("/login/?next=")
    for odd in ("x" * 22, "x" * 21, "..", photo.sha256):
        assert owner_client.get(f"/knives/photo/{odd}/small/").status_code == 404
    assert owner_client.get(f"/knives/photo/{photo.name}/sent/").status_code == 404


def test_damaged_file_is_told(owner_client, knife):
    photo = kept_photo(knife)
    (photos.folder() / photo.small_sha256).write_bytes(b"something else")
    answer = owner_client.get(address(photo))
    assert answer.status_code == 500
    assert "This photo is damaged" in text_of(answer)
    assert photo.small_sha256 in text_of(answer)
    assert owner_client.get(address(photo, "large")).status_code == 200
