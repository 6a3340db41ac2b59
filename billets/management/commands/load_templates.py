"""Give every class of pattern a plan to price knives by, if it has none."""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand

from billets.template_files import Loaded, load_templates


class Command(BaseCommand):
    help = (
        "Make the plan a floor price is reckoned with for every class of pattern that "
        "has none; never change one that is there. Load the steels first."
    )

    def handle(self, *args: Any, **options: Any) -> None:
        loaded = load_templates()
        if options["verbosity"]:
            self.say(loaded)

    def say(self, loaded: Loaded) -> None:
        """Say what was made, kept, and what is missing for the rest."""
        self.stdout.write(
            f"templates: {len(loaded.made)} made, {len(loaded.kept)} kept"
        )
        for key, lacks in loaded.missing.items():
            self.stdout.write(
                f"no plan for {key}: the shop has no {', no '.join(lacks)}. Enter it, "
                "or mark a plan of your own as the template."
            )
