"""What a browser sends from the page of a billet, and what came of it."""

import re
from html import unescape
from html.parser import HTMLParser

from billets.models import Plan, PlanStep


class _Form(HTMLParser):
    """The boxes of the form that may be tried, as a browser would send them."""

    def __init__(self):
        super().__init__()
        self.sent, self.inside, self.select, self.text = {}, False, None, None

    def handle_starttag(self, tag, attrs):
        given = dict(attrs)
        if tag == "form":
            self.inside = "data-try" in given
        if self.inside and hasattr(self, f"take_{tag}"):
            getattr(self, f"take_{tag}")(given.get("name"), given)

    def take_input(self, name, given):
        if given.get("type") != "checkbox":
            self.sent[name] = given.get("value") or ""
        elif "checked" in given:
            self.sent[name] = "on"

    def take_select(self, name, given):
        self.select = name

    def take_option(self, name, given):
        # The first is taken where none is chosen.
        if "selected" in given or self.select not in self.sent:
            self.sent[self.select] = given.get("value", "")

    def take_textarea(self, name, given):
        self.text, self.sent[name] = name, ""

    def handle_endtag(self, tag):
        if tag == "form":
            self.inside = False
        if tag == "textarea":
            self.text = None

    def handle_data(self, data):
        if self.inside and self.text:
            self.sent[self.text] += data.removeprefix("\n")


def boxes(page):
    """Everything the form on a page holds."""
    form = _Form()
    form.feed(page.content.decode())
    form.sent.pop("csrfmiddlewaretoken", None)
    return form.sent


def send(client, address, button="save", **changes):
    """Press a button on a page just opened, some boxes changed (step_0_width)."""
    data = boxes(client.get(address))
    return client.post(address, data | named(changes) | pressed(button))


def named(changes):
    """Return changes by the names on the page."""
    return {
        re.sub(r"^step_(\d+)_", r"step-\1-", name): text
        for name, text in changes.items()
    }


def pressed(button):
    name, _sign, value = button.partition("=")
    return {name: value or "1"}


def errors(page):
    """What stands beside boxes, by name of the box."""
    found = re.findall(
        r'<p class="error" id="id_([\w-]+)_error">(.*?)</p>',
        page.content.decode(),
        re.DOTALL,
    )
    return {name: plain(text) for name, text in found if text.strip()}


def plain(text):
    """Text as it is read: without tags, entities and no-break spaces."""
    bare = unescape(re.sub(r"<[^>]+>", " ", text)).replace("\u00a0", " ")
    return " ".join(bare.split())


def said(page):
    """Return all that is read on a page."""
    return plain(page.content.decode())


def address(plan):
    return f"/billets/{plan.pk}/"


def rows(plan):
    """Everything a billet keeps, but for when, how often and in which words."""
    kept = Plan.objects.values().get(pk=plan.pk)
    for name in ("version", "changed", "typed"):
        del kept[name]
    steps = list(PlanStep.objects.filter(plan=plan).values())
    for step in steps:
        del step["id"], step["typed"]
    return kept, steps, list(plan.bars.values("letter", "bar"))
