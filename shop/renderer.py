"""How forms are written: with the templates of our own."""

from __future__ import annotations

from django.forms.renderers import TemplatesSetting


class ShopRenderer(TemplatesSetting):
    """Write ``{{ form }}`` and ``{{ field.as_field_group }}`` with templates/forms/."""

    form_template_name = "forms/fields.html"
    field_template_name = "forms/field.html"
