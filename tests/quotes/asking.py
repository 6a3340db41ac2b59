"""The balance of an order, asked for as its owner would."""

from django.utils import timezone

from quotes.models import Mail


def balance_mailed(order, state="copied"):
    return Mail.objects.create(
        order=order, kind="balance", to="tilda@grauwacke.example", subject="Done",
        body="Final photos", state=state, at=timezone.now(),
    )  # fmt: skip
