"""The mechanism stands in ``billets.paging``, below every app that has lists."""

from billets.paging import SIZE as SIZE
from billets.paging import Page as Page
from billets.paging import Sort as Sort
from billets.paging import page_of as page_of
