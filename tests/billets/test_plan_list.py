"""The list of billets: newest first, each with its verdict and its knives."""

import re

import pytest

from billets.paging import SIZE
from tests.billets.typing_in import said
from tests.factories import PlanFactory

pytestmark = pytest.mark.django_db


def titles(page):
    return re.findall(
        r'<th scope="row"><a href="[^"]+">([^<]+)</a>', page.content.decode()
    )


def test_empty_list_says_what_belongs_there(owner_client):
    text = said(owner_client.get("/billets/"))
    assert "Here stand the billets of the shop" in text
    assert "New billet" in text


def test_row_says_stack_layers_verdict_and_knife(owner_client, plan, knife):
    text = said(owner_client.get("/billets/"))
    for words in (
        "Test billet", "Dark steel, Pale steel", "ABABABABABA, 137 × 33 × 30.0 mm",
        "33 31 apart", "with a chance of", f"{knife.serial} Test knife",
    ):  # fmt: skip
        assert words in text


def test_list_and_page_give_the_same_verdict(owner_client, plan, knife):
    def verdict(text):
        return re.search(r"(?:Enough|Short|it suffices) [^.]*?(\d+) %", text)[0]

    listed = said(owner_client.get("/billets/"))
    assert verdict(listed) in said(owner_client.get(plan.get_absolute_url()))


def test_newest_stands_first_and_older_ones_a_page_further(owner_client):
    for number in range(SIZE + 2):
        PlanFactory(title=f"Billet {number:02d}")
    first = owner_client.get("/billets/")
    assert titles(first)[0] == f"Billet {SIZE + 1:02d}"
    assert len(titles(first)) == SIZE
    older = re.search(r'href="(\?after=\d+)" rel="next"', first.content.decode())[1]
    second = owner_client.get(f"/billets/{older}")
    assert titles(second) == ["Billet 01", "Billet 00"]
    newer = re.search(r'href="(\?before=\d+)" rel="prev"', second.content.decode())[1]
    assert titles(owner_client.get(f"/billets/{newer}")) == titles(first)
    assert titles(owner_client.get("/billets/?after=x")) == titles(first)
