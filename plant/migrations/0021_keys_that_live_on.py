# Keys: a second secret for a while, a limit, a log. What was asked lately is counted unlogged.

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('plant', '0020_keys_write_cases'),
    ]

    operations = [
        migrations.CreateModel(
            name='RequestPace',
            fields=[
                ('asker', models.CharField(max_length=60, primary_key=True, serialize=False)),
                ('began_at', models.DateTimeField()),
                ('used', models.PositiveIntegerField()),
            ],
        ),
        # Rows are written again and again: room for that in their own page, no log of it.
        migrations.RunSQL(
            'ALTER TABLE plant_requestpace SET UNLOGGED; '
            'ALTER TABLE plant_requestpace SET (fillfactor = 20)',
            migrations.RunSQL.noop,
        ),
        migrations.AddField(
            model_name='apikey',
            name='former_hashed_key',
            field=models.CharField(blank=True, editable=False, max_length=150),
        ),
        migrations.AddField(
            model_name='apikey',
            name='former_until',
            field=models.DateTimeField(blank=True, editable=False, null=True),
        ),
        migrations.AddField(
            model_name='apikey',
            name='former_used_at',
            field=models.DateTimeField(blank=True, editable=False, null=True),
        ),
        migrations.AddField(
            model_name='apikey',
            name='requests_per_minute',
            field=models.PositiveIntegerField(blank=True, null=True, verbose_name='requests a minute'),
        ),
        migrations.AddField(
            model_name='apikey',
            name='version',
            field=models.PositiveIntegerField(default=1, editable=False),
        ),
        migrations.CreateModel(
            name='KeyLogEntry',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('what', models.CharField(choices=[('made', 'made'), ('changed', 'changed'), ('replaced', 'secret replaced'), ('former_ended', 'former secret ended'), ('revoked', 'revoked')], max_length=12)),
                ('at', models.DateTimeField(auto_now_add=True)),
                ('who', models.CharField(blank=True, max_length=150)),
                ('old', models.JSONField(default=dict)),
                ('new', models.JSONField(default=dict)),
                ('by', models.ForeignKey(null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('key', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='log', to='plant.apikey')),
            ],
            options={
                'ordering': ['-at', '-pk'],
            },
        ),
    ]
