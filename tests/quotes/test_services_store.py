"""Papers keep their bytes."""

import pytest

from quotes import store


def test_paper_comes_back_as_it_was_kept():
    name = store.keep(b"one paper")
    assert store.read(name) == b"one paper"
    assert store.keep(b"one paper") == name


def test_changed_file_is_found_out(settings):
    name = store.keep(b"one paper")
    (settings.PAPER_DIR / name).write_bytes(b"another paper")
    with pytest.raises(store.DamagedPaperError):
        store.read(name)


def test_missing_file_is_found_out():
    with pytest.raises(store.DamagedPaperError):
        store.read("0" * 64)
