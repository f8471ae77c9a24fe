import django.contrib.postgres.fields
import django.core.validators
import django.db.models.deletion
from decimal import Decimal
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('plant', '0013_isolation_points'),
        ('workorders', '0007_time_bookings'),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.RenameField('part', 'fits', 'known_as'),
        migrations.CreateModel(
            name='PartUse',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('on', models.CharField(choices=[('belt', 'belt'), ('tail_pulley', 'tail pulley'), ('head_pulley', 'head pulley'), ('drive_pulley', 'drive pulley'), ('snub_pulley', 'snub pulley'), ('bend_pulley', 'bend pulley'), ('take_up_pulley', 'take-up pulley'), ('impact_idlers', 'impact idlers'), ('transition_idlers', 'transition idlers'), ('troughing_idlers', 'troughing idlers'), ('return_idlers', 'return idlers'), ('vee_return_idlers', 'vee return idlers'), ('self_aligning_idler', 'self-aligning idler'), ('load_point', 'load point'), ('skirtboard', 'skirtboard'), ('belt_cleaner', 'belt cleaner'), ('plough', 'plough'), ('structure_section', 'structure section'), ('take_up_frame', 'take-up frame')], max_length=24, verbose_name='fits on')),
                ('by', models.CharField(choices=[('one', 'each one; an idler set counts once'), ('roll', 'each roll of a set'), ('wing_roll', 'each wing roll of a set'), ('centre_roll', 'each centre roll of a set'), ('metre', 'each metre of it')], default='one', max_length=12, verbose_name='counted by')),
                ('each', models.DecimalField(decimal_places=2, default=1, max_digits=8, validators=[django.core.validators.MinValueValidator(Decimal('0.01')), django.core.validators.MaxValueValidator(9999)], verbose_name='which takes')),
                ('name', models.CharField(blank=True, max_length=40, verbose_name='only where the name is')),
                ('belt_width_mm', models.FloatField(blank=True, null=True, validators=[django.core.validators.MinValueValidator(100), django.core.validators.MaxValueValidator(4000)], verbose_name='belt width')),
                ('belt_strength_n_mm', models.FloatField(blank=True, null=True, validators=[django.core.validators.MinValueValidator(1), django.core.validators.MaxValueValidator(20000)], verbose_name='belt strength')),
                ('diameter_mm', models.FloatField(blank=True, null=True, validators=[django.core.validators.MinValueValidator(1), django.core.validators.MaxValueValidator(10000)], verbose_name='diameter')),
            ],
            options={
                'ordering': ['pk'],
            },
        ),
        migrations.AddField(
            model_name='orderpart',
            name='version',
            field=models.PositiveIntegerField(default=1, editable=False),
        ),
        migrations.AddField(
            model_name='part',
            name='kept_at',
            field=models.CharField(blank=True, max_length=60, verbose_name='kept at'),
        ),
        migrations.AddField(
            model_name='partdue',
            name='version',
            field=models.PositiveIntegerField(default=1, editable=False),
        ),
        migrations.AlterField(
            model_name='part',
            name='known_as',
            field=django.contrib.postgres.fields.ArrayField(base_field=models.CharField(max_length=120), default=list, size=None, verbose_name='also written as'),
        ),
        migrations.AlterField(
            model_name='part',
            name='unit',
            field=models.CharField(choices=[('pcs', 'pcs'), ('set', 'sets'), ('m', 'm'), ('m2', 'm²'), ('kg', 'kg'), ('l', 'l')], default='pcs', max_length=12, verbose_name='counted in'),
        ),
        migrations.AlterField(
            model_name='partdue',
            name='amount',
            field=models.DecimalField(decimal_places=2, max_digits=10, validators=[django.core.validators.MinValueValidator(Decimal('0.01'))], verbose_name='amount'),
        ),
        migrations.AlterField(
            model_name='partmovement',
            name='kind',
            field=models.CharField(choices=[('counted', 'counted'), ('came', 'came'), ('not_came', 'not come after all'), ('used', 'used'), ('put_back', 'put back')], max_length=10),
        ),
        migrations.AddIndex(
            model_name='partmovement',
            index=models.Index(fields=['part', '-at', '-id'], name='movements_of_part'),
        ),
        migrations.AddField(
            model_name='partuse',
            name='conveyor',
            field=models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.CASCADE, related_name='+', to='plant.conveyor', verbose_name='only on'),
        ),
        migrations.AddField(
            model_name='partuse',
            name='part',
            field=models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='uses', to='workorders.part'),
        ),
        migrations.AddIndex(
            model_name='partuse',
            index=models.Index(fields=['on'], name='part_use_by_kind'),
        ),
        migrations.AddConstraint(
            model_name='partuse',
            constraint=models.CheckConstraint(condition=models.Q(('each__gt', 0)), name='use_takes_something'),
        ),
        migrations.AddConstraint(
            model_name='partuse',
            constraint=models.UniqueConstraint(fields=('part', 'on', 'by', 'conveyor', 'name', 'belt_width_mm', 'belt_strength_n_mm', 'diameter_mm'), name='one_use_said_once', nulls_distinct=False),
        ),
    ]
