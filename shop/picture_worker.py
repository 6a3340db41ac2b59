"""One picture read and made anew, in a process of its own that has little to lose.

Run as a file with a folder as its one argument: it reads ``sent`` there, writes
``large`` and ``small``, and says on its output the size of the large one, or in a word
why there is none. It knows nothing of the shop, so it starts fast and holds no secret.
"""

from __future__ import annotations

import contextlib
import io
import sys
import warnings
from pathlib import Path

from PIL import Image, ImageCms, ImageOps, UnidentifiedImageError

if sys.platform != "win32":
    import resource

FORMATS = ("JPEG", "PNG", "WEBP")
PIXELS = 40_000_000
LARGE, SMALL = 2048, 400
"""Longest sides of what is made [px]."""

SMALL_BYTES = 40_000
"""So much of a page's weight a small picture may be."""

QUALITY, SMALL_QUALITIES = 85, (80, 70, 60, 50, 40, 30)
STRIP = 256

MEMORY, SECONDS, LONGEST_FILE = 512 * 1024 * 1024, 10, 16_000_000
"""What this process may take: address space, time of a processor, a file written."""


def limit() -> None:
    """Hold this process to what a picture needs; on Windows only its clock does."""
    if sys.platform != "win32":
        for what, most in (
            (resource.RLIMIT_AS, MEMORY), (resource.RLIMIT_CPU, SECONDS),
            (resource.RLIMIT_FSIZE, LONGEST_FILE), (resource.RLIMIT_CORE, 0),
        ):  # fmt: skip
            # Some systems do not know one; where a lower one holds, that is kept.
            with contextlib.suppress(ValueError, OSError):
                resource.setrlimit(what, (most, most))
    Image.MAX_IMAGE_PIXELS = PIXELS  # read from the header, before anything is decoded
    warnings.simplefilter("error", Image.DecompressionBombWarning)


def make(folder: Path) -> str:
    """Make both pictures; return the size of the large one, or why there is none."""
    try:
        with Image.open(folder / "sent", formats=FORMATS) as image:
            large = anew(image)
        large.save(folder / "large", "JPEG", quality=QUALITY, optimize=True)
        (folder / "small").write_bytes(small_of(large))
    except (Image.DecompressionBombWarning, Image.DecompressionBombError):
        return "pixels"
    except UnidentifiedImageError:
        return "kind"
    except MemoryError:
        return "memory"
    except Exception:  # whatever a decoder stumbles over, the file is to blame
        return "broken"
    return f"{large.width} {large.height}"


def anew(image: Image.Image) -> Image.Image:
    """Return the picture upright, in plain colours, and with nothing else in it."""
    size = fitted(image.size, LARGE)
    image.draft(None, size)
    image.load()
    flat = _on_white(_deep(image))
    shrunk = flat.resize(size, Image.Resampling.LANCZOS, reducing_gap=2.0)
    plain = _coloured(_upright(shrunk))
    clean = Image.new("RGB", plain.size)
    clean.paste(plain)  # what the camera wrote beside the picture stays behind
    return clean


def small_of(large: Image.Image) -> bytes:
    """Return the small picture's bytes, as good as its weight allows."""
    size = fitted(large.size, SMALL)
    small = large.resize(size, Image.Resampling.LANCZOS, reducing_gap=2.0)
    body = b""
    for quality in SMALL_QUALITIES:
        file = io.BytesIO()
        small.save(file, "JPEG", quality=quality, optimize=True)
        body = file.getvalue()
        if len(body) <= SMALL_BYTES:
            break
    return body


def fitted(size: tuple[int, int], longest: int) -> tuple[int, int]:
    """Return the size of a picture shrunk to a longest side; never a larger one.

    >>> fitted((4000, 3000), 400), fitted((300, 200), 400), fitted((9000, 2), 400)
    ((400, 300), (300, 200), (400, 1))
    """
    share = min(1.0, longest / max(size))
    return max(1, round(size[0] * share)), max(1, round(size[1] * share))


def _deep(image: Image.Image) -> Image.Image:
    """Return it in colours that can be blended: no palette, no 16 bits a grey."""
    if image.mode.startswith(("I", "F")):
        return image.convert("I").point(lambda grey: grey * (1 / 256) + 0).convert("L")
    if image.has_transparency_data:
        return image.convert("RGBA")
    return image.convert("RGB") if image.mode in ("P", "1") else image


def _upright(image: Image.Image) -> Image.Image:
    """Return it turned as the camera was held; what cannot be read turns nothing."""
    with contextlib.suppress(Exception):
        return ImageOps.exif_transpose(image)
    return image


def _on_white(image: Image.Image) -> Image.Image:
    """Return it without what shows through, strip by strip: a copy would not fit."""
    if image.mode != "RGBA":
        return image
    white = Image.new("RGB", image.size, "white")
    for top in range(0, image.height, STRIP):
        strip = image.crop((0, top, image.width, min(top + STRIP, image.height)))
        white.paste(strip, (0, top), mask=strip)
    white.info = image.info
    return white


def _coloured(image: Image.Image) -> Image.Image:
    """Return it in the colours every screen knows, as its own profile means them."""
    profile = image.info.get("icc_profile")
    if profile:
        with contextlib.suppress(ImageCms.PyCMSError, OSError, ValueError, TypeError):
            made = ImageCms.profileToProfile(
                image, ImageCms.ImageCmsProfile(io.BytesIO(profile)),
                ImageCms.createProfile("sRGB"), outputMode="RGB",
            )  # fmt: skip
            if made is not None:
                return made
    return image.convert("RGB")


if __name__ == "__main__":
    limit()
    sys.stdout.write(make(Path(sys.argv[1])))
