# The change feeds: what comes in, what is numbered (partitioned by week), where the count is.

import django.contrib.postgres.fields
import django.db.models.deletion
import pgtrigger.compiler
import pgtrigger.migrations
from django.db import migrations, models

MAKE_CHANGES = """
CREATE TABLE plant_feedchange (
    number bigint NOT NULL,
    numbered_at timestamptz NOT NULL,
    plant_id bigint NOT NULL,
    feed varchar(16) NOT NULL,
    "of" varchar(16) NOT NULL,
    row_id bigint NOT NULL,
    key varchar(48) NOT NULL,
    kind varchar(8) NOT NULL,
    at timestamptz NOT NULL,
    who varchar(150) NOT NULL,
    by_key varchar(16) NOT NULL,
    record text NOT NULL,
    -- The way a reader walks, and unique besides.
    PRIMARY KEY (plant_id, feed, number, numbered_at)
) PARTITION BY RANGE (numbered_at)
"""
DROP_CHANGES = "DROP TABLE plant_feedchange"

# This week's and next week's partition, so that the first change finds its place. What comes in
# is taken away again at once: the table is swept often, lest it be long to look through.
BEGIN = """
DO $$
DECLARE
    monday timestamp := date_trunc('week', now() AT TIME ZONE 'UTC');
BEGIN
    FOR step IN 0..1 LOOP
        EXECUTE format(
            'CREATE TABLE %I PARTITION OF plant_feedchange FOR VALUES FROM (%L) TO (%L)',
            'plant_feedchange_w' || to_char(monday, 'YYYYMMDD'),
            to_char(monday, 'YYYY-MM-DD') || 'T00:00:00+00:00',
            to_char(monday + interval '7 days', 'YYYY-MM-DD') || 'T00:00:00+00:00'
        );
        monday := monday + interval '7 days';
    END LOOP;
END $$;
INSERT INTO plant_feedposition (id, last_number, last_at, dropped_through)
VALUES (1, 0, now(), 0);
ALTER TABLE plant_feedarrival
SET (autovacuum_vacuum_scale_factor = 0, autovacuum_vacuum_threshold = 2000);
"""


class Migration(migrations.Migration):

    dependencies = [
        ('plant', '0015_meter_readings_by_keeping'),
    ]

    operations = [
        migrations.CreateModel(
            name='FeedArrival',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('plant', models.ForeignKey(db_constraint=False, db_index=False, on_delete=django.db.models.deletion.DO_NOTHING, related_name='+', to='plant.plant')),
                ('feed', models.CharField(choices=[('work_orders', 'Work Orders'), ('complaints', 'Complaints'), ('cases', 'Cases'), ('register', 'Register')], max_length=16)),
                ('of', models.CharField(max_length=16)),
                ('row_id', models.BigIntegerField()),
                ('key', models.CharField(max_length=48)),
                ('kind', models.CharField(choices=[('added', 'Added'), ('changed', 'Changed'), ('merged', 'Merged'), ('removed', 'Removed')], max_length=8)),
                ('at', models.DateTimeField()),
                ('who', models.CharField(blank=True, max_length=150)),
                ('by_key', models.CharField(blank=True, max_length=16)),
                ('record', models.TextField()),
                ('transaction', models.BigIntegerField()),
            ],
            options={
                'abstract': False,
            },
        ),
        migrations.SeparateDatabaseAndState(
            database_operations=[migrations.RunSQL(MAKE_CHANGES, DROP_CHANGES)],
            state_operations=[
                migrations.CreateModel(
                    name='FeedChange',
                    fields=[
                        ('plant', models.ForeignKey(db_constraint=False, db_index=False, on_delete=django.db.models.deletion.DO_NOTHING, related_name='+', to='plant.plant')),
                        ('feed', models.CharField(choices=[('work_orders', 'Work Orders'), ('complaints', 'Complaints'), ('cases', 'Cases'), ('register', 'Register')], max_length=16)),
                        ('of', models.CharField(max_length=16)),
                        ('row_id', models.BigIntegerField()),
                        ('key', models.CharField(max_length=48)),
                        ('kind', models.CharField(choices=[('added', 'Added'), ('changed', 'Changed'), ('merged', 'Merged'), ('removed', 'Removed')], max_length=8)),
                        ('at', models.DateTimeField()),
                        ('who', models.CharField(blank=True, max_length=150)),
                        ('by_key', models.CharField(blank=True, max_length=16)),
                        ('record', models.TextField()),
                        ('number', models.BigIntegerField(primary_key=True, serialize=False)),
                        ('numbered_at', models.DateTimeField()),
                    ],
                    options={
                        'ordering': ['number'],
                    },
                ),
            ],
        ),
        migrations.CreateModel(
            name='FeedPosition',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('last_number', models.BigIntegerField(default=0)),
                ('last_at', models.DateTimeField()),
                ('dropped_through', models.BigIntegerField(default=0)),
            ],
        ),
        migrations.AddConstraint(
            model_name='feedposition',
            constraint=models.CheckConstraint(condition=models.Q(('pk', 1)), name='one_position_of_the_feeds'),
        ),
        migrations.RunSQL(BEGIN, migrations.RunSQL.noop),
        migrations.AlterField(
            model_name='apikey',
            name='scopes',
            field=django.contrib.postgres.fields.ArrayField(base_field=models.CharField(choices=[('work_orders:read', 'read work orders'), ('work_orders:write', 'write work orders'), ('complaints:read', 'read complaints'), ('complaints:write', 'write complaints'), ('cases:read', 'read cases'), ('meters:read', 'read meter readings'), ('meters:write', 'write meter readings'), ('readings:read', 'read condition readings'), ('readings:write', 'write condition readings'), ('register:read', 'read the register')], max_length=40), default=list, size=None, verbose_name='may'),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name='belt',
            trigger=pgtrigger.compiler.Trigger(name='feed_added', sql=pgtrigger.compiler.UpsertTriggerSql(func='INSERT INTO plant_feedarrival (feed, "of", row_id, key, plant_id, kind, at, who, by_key, record, transaction) SELECT \'register\', \'belt\', one.id, one.id::text, its_conveyor.plant_id, \'added\', clock_timestamp(), left(COALESCE(acting.told ->> \'name\', \'\'), 150), COALESCE(acting.told ->> \'key\', \'\'), row_to_json(record)::text, pg_current_xact_id()::text::bigint FROM feed_new_rows AS one LEFT JOIN plant_conveyor AS its_conveyor ON its_conveyor.id = one.conveyor_id LEFT JOIN plant_plant AS its_conveyor_plant ON its_conveyor_plant.id = its_conveyor.plant_id CROSS JOIN LATERAL (SELECT one.id AS "id", its_conveyor_plant.code AS "plant", its_conveyor.tag AS "conveyor", NULLIF(one.name, \'\') AS "name", one.width_mm::float8 AS "width_mm", one.carcass AS "carcass", one.strength_n_mm::float8 AS "strength_n_mm", one.modulus_kn_m::float8 AS "modulus_kn_m", one.mass_kg_m2::float8 AS "mass_kg_m2", one.length_m::float8 AS "length_m", to_char(one.fitted_on, \'YYYY-MM-DD\') AS "fitted_on", to_char(one.removed_on, \'YYYY-MM-DD\') AS "removed_on", one.version AS "version") AS record CROSS JOIN ( SELECT NULLIF(current_setting(\'pghistory.context_metadata\', true), \'\')::jsonb AS told ) AS acting ORDER BY one.id; RETURN NULL;', hash='2698ffdf45afb991e05283143334a293bc81fb50', level='STATEMENT', operation='INSERT', pgid='pgtrigger_feed_added_240fe', referencing='REFERENCING NEW TABLE AS feed_new_rows ', table='plant_belt', when='AFTER')),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name='belt',
            trigger=pgtrigger.compiler.Trigger(name='feed_changed', sql=pgtrigger.compiler.UpsertTriggerSql(func='INSERT INTO plant_feedarrival (feed, "of", row_id, key, plant_id, kind, at, who, by_key, record, transaction) SELECT \'register\', \'belt\', one.id, one.id::text, its_conveyor.plant_id, \'changed\', clock_timestamp(), left(COALESCE(acting.told ->> \'name\', \'\'), 150), COALESCE(acting.told ->> \'key\', \'\'), row_to_json(record)::text, pg_current_xact_id()::text::bigint FROM feed_new_rows AS one JOIN feed_old_rows AS was ON was.id = one.id LEFT JOIN plant_conveyor AS its_conveyor ON its_conveyor.id = one.conveyor_id LEFT JOIN plant_plant AS its_conveyor_plant ON its_conveyor_plant.id = its_conveyor.plant_id CROSS JOIN LATERAL (SELECT one.id AS "id", its_conveyor_plant.code AS "plant", its_conveyor.tag AS "conveyor", NULLIF(one.name, \'\') AS "name", one.width_mm::float8 AS "width_mm", one.carcass AS "carcass", one.strength_n_mm::float8 AS "strength_n_mm", one.modulus_kn_m::float8 AS "modulus_kn_m", one.mass_kg_m2::float8 AS "mass_kg_m2", one.length_m::float8 AS "length_m", to_char(one.fitted_on, \'YYYY-MM-DD\') AS "fitted_on", to_char(one.removed_on, \'YYYY-MM-DD\') AS "removed_on", one.version AS "version") AS record CROSS JOIN ( SELECT NULLIF(current_setting(\'pghistory.context_metadata\', true), \'\')::jsonb AS told ) AS acting WHERE (one.carcass, one.conveyor_id, one.fitted_on, one.id, one.length_m, one.mass_kg_m2, one.modulus_kn_m, one.name, one.removed_on, one.strength_n_mm, one.width_mm) IS DISTINCT FROM (was.carcass, was.conveyor_id, was.fitted_on, was.id, was.length_m, was.mass_kg_m2, was.modulus_kn_m, was.name, was.removed_on, was.strength_n_mm, was.width_mm) ORDER BY one.id; RETURN NULL;', hash='6b2e70a05bc146bb50feceb7d60dab26f55246ab', level='STATEMENT', operation='UPDATE', pgid='pgtrigger_feed_changed_e3609', referencing='REFERENCING OLD TABLE AS feed_old_rows  NEW TABLE AS feed_new_rows ', table='plant_belt', when='AFTER')),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name='belt',
            trigger=pgtrigger.compiler.Trigger(name='feed_removed', sql=pgtrigger.compiler.UpsertTriggerSql(func='INSERT INTO plant_feedarrival (feed, "of", row_id, key, plant_id, kind, at, who, by_key, record, transaction) SELECT \'register\', \'belt\', one.id, one.id::text, its_conveyor.plant_id, \'removed\', clock_timestamp(), left(COALESCE(acting.told ->> \'name\', \'\'), 150), COALESCE(acting.told ->> \'key\', \'\'), row_to_json(record)::text, pg_current_xact_id()::text::bigint FROM feed_old_rows AS one LEFT JOIN plant_conveyor AS its_conveyor ON its_conveyor.id = one.conveyor_id LEFT JOIN plant_plant AS its_conveyor_plant ON its_conveyor_plant.id = its_conveyor.plant_id CROSS JOIN LATERAL (SELECT one.id AS "id", its_conveyor_plant.code AS "plant", its_conveyor.tag AS "conveyor", NULLIF(one.name, \'\') AS "name", one.width_mm::float8 AS "width_mm", one.carcass AS "carcass", one.strength_n_mm::float8 AS "strength_n_mm", one.modulus_kn_m::float8 AS "modulus_kn_m", one.mass_kg_m2::float8 AS "mass_kg_m2", one.length_m::float8 AS "length_m", to_char(one.fitted_on, \'YYYY-MM-DD\') AS "fitted_on", to_char(one.removed_on, \'YYYY-MM-DD\') AS "removed_on", one.version AS "version") AS record CROSS JOIN ( SELECT NULLIF(current_setting(\'pghistory.context_metadata\', true), \'\')::jsonb AS told ) AS acting ORDER BY one.id; RETURN NULL;', hash='08762bc19f60e4534029c98bec848ba0526f35e4', level='STATEMENT', operation='DELETE', pgid='pgtrigger_feed_removed_1a797', referencing='REFERENCING OLD TABLE AS feed_old_rows ', table='plant_belt', when='AFTER')),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name='component',
            trigger=pgtrigger.compiler.Trigger(name='feed_added', sql=pgtrigger.compiler.UpsertTriggerSql(func='INSERT INTO plant_feedarrival (feed, "of", row_id, key, plant_id, kind, at, who, by_key, record, transaction) SELECT \'register\', \'component\', one.id, one.id::text, its_conveyor.plant_id, \'added\', clock_timestamp(), left(COALESCE(acting.told ->> \'name\', \'\'), 150), COALESCE(acting.told ->> \'key\', \'\'), row_to_json(record)::text, pg_current_xact_id()::text::bigint FROM feed_new_rows AS one LEFT JOIN plant_conveyor AS its_conveyor ON its_conveyor.id = one.conveyor_id LEFT JOIN plant_plant AS its_conveyor_plant ON its_conveyor_plant.id = its_conveyor.plant_id CROSS JOIN LATERAL (SELECT one.id AS "id", its_conveyor_plant.code AS "plant", its_conveyor.tag AS "conveyor", one.name AS "name", NULLIF(translate(one.kind, \' -\', \'__\'), \'\') AS "kind", NULLIF(translate(one.run, \' -\', \'__\'), \'\') AS "run", one.first_m::float8 AS "loop_position_m", one.spacing_m::float8 AS "spacing_m", one.count AS "count", one.is_numbered AS "is_numbered", NULLIF(one.set_prefix, \'\') AS "set_prefix", one.first_number AS "first_number", one.diameter_mm::float8 AS "diameter_mm", one.wrap_deg::float8 AS "wrap_deg", one.in_deg::float8 AS "in_deg", one.out_deg::float8 AS "out_deg", one.length_m::float8 AS "length_m", one.rolls_per_set AS "rolls_per_set", to_char(one.fitted_on, \'YYYY-MM-DD\') AS "fitted_on", NULLIF(one.note, \'\') AS "note", one.version AS "version") AS record CROSS JOIN ( SELECT NULLIF(current_setting(\'pghistory.context_metadata\', true), \'\')::jsonb AS told ) AS acting ORDER BY one.id; RETURN NULL;', hash='4f35c81dcf30761a3a1e7fb93eecf38c922812ec', level='STATEMENT', operation='INSERT', pgid='pgtrigger_feed_added_f0e22', referencing='REFERENCING NEW TABLE AS feed_new_rows ', table='plant_component', when='AFTER')),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name='component',
            trigger=pgtrigger.compiler.Trigger(name='feed_changed', sql=pgtrigger.compiler.UpsertTriggerSql(func='INSERT INTO plant_feedarrival (feed, "of", row_id, key, plant_id, kind, at, who, by_key, record, transaction) SELECT \'register\', \'component\', one.id, one.id::text, its_conveyor.plant_id, \'changed\', clock_timestamp(), left(COALESCE(acting.told ->> \'name\', \'\'), 150), COALESCE(acting.told ->> \'key\', \'\'), row_to_json(record)::text, pg_current_xact_id()::text::bigint FROM feed_new_rows AS one JOIN feed_old_rows AS was ON was.id = one.id LEFT JOIN plant_conveyor AS its_conveyor ON its_conveyor.id = one.conveyor_id LEFT JOIN plant_plant AS its_conveyor_plant ON its_conveyor_plant.id = its_conveyor.plant_id CROSS JOIN LATERAL (SELECT one.id AS "id", its_conveyor_plant.code AS "plant", its_conveyor.tag AS "conveyor", one.name AS "name", NULLIF(translate(one.kind, \' -\', \'__\'), \'\') AS "kind", NULLIF(translate(one.run, \' -\', \'__\'), \'\') AS "run", one.first_m::float8 AS "loop_position_m", one.spacing_m::float8 AS "spacing_m", one.count AS "count", one.is_numbered AS "is_numbered", NULLIF(one.set_prefix, \'\') AS "set_prefix", one.first_number AS "first_number", one.diameter_mm::float8 AS "diameter_mm", one.wrap_deg::float8 AS "wrap_deg", one.in_deg::float8 AS "in_deg", one.out_deg::float8 AS "out_deg", one.length_m::float8 AS "length_m", one.rolls_per_set AS "rolls_per_set", to_char(one.fitted_on, \'YYYY-MM-DD\') AS "fitted_on", NULLIF(one.note, \'\') AS "note", one.version AS "version") AS record CROSS JOIN ( SELECT NULLIF(current_setting(\'pghistory.context_metadata\', true), \'\')::jsonb AS told ) AS acting WHERE (one.conveyor_id, one.count, one.diameter_mm, one.first_m, one.first_number, one.fitted_on, one.id, one.in_deg, one.is_numbered, one.kind, one.length_m, one.name, one.note, one.out_deg, one.rolls_per_set, one.run, one.set_prefix, one.spacing_m, one.wrap_deg) IS DISTINCT FROM (was.conveyor_id, was.count, was.diameter_mm, was.first_m, was.first_number, was.fitted_on, was.id, was.in_deg, was.is_numbered, was.kind, was.length_m, was.name, was.note, was.out_deg, was.rolls_per_set, was.run, was.set_prefix, was.spacing_m, was.wrap_deg) ORDER BY one.id; RETURN NULL;', hash='515686b0dc26281d4f2f3210fbd23816d0032545', level='STATEMENT', operation='UPDATE', pgid='pgtrigger_feed_changed_47dfe', referencing='REFERENCING OLD TABLE AS feed_old_rows  NEW TABLE AS feed_new_rows ', table='plant_component', when='AFTER')),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name='component',
            trigger=pgtrigger.compiler.Trigger(name='feed_removed', sql=pgtrigger.compiler.UpsertTriggerSql(func='INSERT INTO plant_feedarrival (feed, "of", row_id, key, plant_id, kind, at, who, by_key, record, transaction) SELECT \'register\', \'component\', one.id, one.id::text, its_conveyor.plant_id, \'removed\', clock_timestamp(), left(COALESCE(acting.told ->> \'name\', \'\'), 150), COALESCE(acting.told ->> \'key\', \'\'), row_to_json(record)::text, pg_current_xact_id()::text::bigint FROM feed_old_rows AS one LEFT JOIN plant_conveyor AS its_conveyor ON its_conveyor.id = one.conveyor_id LEFT JOIN plant_plant AS its_conveyor_plant ON its_conveyor_plant.id = its_conveyor.plant_id CROSS JOIN LATERAL (SELECT one.id AS "id", its_conveyor_plant.code AS "plant", its_conveyor.tag AS "conveyor", one.name AS "name", NULLIF(translate(one.kind, \' -\', \'__\'), \'\') AS "kind", NULLIF(translate(one.run, \' -\', \'__\'), \'\') AS "run", one.first_m::float8 AS "loop_position_m", one.spacing_m::float8 AS "spacing_m", one.count AS "count", one.is_numbered AS "is_numbered", NULLIF(one.set_prefix, \'\') AS "set_prefix", one.first_number AS "first_number", one.diameter_mm::float8 AS "diameter_mm", one.wrap_deg::float8 AS "wrap_deg", one.in_deg::float8 AS "in_deg", one.out_deg::float8 AS "out_deg", one.length_m::float8 AS "length_m", one.rolls_per_set AS "rolls_per_set", to_char(one.fitted_on, \'YYYY-MM-DD\') AS "fitted_on", NULLIF(one.note, \'\') AS "note", one.version AS "version") AS record CROSS JOIN ( SELECT NULLIF(current_setting(\'pghistory.context_metadata\', true), \'\')::jsonb AS told ) AS acting ORDER BY one.id; RETURN NULL;', hash='7617d139a99c33497b6d54a40a3021e879bef864', level='STATEMENT', operation='DELETE', pgid='pgtrigger_feed_removed_e584a', referencing='REFERENCING OLD TABLE AS feed_old_rows ', table='plant_component', when='AFTER')),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name='conveyor',
            trigger=pgtrigger.compiler.Trigger(name='feed_added', sql=pgtrigger.compiler.UpsertTriggerSql(func='INSERT INTO plant_feedarrival (feed, "of", row_id, key, plant_id, kind, at, who, by_key, record, transaction) SELECT \'register\', \'conveyor\', one.id, one.id::text, one.plant_id, \'added\', clock_timestamp(), left(COALESCE(acting.told ->> \'name\', \'\'), 150), COALESCE(acting.told ->> \'key\', \'\'), row_to_json(record)::text, pg_current_xact_id()::text::bigint FROM feed_new_rows AS one LEFT JOIN plant_plant AS its_plant ON its_plant.id = one.plant_id CROSS JOIN LATERAL (SELECT one.id AS "id", its_plant.code AS "plant", one.tag AS "tag", one.name AS "name", one.nicknames AS "nicknames", NULLIF(one.area, \'\') AS "area", NULLIF(one.carries, \'\') AS "carries", one.centre_distance_m::float8 AS "centre_distance_m", one.lift_m::float8 AS "lift_m", one.speed_mps::float8 AS "speed_mps", one.capacity_tph::float8 AS "capacity_tph", one.trough_angle_deg::float8 AS "trough_angle_deg", one.return_vee_deg::float8 AS "return_vee_deg", one.clearance_mm::float8 AS "clearance_mm", NULLIF(translate(one.take_up_kind, \' -\', \'__\'), \'\') AS "take_up", one.take_up_tension_kn::float8 AS "take_up_tension_kn", one.is_reversing AS "is_reversing", NULLIF(one.left_words, \'\') AS "left_words", NULLIF(one.right_words, \'\') AS "right_words", one.isolation_points AS "isolation_points", NULLIF(translate(one.consequence, \' -\', \'__\'), \'\') AS "consequence", NULLIF(one.note, \'\') AS "note", to_char(one.retired_on, \'YYYY-MM-DD\') AS "retired_on", replace(to_char(one.changed_at AT TIME ZONE \'UTC\', \'YYYY-MM-DD"T"HH24:MI:SS.US\') || \'Z\', \'.000000Z\', \'Z\') AS "changed_at", one.version AS "version") AS record CROSS JOIN ( SELECT NULLIF(current_setting(\'pghistory.context_metadata\', true), \'\')::jsonb AS told ) AS acting ORDER BY one.id; RETURN NULL;', hash='bd977793732dbd4876b310f8d4c6f43c139f56ca', level='STATEMENT', operation='INSERT', pgid='pgtrigger_feed_added_5728b', referencing='REFERENCING NEW TABLE AS feed_new_rows ', table='plant_conveyor', when='AFTER')),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name='conveyor',
            trigger=pgtrigger.compiler.Trigger(name='feed_changed', sql=pgtrigger.compiler.UpsertTriggerSql(func='INSERT INTO plant_feedarrival (feed, "of", row_id, key, plant_id, kind, at, who, by_key, record, transaction) SELECT \'register\', \'conveyor\', one.id, one.id::text, one.plant_id, \'changed\', clock_timestamp(), left(COALESCE(acting.told ->> \'name\', \'\'), 150), COALESCE(acting.told ->> \'key\', \'\'), row_to_json(record)::text, pg_current_xact_id()::text::bigint FROM feed_new_rows AS one JOIN feed_old_rows AS was ON was.id = one.id LEFT JOIN plant_plant AS its_plant ON its_plant.id = one.plant_id CROSS JOIN LATERAL (SELECT one.id AS "id", its_plant.code AS "plant", one.tag AS "tag", one.name AS "name", one.nicknames AS "nicknames", NULLIF(one.area, \'\') AS "area", NULLIF(one.carries, \'\') AS "carries", one.centre_distance_m::float8 AS "centre_distance_m", one.lift_m::float8 AS "lift_m", one.speed_mps::float8 AS "speed_mps", one.capacity_tph::float8 AS "capacity_tph", one.trough_angle_deg::float8 AS "trough_angle_deg", one.return_vee_deg::float8 AS "return_vee_deg", one.clearance_mm::float8 AS "clearance_mm", NULLIF(translate(one.take_up_kind, \' -\', \'__\'), \'\') AS "take_up", one.take_up_tension_kn::float8 AS "take_up_tension_kn", one.is_reversing AS "is_reversing", NULLIF(one.left_words, \'\') AS "left_words", NULLIF(one.right_words, \'\') AS "right_words", one.isolation_points AS "isolation_points", NULLIF(translate(one.consequence, \' -\', \'__\'), \'\') AS "consequence", NULLIF(one.note, \'\') AS "note", to_char(one.retired_on, \'YYYY-MM-DD\') AS "retired_on", replace(to_char(one.changed_at AT TIME ZONE \'UTC\', \'YYYY-MM-DD"T"HH24:MI:SS.US\') || \'Z\', \'.000000Z\', \'Z\') AS "changed_at", one.version AS "version") AS record CROSS JOIN ( SELECT NULLIF(current_setting(\'pghistory.context_metadata\', true), \'\')::jsonb AS told ) AS acting WHERE (one.area, one.capacity_tph, one.carries, one.centre_distance_m, one.clearance_mm, one.consequence, one.id, one.is_reversing, one.isolation_points, one.left_words, one.lift_m, one.name, one.nicknames, one.note, one.plant_id, one.retired_on, one.return_vee_deg, one.right_words, one.speed_mps, one.tag, one.take_up_kind, one.take_up_tension_kn, one.trough_angle_deg) IS DISTINCT FROM (was.area, was.capacity_tph, was.carries, was.centre_distance_m, was.clearance_mm, was.consequence, was.id, was.is_reversing, was.isolation_points, was.left_words, was.lift_m, was.name, was.nicknames, was.note, was.plant_id, was.retired_on, was.return_vee_deg, was.right_words, was.speed_mps, was.tag, was.take_up_kind, was.take_up_tension_kn, was.trough_angle_deg) ORDER BY one.id; RETURN NULL;', hash='4850b0eef1e07488388f45488b611bb274d55c7e', level='STATEMENT', operation='UPDATE', pgid='pgtrigger_feed_changed_3977f', referencing='REFERENCING OLD TABLE AS feed_old_rows  NEW TABLE AS feed_new_rows ', table='plant_conveyor', when='AFTER')),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name='conveyor',
            trigger=pgtrigger.compiler.Trigger(name='feed_removed', sql=pgtrigger.compiler.UpsertTriggerSql(func='INSERT INTO plant_feedarrival (feed, "of", row_id, key, plant_id, kind, at, who, by_key, record, transaction) SELECT \'register\', \'conveyor\', one.id, one.id::text, one.plant_id, \'removed\', clock_timestamp(), left(COALESCE(acting.told ->> \'name\', \'\'), 150), COALESCE(acting.told ->> \'key\', \'\'), row_to_json(record)::text, pg_current_xact_id()::text::bigint FROM feed_old_rows AS one LEFT JOIN plant_plant AS its_plant ON its_plant.id = one.plant_id CROSS JOIN LATERAL (SELECT one.id AS "id", its_plant.code AS "plant", one.tag AS "tag", one.name AS "name", one.nicknames AS "nicknames", NULLIF(one.area, \'\') AS "area", NULLIF(one.carries, \'\') AS "carries", one.centre_distance_m::float8 AS "centre_distance_m", one.lift_m::float8 AS "lift_m", one.speed_mps::float8 AS "speed_mps", one.capacity_tph::float8 AS "capacity_tph", one.trough_angle_deg::float8 AS "trough_angle_deg", one.return_vee_deg::float8 AS "return_vee_deg", one.clearance_mm::float8 AS "clearance_mm", NULLIF(translate(one.take_up_kind, \' -\', \'__\'), \'\') AS "take_up", one.take_up_tension_kn::float8 AS "take_up_tension_kn", one.is_reversing AS "is_reversing", NULLIF(one.left_words, \'\') AS "left_words", NULLIF(one.right_words, \'\') AS "right_words", one.isolation_points AS "isolation_points", NULLIF(translate(one.consequence, \' -\', \'__\'), \'\') AS "consequence", NULLIF(one.note, \'\') AS "note", to_char(one.retired_on, \'YYYY-MM-DD\') AS "retired_on", replace(to_char(one.changed_at AT TIME ZONE \'UTC\', \'YYYY-MM-DD"T"HH24:MI:SS.US\') || \'Z\', \'.000000Z\', \'Z\') AS "changed_at", one.version AS "version") AS record CROSS JOIN ( SELECT NULLIF(current_setting(\'pghistory.context_metadata\', true), \'\')::jsonb AS told ) AS acting ORDER BY one.id; RETURN NULL;', hash='d2cdc45c664407ac1ba634d98ce778cfde0d938b', level='STATEMENT', operation='DELETE', pgid='pgtrigger_feed_removed_7ece7', referencing='REFERENCING OLD TABLE AS feed_old_rows ', table='plant_conveyor', when='AFTER')),
        ),
    ]
