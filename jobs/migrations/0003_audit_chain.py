"""The chain of audit records, salts by which people can be forgotten, former ids of restored rows, TRUNCATE barred,
walls and openings that a revised plan gives another mark."""

import uuid

import django.contrib.postgres.functions
import django.db.models.deletion
from django.db import migrations, models

from jobs.tenancy_sql import app_role, append_only, grant, own_key, record_table, statements

# Tables whose rows do change: emptying them is no change that any service makes.
CHANGING = [
    "user", "organisation", "membership", "device", "person", "crew", "crewmember", "job", "jobaccess", "budgetline",
    "level", "wall", "operation", "workunit", "entrynote",
]  # fmt: skip

GUARDS = [
    record_table("jobs_auditlink"),
    record_table("jobs_formerid", root=True),
    own_key("jobs_auditlink", "record_id", "jobs_auditrecord", index=False),
    append_only("jobs_auditlink"),
    append_only("jobs_formerid"),
    grant("jobs_auditlink"),
    grant("jobs_formerid"),
    statements(
        [f"GRANT UPDATE (salt) ON jobs_person TO {app_role()}"],
        [f"REVOKE UPDATE (salt) ON jobs_person FROM {app_role()}"],
    ),
    statements(
        [
            f"GRANT UPDATE (mark) ON jobs_wall TO {app_role()}",
            f"GRANT UPDATE (opening) ON jobs_workunit TO {app_role()}",
        ],
        [
            f"REVOKE UPDATE (opening) ON jobs_workunit FROM {app_role()}",
            f"REVOKE UPDATE (mark) ON jobs_wall FROM {app_role()}",
        ],
    ),
    statements(
        [
            f"CREATE TRIGGER jobs_{name}_never_emptied BEFORE TRUNCATE ON jobs_{name} "
            "FOR EACH STATEMENT EXECUTE FUNCTION piecewall_never_changed()"
            for name in CHANGING
        ],
        [f"DROP TRIGGER jobs_{name}_never_emptied ON jobs_{name}" for name in CHANGING],
    ),
]


class Migration(migrations.Migration):
    dependencies = [("jobs", "0002_guards")]

    operations = [
        migrations.AddField(
            model_name='auditrecord',
            name='written_in',
            field=models.BigIntegerField(blank=True, help_text='for a restored record: the id its organisation had when it was written', null=True),
        ),
        migrations.AddField(
            model_name='person',
            name='salt',
            field=models.UUIDField(db_default=django.contrib.postgres.functions.RandomUUID(), default=uuid.uuid4, editable=False, help_text='goes into digests; made anew to forget him'),
        ),
        migrations.CreateModel(
            name='AuditLink',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('number', models.BigIntegerField(help_text='from 1, without gaps')),
                ('digest', models.BinaryField(max_length=32)),
                ('sealed_at', models.DateTimeField()),
                ('organisation', models.ForeignKey(db_constraint=False, db_index=False, editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='jobs.organisation')),
                ('record', models.ForeignKey(db_constraint=False, db_index=False, on_delete=django.db.models.deletion.PROTECT, related_name='links', to='jobs.auditrecord')),
            ],
            options={
                'abstract': False,
                'base_manager_name': 'objects',
                'constraints': [models.UniqueConstraint(fields=('organisation', 'number'), name='audit_chain_has_one_line'), models.UniqueConstraint(fields=('organisation', 'record'), name='audit_record_is_sealed_once'), models.CheckConstraint(condition=models.Q(('number__gte', 1)), name='audit_chain_starts_at_one')],
            },
        ),
        migrations.CreateModel(
            name='FormerId',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('written_in', models.BigIntegerField(help_text='the id of the organisation the row came from')),
                ('kind', models.CharField(help_text='the model of the row, as jobs.person', max_length=40)),
                ('former', models.BigIntegerField()),
                ('now', models.BigIntegerField()),
                ('organisation', models.ForeignKey(db_constraint=False, db_index=False, editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='jobs.organisation')),
            ],
            options={
                'abstract': False,
                'base_manager_name': 'objects',
                'constraints': [models.UniqueConstraint(fields=('organisation', 'written_in', 'kind', 'now'), name='former_id_once_for_each_row'), models.UniqueConstraint(fields=('organisation', 'written_in', 'kind', 'former'), name='former_id_names_one_row')],
            },
        ),
        *GUARDS,
    ]
