"""Pictures as they come in: made anew, or refused in words; twelve traps and more."""

import io
import struct
import subprocess
import sys
import zlib
from pathlib import Path

import pytest
from django.core.exceptions import ValidationError
from PIL import Image, ImageCms

from shop import picture_worker, pictures_in
from shop.pictures_in import MOST_BYTES, read_pictures
from tests.shop.cameras import (
    BLUE,
    RED,
    bomb,
    chunk,
    file_of,
    from_a_phone,
    jpeg,
    near,
    opened,
    parts_of,
    sent,
    two_halves,
)


def made(body, name="IMG_0001.JPG"):
    (picture,) = read_pictures([sent(body, name)])
    return picture


def refusal_of(body, name="IMG_0001.JPG"):
    with pytest.raises(ValidationError) as refused:
        read_pictures([sent(body, name)])
    (error,) = refused.value.error_list
    assert error.message.startswith(f"“{name}” ")
    return error.code, error.message


EPS = b"%!PS-Adobe-3.0 EPSF-3.0\n%%BoundingBox: 0 0 9 9\nshowpage\n"
SVG = b"<svg xmlns='http://www.w3.org/2000/svg' onload='alert(1)'/>"
HEIC = b"\x00\x00\x00\x18ftypheic\x00\x00\x00\x00mif1heic" + bytes(64)
REFUSED = {
    "bomb.png": (bomb(), "pixels", "more than 40 megapixels. Save it smaller"),
    "just-over.png": (bomb(8001, 5000), "pixels", "more than 40 megapixels"),
    "eps.png": (EPS, "kind", "Save or export it as a JPEG"),
    "drawing.svg": (SVG, "kind", "cannot be read as a JPEG, PNG or WebP picture"),
    "moving.gif": (file_of(two_halves(), "GIF"), "kind", "cannot be read as a JPEG"),
    "scan.tiff": (file_of(two_halves(), "TIFF"), "kind", "cannot be read as a JPEG"),
    "words.jpg": (b"<html>hello", "kind", "Save or export it as a JPEG"),
    "IMG_2.HEIC": (HEIC, "heic", "Share it as a JPEG and choose that"),
    "cut.jpg": (jpeg((640, 320))[:-900], "broken", "cut off on the way"),
    "cut.png": (file_of(two_halves((640, 320)), "PNG")[:-200], "broken", "damaged"),
    "nothing.jpg": (b"", "empty", "arrived empty. Choose it again."),
    "large.jpg": (
        jpeg() + bytes(MOST_BYTES), "large", "has 12.1 MB, and may have 12. Save it",
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", REFUSED)
def test_refused_with_a_reason_and_a_way_out(name):
    body, why, words = REFUSED[name]
    code, said = refusal_of(body, name)
    assert code == why
    assert words in said


def test_bomb_is_small_and_stands_for_169_megapixels():
    assert len(bomb()) < 25_000
    with pytest.warns(Image.DecompressionBombWarning):
        assert Image.open(io.BytesIO(bomb())).size == (13_000, 13_000)


def test_forty_megapixels_are_still_read():
    """The limit is on the header's pixels; inside it memory and time suffice."""
    picture = made(bomb(8000, 5000), "most.png")
    assert (picture.width, picture.height) == (2048, 1280)


def test_page_behind_a_picture_is_left_behind():
    body = file_of(two_halves(), "PNG") + b"<html><script>alert(1)</script></html>"
    picture = made(body, "both.png")
    for kept in (picture.large, picture.small):
        assert b"script" not in kept
        assert near(opened(kept).getpixel((5, 5)), RED)


# --- what a camera writes beside a picture ------------------------------------------

# Position of the red half after turning: by the Exif specification (from memory).
UPRIGHT = {1: (64, 32, "left"), 3: (64, 32, "right"), 6: (32, 64, "top"),
           8: (32, 64, "bottom")}  # fmt: skip
PLACES = {"left": (0.1, 0.5), "right": (0.9, 0.5), "top": (0.5, 0.1),
          "bottom": (0.5, 0.9)}  # fmt: skip


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
@pytest.mark.parametrize("orientation", UPRIGHT)
def test_comes_out_upright(orientation, kind):
    picture = made(from_a_phone(orientation, kind))
    width, height, side = UPRIGHT[orientation]
    assert (picture.width, picture.height) == (width, height)
    across, down = PLACES[side]
    for kept in (picture.large, picture.small):
        image = opened(kept)
        assert near(image.getpixel((int(across * width), int(down * height))), RED)
        other = (int((1 - across) * width), int((1 - down) * height))
        assert near(image.getpixel(other), BLUE)


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_place_maker_and_comment_are_not_kept(kind):
    body = from_a_phone(kind=kind)
    assert b"Maker of phones" in body
    picture = made(body)
    for kept in (picture.large, picture.small):
        assert set(parts_of(kept)) <= {0xE0, 0xDB, 0xC0, 0xC4}  # JFIF and the picture
        for told in (b"Exif", b"Maker", b"camera", b"http", b"ICC_PROFILE"):
            assert told not in kept
        assert not opened(kept).getexif()


def test_broken_notes_of_the_camera_do_not_refuse_the_picture():
    exif = b"Exif\x00\x00II*\x00\xff\xff\xff\x7f" + b"\xff" * 40
    picture = made(jpeg(exif=exif, icc_profile=b"no profile" * 20))
    assert near(opened(picture.large).getpixel((5, 5)), RED)


def test_colours_are_those_its_own_profile_means():
    """A profile whose red and green are exchanged: what says red means green."""
    plain = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    marked = plain.replace(b"rXYZ", b"----").replace(b"gXYZ", b"rXYZ")
    for profile, colour in (
        (plain, RED), (marked.replace(b"----", b"gXYZ"), (30, 200, 30)),
    ):  # fmt: skip
        kept = made(jpeg(icc_profile=profile)).large
        assert near(opened(kept).getpixel((5, 5)), colour)
        assert b"ICC_PROFILE" not in kept


def test_several_pictures_in_one_file_give_the_first():
    """Phones put a second one behind the first (CIPA DC-007, from memory)."""
    other = Image.new("RGB", (64, 32), "white")
    body = file_of(two_halves(), "MPO", save_all=True, append_images=[other])
    assert near(opened(made(body).large).getpixel((5, 5)), RED)


# --- kinds of pixels ----------------------------------------------------------------


def deep_png(red):
    """A PNG of one colour with 16 bits a channel."""
    header = struct.pack(">IIBBBBB", 8, 8, 16, 2, 0, 0, 0)
    row = b"\x00" + struct.pack(">HHH", red, 0, 0) * 8
    return (
        b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", header)
        + chunk(b"IDAT", zlib.compress(row * 8)) + chunk(b"IEND", b"")
    )  # fmt: skip


def clear_corner(mode):
    picture = Image.new("RGBA", (64, 32), (*BLUE, 255))
    picture.paste((0, 0, 0, 0), (0, 0, 32, 32))
    return picture.convert(mode) if mode != "P" else picture.quantize(8)


PIXELS = {
    "four inks": (file_of(two_halves().convert("CMYK")), RED),
    "16 bits of grey": (
        file_of(Image.new("I;16", (64, 32), 0x8000), "PNG"), (128, 128, 128),
    ),
    "16 bits a colour": (deep_png(0x8000), (128, 0, 0)),
    "one bit": (file_of(Image.new("1", (64, 32), 1), "PNG"), (255, 255, 255)),
    "grey": (file_of(Image.new("L", (64, 32), 90)), (90, 90, 90)),
    "clear": (file_of(clear_corner("RGBA"), "PNG"), (255, 255, 255)),
    "clear grey": (file_of(clear_corner("LA"), "PNG"), (255, 255, 255)),
    "clear palette": (file_of(clear_corner("P"), "PNG"), (255, 255, 255)),
    "clear WebP": (file_of(clear_corner("RGBA"), "WEBP"), (255, 255, 255)),
    "palette": (file_of(two_halves().quantize(8), "PNG"), RED),
}  # fmt: skip


@pytest.mark.parametrize("name", PIXELS)
def test_becomes_plain_colours(name):
    body, colour = PIXELS[name]
    for kept in (made(body).large, made(body).small):
        image = opened(kept)
        assert (image.format, image.mode) == ("JPEG", "RGB")
        assert near(image.getpixel((3, 3)), colour)


@pytest.mark.parametrize("kind", ["PNG", "WEBP"])
def test_moving_picture_gives_its_first_frame(kind):
    later = Image.new("RGB", (64, 32), "white")
    body = file_of(two_halves(), kind, save_all=True, append_images=[later, later])
    image = opened(made(body).large)
    assert getattr(image, "n_frames", 1) == 1
    assert near(image.getpixel((5, 5)), RED)


# --- sizes, memory, time ------------------------------------------------------------


def test_sizes_and_weight_are_held_to():
    grain = Image.effect_noise((3000, 4000), 100)
    picture = made(file_of(grain, quality=60))
    assert (picture.width, picture.height) == (1536, 2048)
    assert opened(picture.large).size == (1536, 2048)
    assert opened(picture.small).size == (300, 400)
    assert len(picture.small) <= 40_000  # also where it is all grain


def test_memory_of_the_worker_is_bounded(tmp_path):
    """40 megapixels that show through: four bytes each, and a canvas to lay them on."""
    clear = Image.new("P", (7300, 5400))
    clear.putpalette([10, 200, 30])
    (tmp_path / "sent").write_bytes(file_of(clear, "PNG", transparency=0))
    watched = [sys.executable, "-c", WATCHED, picture_worker.__file__, str(tmp_path)]
    said, most = subprocess.check_output(watched, text=True).split(";")
    assert said == "2048 1515"
    assert 200_000_000 < int(most) * 1024 < picture_worker.MEMORY


WATCHED = """
import resource, subprocess, sys
said = subprocess.check_output([sys.executable, "-I", *sys.argv[1:]], text=True)
print(said, resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss, sep=";")
"""
LIMITED = "import runpy; w = runpy.run_path({path!r}); w['limit'](); {then}"


def test_worker_is_given_no_more_than_its_memory():
    code = LIMITED.format(path=picture_worker.__file__, then="bytes(600_000_000)")
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True)
    assert "MemoryError" in done.stderr


def worker_that(tmp_path, monkeypatch, body):
    path = tmp_path / "worker.py"
    path.write_text(body)
    monkeypatch.setattr(picture_worker, "__file__", str(path))


def test_picture_that_takes_too_long_is_refused(tmp_path, monkeypatch):
    spin = (
        "import resource\nresource.setrlimit(resource.RLIMIT_CPU, (1, 2))\n"
        "while True: pass\n"
    )
    worker_that(tmp_path, monkeypatch, spin)
    assert refusal_of(jpeg()) == (
        "slow", "“IMG_0001.JPG” takes too long to read. Save it smaller and choose it "
        "again.",
    )  # fmt: skip
    monkeypatch.setattr(pictures_in, "PATIENCE", 0.1)
    worker_that(tmp_path, monkeypatch, "import time\ntime.sleep(9)\n")
    assert refusal_of(jpeg())[0] == "slow"


def test_worker_that_dies_or_lacks_memory_is_told(tmp_path, monkeypatch):
    worker_that(tmp_path, monkeypatch, "import os\nos.abort()\n")
    assert refusal_of(jpeg())[0] == "broken"
    worker_that(tmp_path, monkeypatch, "print('memory', end='')\n")
    assert "too much memory" in refusal_of(jpeg())[1]


def test_when_time_is_up_the_rest_is_not_read(monkeypatch):
    monkeypatch.setattr(pictures_in, "PATIENCE_IN_ALL", -1)
    assert "Send fewer pictures at once" in refusal_of(jpeg())[1]


def test_worker_is_told_no_secret(tmp_path, monkeypatch):
    monkeypatch.setenv("HAMMERSCALE_SECRET_KEY", "a secret")
    told = "import os\nprint('HAMMERSCALE_SECRET_KEY' in os.environ, end='')\n"
    worker_that(tmp_path, monkeypatch, told)
    assert pictures_in.worked(tmp_path) == "False"


def test_nothing_of_a_sending_is_left_on_the_disk(tmp_path, monkeypatch):
    monkeypatch.setattr(pictures_in.tempfile, "tempdir", str(tmp_path))
    made(jpeg())
    refusal_of(EPS)
    assert not list(Path(tmp_path).iterdir())
