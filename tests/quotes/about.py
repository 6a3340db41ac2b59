"""Every table that may hang on a customer, and its columns of words."""

from django.db import models

from shop.models import Customer


def tables_about():
    """Return every table that may hang on a customer, found from key to key."""
    found = [Customer]
    for model in found:  # grows while it is read
        for relation in model._meta.get_fields(include_hidden=True):
            child = relation.related_model
            if isinstance(relation, models.ManyToOneRel) and child not in found:
                found.append(child)
    return found


def text_columns(model):
    """Return the columns of a table that hold words or could."""
    kinds = (models.CharField, models.TextField, models.JSONField)
    return [one for one in model._meta.concrete_fields if isinstance(one, kinds)]
