"""What somebody types on the page of a quote's terms."""

from billets.idempotency import new_key
from quotes.models import QuoteDraft
from tests.quotes.orders import address

EMPTY = {
    "kind": "fixed", "valid_until": "", "regime": "", "discount_percent": "",
    "discount": "", "discount_reason": "", "asked": "", "step": "0",
    "extras": "2", "variants": "2", "currency": "EUR",
}  # fmt: skip


def extra(place=0, key="sheath", label="", amount="", percent=""):
    values = {"key": key, "label": label, "amount": amount, "percent": percent}
    return {f"extra-{place}-{name}": text for name, text in values.items()}


def option(knife, place=0, **texts):
    values = {"label": "Olive", "knife": knife.serial, "handle": "",
              "handle_material": "", "ferrule": "", "bolster_mass": "", "more": "",
              **texts}  # fmt: skip
    return {f"option-{place}-{name}": text for name, text in values.items()}


def send(client, order, *rows, button="save", **texts):
    """Send the terms as from a page just opened."""
    draft = QuoteDraft.objects.filter(order=order).first()
    version = str(draft.version if draft else 0)
    data = {"form_key": new_key(), "version": version, **EMPTY, button: "1"}
    for row in rows:
        data |= row
    return client.post(address("quote-terms", order), data | texts)


def kept(order):
    """The terms as they are kept, with their rows."""
    draft = QuoteDraft.objects.get(order=order)
    return draft, list(draft.extras.all()), list(draft.variants.all())
