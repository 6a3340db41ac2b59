"""Files let in: where they are asked for, from whom the shop knows, and not too many.

Everywhere else a file that comes with a form is read past and never touches the disk.
"""

from __future__ import annotations

from typing import Any

from django.core.files.uploadhandler import FileUploadHandler, SkipFile
from django.http import HttpRequest

from shop.pictures_in import MOST_BYTES, MOST_FILES

TAKES_FILES = frozenset({"photos"})
"""Names of the addresses that ask for files."""

MOST_IN_ALL = MOST_FILES * MOST_BYTES


class UploadGate(FileUploadHandler):
    """Stands before Django's own handlers, which keep what it lets through."""

    def __init__(self, request: HttpRequest | None = None) -> None:
        super().__init__(request)
        self.files, self.bytes = 0, 0

    def new_file(self, *args: Any, **kwargs: Any) -> None:
        """Let a file in, or read past it."""
        super().new_file(*args, **kwargs)
        if self.request is None or not takes_files(self.request):
            raise SkipFile
        self.files += 1
        self._hold_to_limits()

    def receive_data_chunk(self, raw_data: bytes, start: int) -> bytes:
        """Count what comes, and hand it on."""
        self.bytes += len(raw_data)
        self._hold_to_limits()
        return raw_data

    def file_complete(self, file_size: int) -> None:
        """Leave the file to the handlers behind this one."""

    def _hold_to_limits(self) -> None:
        """Read past all that is over a limit, so that the page can still be answered.

        What was let in before is as good as lost: Django closes it.
        """
        if self.files > MOST_FILES or self.bytes > MOST_IN_ALL:
            self.request.upload_cut = True  # type: ignore[union-attr]  # for was_cut
            raise SkipFile


def takes_files(request: HttpRequest) -> bool:
    """Say whether an address asks for files, and who asks is signed in."""
    match, user = request.resolver_match, getattr(request, "user", None)
    asked = match is not None and match.url_name in TAKES_FILES
    return asked and user is not None and user.is_authenticated


def was_cut(request: HttpRequest) -> bool:
    """Say whether more was sent than is taken at once."""
    return bool(request.POST) and getattr(request, "upload_cut", False)
