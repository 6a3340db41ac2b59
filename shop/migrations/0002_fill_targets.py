"""Tell every billet's target the blade it is for, as new knives do by themselves."""

from django.db import migrations


def fill(apps, schema_editor):
    targets = apps.get_model("billets", "PlanTarget").objects
    for knife in apps.get_model("shop", "Knife").objects.iterator():
        targets.filter(pk=knife.target_id).update(
            blade_height=knife.height,
            spine=knife.heel_thickness,
            behind_edge=knife.behind_edge,
            hardness=knife.hardness,
        )


class Migration(migrations.Migration):
    dependencies = [
        ("billets", "0002_billet_in_full"),
        ("shop", "0001_first"),
    ]

    operations = [migrations.RunPython(fill, migrations.RunPython.noop)]
