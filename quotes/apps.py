from typing import Any

from django.apps import AppConfig
from django.db import connections
from django.db.models.signals import post_migrate, pre_migrate


class QuotesConfig(AppConfig):
    name = "quotes"

    def ready(self) -> None:
        pre_migrate.connect(thaw, sender=self)
        post_migrate.connect(freeze, sender=self)


def thaw(*, using: str, plan: list[Any], **_signal: Any) -> None:
    """Let migrations remake tables, if there are any to be run."""
    from quotes import triggers  # needs the models, which load after this file

    if plan:
        triggers.remove(connections[using])


def freeze(*, using: str, **_signal: Any) -> None:
    """Have the database refuse changes of what was issued."""
    from quotes import triggers

    triggers.install(connections[using])
