import uuid

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


def give_ids(apps, _schema_editor):
    """One of its own to every row: a default of the column would give all rows the same."""
    for name in ("WalkDown", "Finding"):
        model = apps.get_model("diagnostics", name)
        rows = []
        for row in model.objects.filter(client_id__isnull=True).only("pk").iterator():
            row.client_id = uuid.uuid4()
            rows.append(row)
        model.objects.bulk_update(rows, ["client_id"], batch_size=500)


class Migration(migrations.Migration):
    # Rows are written between two changes of their table, which one transaction cannot hold.
    atomic = False

    dependencies = [
        ("diagnostics", "0006_photo"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        *[
            migrations.AddField(
                model_name=name,
                name="client_id",
                field=models.UUIDField(editable=False, null=True),
            )
            for name in ("walkdown", "finding")
        ],
        migrations.RunPython(give_ids, migrations.RunPython.noop),
        *[
            migrations.AlterField(
                model_name=name,
                name="client_id",
                field=models.UUIDField(default=uuid.uuid4, editable=False, unique=True),
            )
            for name in ("walkdown", "finding")
        ],
        migrations.AddField(
            model_name="sighting",
            name="differs_from",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.SET_NULL,
                related_name="+",
                to="diagnostics.sighting",
            ),
        ),
        migrations.CreateModel(
            name="PocketEntry",
            fields=[
                ("id", models.UUIDField(editable=False, primary_key=True, serialize=False)),
                ("kind", models.CharField(max_length=12)),
                (
                    "outcome",
                    models.CharField(
                        choices=[("kept", "kept"), ("contested", "contested")],
                        default="kept",
                        max_length=10,
                    ),
                ),
                ("made_at", models.DateTimeField(verbose_name="made")),
                ("received_at", models.DateTimeField(verbose_name="received")),
                (
                    "case",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="pocket_entries",
                        to="diagnostics.case",
                    ),
                ),
                (
                    "sent_by",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.SET_NULL,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={"ordering": ["received_at", "pk"]},
        ),
    ]
