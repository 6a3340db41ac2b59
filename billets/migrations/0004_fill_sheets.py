"""Give steels a shop already has what their shipped data sheets say since; once."""

import dataclasses

from django.db import migrations

from billets.loading import read_steels

NEW = ("soak_min", "soak_max", "normalise_at", "anneal", "forge_max")


def fill(apps, schema_editor):
    rows = {row.key: row for row in apps.get_model("billets", "Steel").objects.all()}
    point = apps.get_model("billets", "TemperPoint")
    for entry in read_steels():
        row = rows.get(entry.key)
        if row is None or row.tempers.exists():
            continue
        for name in NEW:
            if name in entry.values and not getattr(row, name):
                setattr(row, name, entry.values[name] or getattr(row, name))
        row.save()
        point.objects.bulk_create(
            point(steel=row, own=False, **dataclasses.asdict(printed))
            for printed in entry.tempers
        )


class Migration(migrations.Migration):
    dependencies = [("billets", "0003_unweighed_gas")]

    operations = [migrations.RunPython(fill, migrations.RunPython.noop)]
