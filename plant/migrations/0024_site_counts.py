# What the processes have done, for whoever watches them.

import django.contrib.postgres.fields
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('plant', '0023_details_in_feed'),
    ]

    operations = [
        migrations.CreateModel(
            name='SweepCount',
            fields=[
                ('name', models.CharField(max_length=60, primary_key=True, serialize=False)),
                ('ran_at', models.DateTimeField()),
                ('succeeded_at', models.DateTimeField(null=True)),
                ('seconds', models.FloatField()),
                ('done', models.BigIntegerField(default=0)),
                ('failures', models.BigIntegerField(default=0)),
            ],
        ),
        migrations.CreateModel(
            name='RequestCount',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('route', models.CharField(max_length=200)),
                ('method', models.CharField(max_length=8)),
                ('status', models.PositiveSmallIntegerField()),
                ('count', models.BigIntegerField()),
                ('seconds', models.FloatField()),
                ('under', django.contrib.postgres.fields.ArrayField(base_field=models.BigIntegerField(), size=None)),
            ],
            options={
                'constraints': [models.UniqueConstraint(fields=('route', 'method', 'status'), name='one_count_of_requests')],
            },
        ),
        # Written every few seconds by every process and worth no more than the time since a crash.
        migrations.RunSQL(
            'ALTER TABLE plant_requestcount SET UNLOGGED; '
            'ALTER TABLE plant_sweepcount SET UNLOGGED',
            migrations.RunSQL.noop,
        ),
    ]
