import django.contrib.postgres.fields
import django.core.validators
import django.db.models.deletion
from decimal import Decimal
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('plant', '0002_condition_readings'),
    ]

    operations = [
        migrations.CreateModel(
            name='MeterReading',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('quantity', models.CharField(choices=[('running_hours', 'running hours'), ('tonnes', 'tonnes')], max_length=16, verbose_name='meter')),
                ('read_at', models.DateTimeField(verbose_name='read')),
                ('reading', models.DecimalField(blank=True, decimal_places=3, max_digits=12, null=True, validators=[django.core.validators.MinValueValidator(Decimal('0')), django.core.validators.MaxValueValidator(Decimal('999999999'))], verbose_name='reading')),
                ('went_on', models.CharField(choices=[('usual', 'as usual'), ('rolled_over', 'rolled over'), ('replaced', 'meter replaced')], default='usual', max_length=12, verbose_name='how the meter went on')),
                ('digits', models.PositiveSmallIntegerField(blank=True, null=True, validators=[django.core.validators.MinValueValidator(3), django.core.validators.MaxValueValidator(9)], verbose_name='whole digits of the meter')),
                ('new_meter_first', models.DecimalField(blank=True, decimal_places=3, max_digits=12, null=True, validators=[django.core.validators.MinValueValidator(Decimal('0')), django.core.validators.MaxValueValidator(Decimal('999999999'))], verbose_name='first reading of the new meter')),
                ('read_by', models.CharField(blank=True, max_length=80, verbose_name='read by')),
                ('note', models.CharField(blank=True, max_length=200, verbose_name='note')),
                ('kept_at', models.DateTimeField(auto_now_add=True)),
                ('conveyor', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='meter_readings', to='plant.conveyor')),
                ('kept_by', models.ForeignKey(editable=False, null=True, on_delete=django.db.models.deletion.SET_NULL, to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['-read_at', '-pk'],
                'constraints': [
                    models.UniqueConstraint(fields=('conveyor', 'quantity', 'read_at'), name='one_meter_reading_at_a_time'),
                    models.CheckConstraint(condition=models.Q(('reading__isnull', False), ('went_on', 'replaced'), _connector='OR'), name='meter_reading_has_figure'),
                    models.CheckConstraint(condition=models.Q(('new_meter_first__isnull', True), ('went_on', 'replaced'), _connector='XOR'), name='new_meter_has_first_reading'),
                    models.CheckConstraint(condition=models.Q(('digits__isnull', True), ('went_on', 'rolled_over'), _connector='XOR'), name='rolled_over_meter_has_digits'),
                ],
            },
        ),
        migrations.AlterField(
            model_name='apikey',
            name='scopes',
            field=django.contrib.postgres.fields.ArrayField(base_field=models.CharField(choices=[('work_orders:read', 'read work orders'), ('work_orders:write', 'write work orders'), ('complaints:read', 'read complaints'), ('complaints:write', 'write complaints'), ('meters:read', 'read meter readings'), ('meters:write', 'write meter readings')], max_length=40), default=list, size=None, verbose_name='may'),
        ),
    ]
