"""Questions asked on the private page: found by the owner, by nobody else."""

import pytest

from quotes.private import standing
from shop.models import CustomerQuestion
from tests.quotes.orders import address, ready_shop, without_printer
from tests.quotes.privates import opened, quoted_order, shown_hash
from tests.shop.typing_in import errors_on, text_of

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def shop(monkeypatch):
    ready_shop()
    without_printer(monkeypatch)


@pytest.fixture
def order(owner_client):
    return quoted_order(owner_client)


@pytest.fixture
def customer(order):
    return opened(order)[0]


def ask(client, text):
    data = {"question": text, "sha256": shown_hash(client)}
    return client.post("/q/ask/", data)


def test_question_is_found_by_the_owner_until_it_is_answered(
    owner_client, order, customer
):
    done = ask(customer, "Is walnut safe\nin a wet kitchen?")
    assert (done.status_code, done.url) == (303, "/q/view/#asked")
    ask(customer, "Is walnut safe\nin a wet kitchen?")
    asked = CustomerQuestion.objects.get()
    assert "has not answered yet" in text_of(customer.get("/q/view/"))
    for page in (owner_client.get("/"), owner_client.get(order.get_absolute_url())):
        assert "Is walnut safe" in text_of(page)
    where = address("question-answered", order, asked.pk)
    assert owner_client.post(where).url == order.get_absolute_url()
    first = CustomerQuestion.objects.get().answered_at
    owner_client.post(where)
    assert CustomerQuestion.objects.get().answered_at == first
    assert "Is walnut safe" not in text_of(owner_client.get("/"))
    assert "The shop has answered." in text_of(customer.get("/q/view/"))


def test_helpers_do_not_read_questions(client, helper, order, customer):
    ask(customer, "Could it be cheaper?")
    client.force_login(helper)
    for where in ("/", order.get_absolute_url()):
        assert "Could it be cheaper?" not in text_of(client.get(where))


def test_questions_have_an_end(customer):
    for number in range(standing.MOST_OPEN):
        assert ask(customer, f"Question {number}?").status_code == 303
    page = ask(customer, "One more?")
    assert "call or write to the shop" in errors_on(page, "question")
    assert "One more?" in page.content.decode()
    assert CustomerQuestion.objects.count() == standing.MOST_OPEN


@pytest.mark.parametrize(
    ("text", "said"),
    [("", "This box is empty"), ("x" * 2001, "Use at most 2000 signs here")],
)
def test_question_that_is_none_is_refused(customer, text, said):
    page = ask(customer, text)
    assert said in errors_on(page, "question").replace(",", "")
    assert not CustomerQuestion.objects.exists()
