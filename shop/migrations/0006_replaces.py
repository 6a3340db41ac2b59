import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('shop', '0005_photo'),
    ]

    operations = [
        migrations.AddField(
            model_name='knife',
            name='replaces',
            field=models.ForeignKey(editable=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='again', to='shop.knife'),
        ),
    ]
