"""Files that never change: each is named by the SHA-256 of its bytes."""

from __future__ import annotations

import hashlib
import os
import tempfile
from pathlib import Path


class DamagedFileError(RuntimeError):
    """A file is missing or no longer has the bytes its name says."""


def name_of(body: bytes) -> str:
    """Return the name a file is kept under."""
    return hashlib.sha256(body).hexdigest()


def keep(folder: Path, body: bytes) -> str:
    """Write a file, if it is not there yet, and return its hash.

    Synced and renamed before it returns, so that a row never names half a file.
    """
    name = name_of(body)
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


def read(folder: Path, name: str) -> bytes:
    """Return a file's bytes; DamagedFileError if they are not what was kept."""
    path = folder / name
    body = path.read_bytes() if path.exists() else b""
    if name_of(body) != name:
        raise DamagedFileError(name)
    return body


def drop(folder: Path, name: str) -> None:
    """Delete a file, if it is there."""
    (folder / name).unlink(missing_ok=True)
