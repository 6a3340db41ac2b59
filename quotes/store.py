"""Papers on disk: a file's name is the SHA-256 of its bytes, and it never changes."""

from __future__ import annotations

from pathlib import Path

from django.conf import settings

from shop import kept_files

DamagedPaperError = kept_files.DamagedFileError
"""A paper's file is missing or no longer has the bytes its name says."""


def keep(body: bytes) -> str:
    """Write a paper, if it is not there yet, and return its hash."""
    return kept_files.keep(Path(settings.PAPER_DIR), body)


def read(name: str) -> bytes:
    """Return a paper's bytes; DamagedPaperError if they are not what was kept."""
    return kept_files.read(Path(settings.PAPER_DIR), name)


def drop(name: str) -> None:
    """Delete a paper's file; no row may name it any more."""
    kept_files.drop(Path(settings.PAPER_DIR), name)
