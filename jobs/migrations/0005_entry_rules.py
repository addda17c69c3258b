"""Rules of what is logged: hours from when to when never cross, and reasons of inspections can be forgotten."""

import django.db.models.deletion
from django.db import migrations, models
from django.db.models import F, Q

from jobs.tenancy_sql import definer_function, grant, own_key, record_table, statements

RECORD_OPTIONS = {"abstract": False, "base_manager_name": "objects"}


def _key(to, name="+"):
    return models.ForeignKey(
        db_constraint=False,
        db_index=False,
        on_delete=django.db.models.deletion.PROTECT,
        related_name=name,
        to=to,
    )


def _record(name, fields, constraints):
    columns = [
        ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
        *fields,
    ]
    organisation = models.ForeignKey(
        db_constraint=False,
        db_index=False,
        editable=False,
        on_delete=django.db.models.deletion.PROTECT,
        related_name="+",
        to="jobs.organisation",
    )
    return migrations.CreateModel(
        name=name,
        fields=[*columns, ("organisation", organisation)],
        options={**RECORD_OPTIONS, "constraints": list(constraints)},
    )


NEW_COLUMNS = [
    migrations.AddField("hours", "started_at", models.DateTimeField(null=True, blank=True)),
    migrations.AddField("hours", "finished_at", models.DateTimeField(null=True, blank=True)),
    migrations.AddConstraint(
        "hours",
        models.CheckConstraint(
            condition=Q(started_at__isnull=True, finished_at__isnull=True)
            | Q(started_at__isnull=False, finished_at__isnull=False, finished_at__gte=F("started_at")),
            name="hours_start_and_finish_together",
        ),
    ),
    migrations.AddField("inspection", "reason_digest", models.CharField(blank=True, default="", max_length=64)),
]

NEW_TABLES = [
    _record(
        "HoursSpan",
        [
            ("started_at", models.DateTimeField()),
            ("finished_at", models.DateTimeField()),
            ("hours", _key("jobs.hours")),
            ("person", _key("jobs.person")),
        ],
        [
            models.UniqueConstraint(fields=("organisation", "hours"), name="hours_span_once"),
            models.CheckConstraint(condition=Q(finished_at__gt=F("started_at")), name="hours_span_goes_forward"),
        ],
    ),
    _record(
        "InspectionNote",
        [("text", models.CharField(max_length=500)), ("inspection", _key("jobs.inspection", "notes"))],
        [models.UniqueConstraint(fields=("organisation", "inspection"), name="inspection_note_once")],
    ),
]

# The digest is salted with the operation's UUID, as that of a receipt (see jobs/requests.py).
REASONS_APART = statements(
    [
        "ALTER TABLE jobs_inspection DISABLE TRIGGER jobs_inspection_append_only",
        "UPDATE jobs_inspection SET reason_digest = "
        "encode(sha256(uuid_send(uuid) || convert_to(reason, 'UTF8')), 'hex') WHERE reason <> ''",
        "ALTER TABLE jobs_inspection ENABLE TRIGGER jobs_inspection_append_only",
        "INSERT INTO jobs_inspectionnote (organisation_id, inspection_id, text) "
        "SELECT organisation_id, id, reason FROM jobs_inspection WHERE reason <> ''",
    ],
    [],
)

# Hours that another row replaces are in force no longer, so their span goes. A span of 0 minutes is none.
HOURS_SPANNED = """
BEGIN
    DELETE FROM public.jobs_hoursspan s USING added a
     WHERE s.organisation_id = a.organisation_id AND s.hours_id = a.replaces_id;
    INSERT INTO public.jobs_hoursspan (organisation_id, hours_id, person_id, started_at, finished_at)
    SELECT a.organisation_id, a.id, a.person_id, a.started_at, a.finished_at
      FROM added a
     WHERE a.finished_at > a.started_at
       AND NOT EXISTS (SELECT 1 FROM added n WHERE n.organisation_id = a.organisation_id AND n.replaces_id = a.id)
     ORDER BY a.id;
    RETURN NULL;
END
"""

SPANS = [
    definer_function("piecewall_hours_spanned()", "trigger", HOURS_SPANNED, language="plpgsql", callable_by_app=False),
    statements(
        [
            "CREATE TRIGGER jobs_hours_spanned AFTER INSERT ON jobs_hours REFERENCING NEW TABLE AS added "
            "FOR EACH STATEMENT EXECUTE FUNCTION piecewall_hours_spanned()",
            # A range of one person's id instead of the id: equality of numbers has no such index without an extension.
            "ALTER TABLE jobs_hoursspan ADD CONSTRAINT hours_do_not_overlap EXCLUDE USING gist "
            "(int8range(person_id, person_id, '[]') WITH &&, tstzrange(started_at, finished_at) WITH &&)",
        ],
        [
            "ALTER TABLE jobs_hoursspan DROP CONSTRAINT hours_do_not_overlap",
            "DROP TRIGGER jobs_hours_spanned ON jobs_hours",
        ],
    ),
]

# As migration 0003 bars it for the tables before these.
NEVER_EMPTIED = statements(
    [
        f"CREATE TRIGGER jobs_{name}_never_emptied BEFORE TRUNCATE ON jobs_{name} "
        "FOR EACH STATEMENT EXECUTE FUNCTION piecewall_never_changed()"
        for name in ("hoursspan", "inspectionnote")
    ],
    [f"DROP TRIGGER jobs_{name}_never_emptied ON jobs_{name}" for name in ("hoursspan", "inspectionnote")],
)


class Migration(migrations.Migration):
    dependencies = [("jobs", "0004_changes")]

    operations = [
        *NEW_COLUMNS,
        *NEW_TABLES,
        *(record_table(f"jobs_{name}") for name in ("hoursspan", "inspectionnote")),
        own_key("jobs_hoursspan", "hours_id", "jobs_hours", index=False),
        own_key("jobs_hoursspan", "person_id", "jobs_person", index=False),
        own_key("jobs_inspectionnote", "inspection_id", "jobs_inspection", index=False),
        grant("jobs_hoursspan", insert=False),
        grant("jobs_inspectionnote", update=["text"]),
        REASONS_APART,
        migrations.RemoveConstraint("inspection", "inspection_reopens_for_a_reason"),
        migrations.RemoveField("inspection", "reason"),
        migrations.AddConstraint(
            "inspection",
            models.CheckConstraint(
                condition=Q(verdict="accepted") | ~Q(reason_digest=""), name="inspection_reopens_for_a_reason"
            ),
        ),
        *SPANS,
        NEVER_EMPTIED,
    ]
