"""Empty the gas rate nobody weighed: the usual one is reckoned with all the same."""

from django.db import migrations

SHIPPED = 1.5 / 3600


def forget(apps, schema_editor):
    equipment = apps.get_model("billets", "Equipment").objects
    equipment.filter(gas_rate=SHIPPED).update(gas_rate=None)


class Migration(migrations.Migration):
    dependencies = [("billets", "0002_billet_in_full")]

    operations = [migrations.RunPython(forget, migrations.RunPython.noop)]
