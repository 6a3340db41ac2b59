"""Fill the demo's own database with an invented shop, once."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from billets.messages import sentence
from billets.physics.errors import PlanError
from quotes.demo.story import read
from quotes.demo.telling import tell
from quotes.errors import QuoteError
from shop.models import Order
from shop.stages import StageError


class Command(BaseCommand):
    help = "Tell the demo's story in its own database, if nothing has been told yet."

    def handle(self, *args: Any, **options: Any) -> None:
        if not settings.DEMO:
            raise CommandError(
                "The demo goes into a database of its own, never into your shop's; "
                "open it with: python3 manage.py open --demo"
            )
        if Order.objects.exists():
            self.say("The demo is there already.", options)
            return
        call_command("load_steels", verbosity=0)
        call_command("load_templates", verbosity=0)
        call_command("load_rates", verbosity=0)
        try:
            orders = tell(read(), timezone.localdate())
        except (PlanError, StageError, QuoteError) as error:
            raise CommandError(f"The demo was not made. {sentence(error)}") from error
        self.say(f"The demo has {orders} orders.", options)

    def say(self, text: str, options: dict[str, Any]) -> None:
        """Say something unless told to be quiet."""
        if options["verbosity"]:
            self.stdout.write(text)
