"""Papers on disk: a file's name is the SHA-256 of its bytes, and it never changes."""

from __future__ import annotations

import hashlib
import os
import tempfile
from pathlib import Path

from django.conf import settings


class DamagedPaperError(RuntimeError):
    """A paper's file is missing or no longer has the bytes its name says."""


def keep(body: bytes) -> str:
    """Write a paper, if it is not there yet, and return its hash.

    Synced and renamed before it returns, so that a row never names half a file.
    """
    name = hashlib.sha256(body).hexdigest()
    folder = Path(settings.PAPER_DIR)
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    path = folder / name
    if path.exists() and path.read_bytes() == body:
        return name
    handle, part = tempfile.mkstemp(dir=folder)
    with os.fdopen(handle, "wb") as file:
        file.write(body)
        file.flush()
        os.fsync(file.fileno())
    Path(part).replace(path)
    return name


def read(name: str) -> bytes:
    """Return a paper's bytes; DamagedPaperError if they are not what was kept."""
    path = Path(settings.PAPER_DIR) / name
    body = path.read_bytes() if path.exists() else b""
    if hashlib.sha256(body).hexdigest() != name:
        raise DamagedPaperError(name)
    return body
