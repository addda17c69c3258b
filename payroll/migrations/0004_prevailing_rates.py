"""What wage determinations set on prevailing-rate jobs, by class and first day; append-only like every rate."""

import django.db.models.deletion
from django.db import migrations, models

from jobs.tenancy_sql import append_only, grant, own_key, record_table

TABLE = "payroll_prevailingrate"


class Migration(migrations.Migration):

    dependencies = [
        ('jobs', '0005_entry_rules'),
        ('payroll', '0003_written_in'),
    ]

    operations = [
        migrations.CreateModel(
            name='PrevailingRate',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('worker_class', models.CharField(max_length=40)),
                ('class_named', models.CharField(max_length=80)),
                ('basic', models.DecimalField(decimal_places=4, max_digits=10)),
                ('fringe', models.DecimalField(decimal_places=4, max_digits=10)),
                ('fringe_to_plan', models.DecimalField(decimal_places=4, max_digits=10)),
                ('starts_on', models.DateField()),
                ('citation', models.CharField(max_length=200)),
                ('set_at', models.DateTimeField()),
                ('job', models.ForeignKey(db_constraint=False, db_index=False, on_delete=django.db.models.deletion.PROTECT, related_name='prevailing_rates', to='jobs.job')),
                ('organisation', models.ForeignKey(db_constraint=False, db_index=False, editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='jobs.organisation')),
                ('replaces', models.ForeignKey(blank=True, db_constraint=False, db_index=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='payroll.prevailingrate')),
                ('set_by', models.ForeignKey(blank=True, db_constraint=False, db_index=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='jobs.membership')),
            ],
            options={
                'abstract': False,
                'base_manager_name': 'objects',
                'constraints': [models.UniqueConstraint(condition=models.Q(('replaces__isnull', True)), fields=('organisation', 'job', 'worker_class', 'starts_on'), name='prevailing_rate_starts_once'), models.UniqueConstraint(fields=('organisation', 'replaces'), name='prevailing_rate_is_replaced_at_most_once'), models.CheckConstraint(condition=models.Q(('basic__gt', 0)), name='prevailing_rate_basic_is_positive'), models.CheckConstraint(condition=models.Q(('fringe__gte', 0), ('fringe_to_plan__gte', 0), ('fringe_to_plan__lte', models.F('fringe'))), name='prevailing_rate_plans_lie_within_fringe'), models.CheckConstraint(condition=models.Q(models.Q(('worker_class', ''), _negated=True), models.Q(('class_named', ''), _negated=True), models.Q(('citation', ''), _negated=True)), name='prevailing_rate_names_class_and_citation'), models.CheckConstraint(condition=models.Q(('replaces__isnull', True), ('replaces__lt', models.F('id')), _connector='OR'), name='prevailing_rate_replaces_an_earlier_one')],
            },
        ),
        record_table(TABLE),
        own_key(TABLE, "job_id", "jobs_job"),
        own_key(TABLE, "replaces_id", TABLE, index=False),
        own_key(TABLE, "set_by_id", "jobs_membership", index=False),
        append_only(TABLE),
        grant(TABLE),
    ]
