# Requests are counted over the minute that ends now, in slices; what was counted is forgotten.

import django.contrib.postgres.fields
from django.db import migrations, models

_FORGET = 'DELETE FROM plant_requestpace'


class Migration(migrations.Migration):

    dependencies = [
        ('plant', '0025_webhook_last_taken'),
    ]

    operations = [
        migrations.RunSQL(_FORGET, migrations.RunSQL.noop),
        migrations.RemoveField(model_name='requestpace', name='used'),
        migrations.AddField(
            model_name='requestpace',
            name='slices',
            field=django.contrib.postgres.fields.ArrayField(base_field=models.IntegerField(), size=None),
            preserve_default=False,
        ),
        migrations.AddField(
            model_name='requestpace',
            name='is_over',
            field=models.BooleanField(),
        ),
        migrations.RunSQL(migrations.RunSQL.noop, _FORGET),
    ]
