"""What is sent beside a form: how much is let in, where, and under which names."""

import pytest
from django.test import Client
from django.urls import reverse

from shop import photos, uploads
from shop.models import Photo
from tests.factories import OrderFactory
from tests.shop.cameras import jpeg, sent
from tests.shop.typing_in import errors_on, key_on, text_of

pytestmark = pytest.mark.django_db

BOUNDARY = "part-of-a-form"
TOO_MUCH = (
    "At most 20 pictures of 12 MB each go at once. Choose fewer, and send the rest "
    "afterwards."
)


@pytest.fixture
def address():
    order = OrderFactory(knives=1, accepted=True)
    return reverse("photos", args=[order.knives.get().serial])


def post_raw(client, address, name, body):
    """Send one file under a name as it stands in the header of a form's part."""
    key = key_on(client.get(address))
    form = (
        f'--{BOUNDARY}\r\nContent-Disposition: form-data; name="form_key"\r\n\r\n{key}'
        f'\r\n--{BOUNDARY}\r\nContent-Disposition: form-data; name="pictures"; '
        f'filename="{name}"\r\nContent-Type: image/jpeg\r\n\r\n'
    ).encode() + body + f"\r\n--{BOUNDARY}--\r\n".encode()  # fmt: skip
    kind = f"multipart/form-data; boundary={BOUNDARY}"
    return client.post(address, form, content_type=kind)


NAMES = [
    "../../x", "..\\..\\x", "/etc/passwd", "con.jpg", "x" * 300, "a.jpg.html",
    "<script>.jpg", "%22quoted%22; x=.jpg", "two%0Alines.jpg", "two\\nlines.jpg",
    "nul%00.jpg", "\u202egpj.exe", "100 %s {name}.jpg", "&quot;&lt;b&gt;.jpg",
]  # fmt: skip
"""As browsers write them: quotes and line breaks come as percent signs."""


@pytest.mark.parametrize("name", NAMES)
def test_name_of_a_file_names_nothing_here(owner_client, address, name):
    assert post_raw(owner_client, address, name, jpeg()).status_code == 302
    photo = Photo.objects.get()
    assert {one.name for one in photos.folder().iterdir()} == {
        photo.sha256, photo.small_sha256,
    }  # fmt: skip
    answer = owner_client.get(reverse("photo", args=[photo.name, "large"]))
    serial = photo.knife.serial
    assert answer.headers["Content-Disposition"] == (
        f'inline; filename="photo-{serial}-{photo.name[:8]}.jpg"'
    )


@pytest.mark.parametrize("name", NAMES)
def test_name_of_a_refused_file_is_shown_as_text(owner_client, address, name):
    answer = post_raw(owner_client, address, name, b"<svg/>")
    assert answer.status_code == 200
    said = errors_on(answer, "pictures")
    assert "cannot be read as a JPEG, PNG or WebP picture." in said
    assert len(said) < 250
    assert "<script>" not in answer.content.decode()
    assert "\u202e" not in said


def test_too_many_files_are_told_and_the_note_stays(owner_client, address):
    data = {
        "form_key": key_on(owner_client.get(address)),
        "pictures": [sent(jpeg(), f"{place}.jpg") for place in range(25)],
        "note": "after the files",
    }
    answer = owner_client.post(address, data)
    assert errors_on(answer, "pictures") == TOO_MUCH
    assert 'value="after the files"' in answer.content.decode()
    assert not Photo.objects.exists()
    assert not photos.folder().exists()


def test_too_much_in_all_is_told_and_not_kept_on_the_way(
    owner_client, address, monkeypatch, settings, tmp_path
):
    settings.FILE_UPLOAD_MAX_MEMORY_SIZE = 0
    settings.FILE_UPLOAD_TEMP_DIR = str(tmp_path)
    monkeypatch.setattr(uploads, "MOST_IN_ALL", 300_000)
    data = {
        "form_key": key_on(owner_client.get(address)),
        "pictures": [sent(bytes(200_000), "a.jpg"), sent(bytes(900_000), "b.jpg")],
        "note": "after the files",
    }
    answer = owner_client.post(address, data)
    assert errors_on(answer, "pictures") == TOO_MUCH
    assert 'value="after the files"' in answer.content.decode()
    assert sum(one.stat().st_size for one in tmp_path.glob("*.upload*")) <= 300_000


def test_what_was_sent_before_and_is_cut_off_now_is_told(owner_client, address):
    key = key_on(owner_client.get(address))
    owner_client.post(address, {"form_key": key, "pictures": [sent(jpeg())]})
    many = {"form_key": key, "pictures": [sent(jpeg()) for _place in range(21)]}
    assert errors_on(owner_client.post(address, many), "pictures") == TOO_MUCH
    assert Photo.objects.count() == 1


def test_more_files_than_are_counted_are_refused_in_words(owner_client, address):
    data = {"pictures": [sent(b"x", "x.jpg") for _place in range(1_001)]}
    answer = owner_client.post(address, data)
    assert answer.status_code == 400
    assert "nothing was changed" in text_of(answer)


def test_files_are_let_in_nowhere_else(owner_client, address, monkeypatch):
    """Nor from strangers: what nobody asked for never reaches the disk."""
    reached = []
    monkeypatch.setattr(uploads.UploadGate, "receive_data_chunk", reached.append)
    for client, where in (
        (owner_client, "/orders/new/"), (owner_client, "/shop/"), (Client(), address),
        (Client(), "/login/"), (Client(), "/q/ask/"), (Client(), f"/q/{'x' * 43}/"),
    ):  # fmt: skip
        answer = client.post(where, {"pictures": sent(jpeg()), "wish": "x"})
        assert answer.status_code in (200, 302, 400, 403, 405)
    assert reached == []
    assert not photos.folder().exists()


def test_form_without_its_token_is_refused(owner, address):
    client = Client(enforce_csrf_checks=True)
    client.force_login(owner)
    answer = client.post(address, {"form_key": "k", "pictures": [sent(jpeg())]})
    assert answer.status_code == 403
    assert not photos.folder().exists()
