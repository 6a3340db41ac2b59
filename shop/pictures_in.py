"""Pictures as they come in: looked at from outside only, and made anew elsewhere.

Nothing of an upload is decoded in this process. A process of its own, held to its
memory and time (``shop.picture_worker``), makes the two pictures that are kept; what
was sent is thrown away. A refusal is a ValidationError that names the file.
"""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path
from types import MappingProxyType

from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import UploadedFile
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from billets.messages import spoken
from billets.text import clean_text
from billets.units import local_number
from shop import picture_worker

MOST_FILES, MOST_BYTES = 20, 12_000_000
"""Files sent at once, and bytes of each."""

PATIENCE, PATIENCE_IN_ALL = 20.0, 60.0
"""So long one picture may take, and all that were sent together [s]."""

SHOWN_OF_NAME = 60

_MADE = re.compile(r"([0-9]{1,4}) ([0-9]{1,4})", re.ASCII)
_PASSED_ON = ("PATH", "SYSTEMROOT", "LD_LIBRARY_PATH")
_ENDED_BY_LIMIT = {-int(getattr(signal, name, 0)) for name in ("SIGXCPU", "SIGKILL")}

SMALLER: str | Promise = gettext_lazy("Save it smaller and choose it again.")
AS_JPEG: str | Promise = gettext_lazy("Save or export it as a JPEG and choose that.")

REFUSALS: Mapping[str, tuple[str | Promise, str | Promise]] = MappingProxyType(
    {
        "empty": (
            gettext_lazy("“{name}” arrived empty."),
            gettext_lazy("Choose it again."),
        ),
        "large": (gettext_lazy("“{name}” has {size} MB, and may have 12."), SMALLER),
        "pixels": (gettext_lazy("“{name}” has more than 40 megapixels."), SMALLER),
        "memory": (gettext_lazy("“{name}” takes too much memory to read."), SMALLER),
        "slow": (gettext_lazy("“{name}” takes too long to read."), SMALLER),
        "kind": (
            gettext_lazy("“{name}” cannot be read as a JPEG, PNG or WebP picture."),
            AS_JPEG,
        ),
        "heic": (
            gettext_lazy("“{name}” is a HEIC or AVIF picture, which is not read here."),
            gettext_lazy(
                "Share it as a JPEG and choose that; a phone takes JPEGs from the "
                "start once its camera's format is set to the most compatible one."
            ),
        ),
        "broken": (
            gettext_lazy("“{name}” is damaged, or was cut off on the way."),
            gettext_lazy("Choose it again, or another picture."),
        ),
        "late": (
            gettext_lazy("“{name}” was not read any more: those before it took long."),
            gettext_lazy("Send fewer pictures at once."),
        ),
    }
)
"""What is said of a file by why it is refused, and what to do."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """A picture as it is kept: two JPEGs of our own making.

    Attributes
    ----------
    large, small : bytes
        The files.
    width, height : int
        Of the large one [px].
    """

    large: bytes
    small: bytes
    width: int
    height: int


def read_pictures(files: Sequence[UploadedFile]) -> list[Picture]:
    """Return every picture made anew; else a ValidationError that names each bad file.

    Takes a second or more: never call it inside a transaction.
    """
    until = time.monotonic() + PATIENCE_IN_ALL
    made, refused = [], []
    for file in files:
        try:
            made.append(_read(file, until))
        except ValidationError as error:
            refused.append(error)
    if refused:
        raise ValidationError(refused)
    return made


def _read(file: UploadedFile, until: float) -> Picture:
    if not file.size:
        raise refusal(file, "empty")
    if file.size > MOST_BYTES:
        raise refusal(file, "large")
    if time.monotonic() > until:
        raise refusal(file, "late")
    with tempfile.TemporaryDirectory(prefix="picture-") as folder:
        return _made_in(Path(folder), file)


def _made_in(folder: Path, file: UploadedFile) -> Picture:
    with (folder / "sent").open("wb") as sent:
        for chunk in file.chunks():
            sent.write(chunk)
    said = worked(folder)
    size = _MADE.fullmatch(said)
    if size is None:
        raise refusal(file, "heic" if said == "kind" and is_heic(folder) else said)
    return Picture(
        large=(folder / "large").read_bytes(), small=(folder / "small").read_bytes(),
        width=int(size[1]), height=int(size[2]),
    )  # fmt: skip


def worked(folder: Path) -> str:
    """Have the picture in a folder made anew; return what the worker said of it."""
    command = [sys.executable, "-I", picture_worker.__file__, str(folder)]
    # Neither the shop's secrets nor its database are any business of a decoder.
    around = {name: os.environ[name] for name in _PASSED_ON if name in os.environ}
    with (folder / "said").open("wb") as said:
        try:
            done = subprocess.run(  # noqa: S603  our own file; no word of it was sent
                command, stdin=subprocess.DEVNULL, stdout=said,
                stderr=subprocess.DEVNULL, env=around, timeout=PATIENCE, check=False,
            )  # fmt: skip
        except subprocess.TimeoutExpired:
            return "slow"
    if done.returncode:
        return "slow" if done.returncode in _ENDED_BY_LIMIT else "broken"
    return (folder / "said").read_text("ascii", "replace")


def is_heic(folder: Path) -> bool:
    """Say whether a file begins as pictures in an ISO base media file do."""
    with (folder / "sent").open("rb") as sent:
        return sent.read(8)[4:] == b"ftyp"


def refusal(file: UploadedFile, why: str) -> ValidationError:
    """Return what is said of a file that is not taken."""
    what, instead = REFUSALS.get(why, REFUSALS["broken"])
    tenths = -(
        -(file.size or 0) // 100_000
    )  # rounded up: never "has 12.0, may have 12"
    size = local_number(Decimal(tenths) / 10, spoken(), places=1)
    said = str(what).format(name=shown_name(file), size=size)
    return ValidationError(f"{said} {instead}", code=why)


def shown_name(file: UploadedFile) -> str:
    """Return the name a file came with, fit to be read; it names nothing here."""
    name = clean_text(file.name or "") or _("a file without a name")
    return name if len(name) <= SHOWN_OF_NAME else f"{name[:SHOWN_OF_NAME]}…"
