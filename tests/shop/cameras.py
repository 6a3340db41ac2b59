"""Pictures as cameras and strangers send them, and photos made of such."""

import io
import struct
import zlib
from functools import cache

from django.core.files.uploadedfile import SimpleUploadedFile
from django.utils import timezone
from PIL import Image

from shop import photos
from shop.pictures_in import read_pictures

RED, BLUE = (200, 30, 30), (30, 30, 200)
ORIENTATION, MAKER, PLACE = 0x0112, 0x010F, 0x8825


def two_halves(size=(64, 32)):
    """Red on the left, blue on the right: so that it shows which way it lies."""
    picture = Image.new("RGB", size, RED)
    picture.paste(BLUE, (size[0] // 2, 0, *size))
    return picture


def file_of(picture, kind="JPEG", **how):
    made = io.BytesIO()
    picture.save(made, kind, **how)
    return made.getvalue()


def jpeg(size=(64, 32), **how):
    return file_of(two_halves(size), **how)


def from_a_phone(orientation=1, kind="JPEG", size=(64, 32)):
    """With the name of its maker and the place it was taken at written into it."""
    picture = two_halves(size)
    told = picture.getexif()
    told[ORIENTATION], told[MAKER] = orientation, "Maker of phones"
    told.get_ifd(PLACE).update({1: "N", 2: (50.0, 7.0, 33.0)})
    more = {"comment": b"told by the camera"} if kind == "JPEG" else {}
    return file_of(picture, kind, exif=told, **more)


def chunk(kind, body):
    """A part of a PNG, by the W3C's PNG specification (from memory)."""
    check = zlib.crc32(kind + body)
    return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", check)


def bomb(width=13_000, height=13_000):
    """A PNG of 169 megapixels in some 20 kB: one bit a pixel, all of them black."""
    header = struct.pack(">IIBBBBB", width, height, 1, 0, 0, 0, 0)
    rows = zlib.compress(bytes((width + 7) // 8 + 1) * height, 9)
    parts = chunk(b"IHDR", header) + chunk(b"IDAT", rows) + chunk(b"IEND", b"")
    return b"\x89PNG\r\n\x1a\n" + parts


def sent(body, name="IMG_0001.JPG"):
    return SimpleUploadedFile(name, body, content_type="image/jpeg")


@cache
def made_once(body):
    """Pictures made of what was sent; the same for many tests, which takes time."""
    return tuple(read_pictures([sent(body)]))


def kept_photo(knife, *, by=None, body=None, note="", **marks):
    """A photo of a knife, marked as asked."""
    pictures = made_once(body or jpeg())
    (photo,) = photos.add(knife, pictures, note=note, by=by, at=timezone.now())
    if marks:
        photos.mark(photo, **({"shown": False, "final": False} | marks))
        photo.refresh_from_db()
    return photo


def parts_of(body):
    """The kinds of segments of a JPEG before its pixels (ITU T.81, from memory)."""
    found, at = [], 2
    assert body[:2] == b"\xff\xd8"
    while body[at + 1] != 0xDA:
        found.append(body[at + 1])
        at += 2 + int.from_bytes(body[at + 2 : at + 4], "big")
    return found


def opened(body):
    return Image.open(io.BytesIO(body), formats=("JPEG",))


def near(pixel, colour):
    return all(abs(one - other) < 40 for one, other in zip(pixel, colour, strict=True))
