"""The page that says how sure a billet is, read and used by tests."""

import re

from django.urls import reverse

from tests.quotes.orders import table_rows

TAKEN = re.compile(r'<form method="post" action="([^"]+)">(.*?)</form>', re.DOTALL)


def address(plan):
    return reverse("sure", args=[plan.pk])


def page_of(client, plan, **asked):
    answer = client.get(address(plan), asked)
    assert answer.status_code == 200
    return answer


def stacks(answer):
    """The rows of the table of stacks, by what they are called.

    Of each: chance, size, mass, left over, cost, steel, formula.
    """
    found = {}
    for name, chance, stack, spare, cost, formula, _button in (
        row for row in table_rows(answer) if len(row) == 7 and row[1] != "Suffices with"
    ):
        size, mass = re.fullmatch(r"(.*(?:mm|in)) (.*)", stack).groups()
        money, steel = cost.split(" steel ")
        key = name.partition(" if ")[0]
        found[key] = [chance, size, mass, spare, money, steel, formula]
    return found


def buttons(answer):
    """What each button of the table sends."""
    return [
        dict(re.findall(r'name="([^"]+)" value="([^"]*)"', inside))
        for _to, inside in TAKEN.findall(answer.content.decode())
        if 'name="length"' in inside
    ]


def take(client, plan, place=2, **changes):
    sent = buttons(page_of(client, plan))[place]
    return client.post(address(plan), sent | changes)
