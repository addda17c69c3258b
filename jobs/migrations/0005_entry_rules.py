"""Hours from when to when, what entries say of themselves, the order of hanging, words of workers, reasons apart."""

import django.db.models.deletion
from django.db import migrations, models
from django.db.models import F, Q, Value

from jobs.tenancy_sql import append_only, definer_function, grant, own_key, record_table, statements

RECORD_OPTIONS = {"abstract": False, "base_manager_name": "objects"}


def _key(to, name="+"):
    return models.ForeignKey(
        db_constraint=False,
        db_index=False,
        on_delete=django.db.models.deletion.PROTECT,
        related_name=name,
        to=to,
    )


def _record(name, fields, constraints, indexes=()):
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
        options={**RECORD_OPTIONS, "constraints": list(constraints), "indexes": list(indexes)},
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
    *(
        migrations.AddField(
            "entry",
            name,
            models.JSONField(default=list, db_default=Value([], models.JSONField()), help_text=help_text),
        )
        for name, help_text in (
            ("because", "how what was said, such as 3 sheets, became the quantity: rules, sources, terms"),
            (
                "notices",
                "what to look at on site, such as a face logged before the one that goes first; never a refusal",
            ),
        )
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
    _record(
        "HangingRule",
        [
            ("because", models.CharField(max_length=200)),
            ("job", _key("jobs.job")),
            ("work_unit", _key("jobs.workunit")),
            ("first", _key("jobs.workunit")),
        ],
        [
            models.UniqueConstraint(fields=("organisation", "work_unit", "first", "because"), name="hanging_rule_once"),
            models.CheckConstraint(condition=~Q(work_unit=F("first")), name="hanging_rule_names_two"),
        ],
    ),
    _record(
        "Word",
        [
            ("uuid", models.UUIDField(help_text="of the entry or hours")),
            (
                "says",
                models.CharField(
                    choices=[("confirmed", "confirmed"), ("disputed", "disputed"), ("settled", "settled")], max_length=9
                ),
            ),
            ("reason_digest", models.CharField(blank=True, default="", max_length=64)),
            ("said_at", models.DateTimeField()),
            ("person", _key("jobs.person", "words")),
            ("said_by", _key("jobs.membership")),
        ],
        [
            models.CheckConstraint(condition=Q(says__in=["confirmed", "disputed", "settled"]), name="word_is_known"),
            models.CheckConstraint(condition=Q(says="confirmed") | ~Q(reason_digest=""), name="word_has_a_reason"),
        ],
        [models.Index(fields=["organisation", "uuid", "person", "id"], name="word_by_record")],
    ),
    _record(
        "WordNote",
        [("text", models.CharField(max_length=500)), ("word", _key("jobs.word", "notes"))],
        [models.UniqueConstraint(fields=("organisation", "word"), name="word_note_once")],
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
        for name in ("hoursspan", "inspectionnote", "hangingrule", "wordnote")
    ],
    [
        f"DROP TRIGGER jobs_{name}_never_emptied ON jobs_{name}"
        for name in ("hoursspan", "inspectionnote", "hangingrule", "wordnote")
    ],
)


class Migration(migrations.Migration):
    dependencies = [("jobs", "0004_changes")]

    operations = [
        *NEW_COLUMNS,
        *NEW_TABLES,
        *(record_table(f"jobs_{name}") for name in ("hoursspan", "inspectionnote", "hangingrule", "word", "wordnote")),
        own_key("jobs_hoursspan", "hours_id", "jobs_hours", index=False),
        own_key("jobs_hoursspan", "person_id", "jobs_person", index=False),
        own_key("jobs_inspectionnote", "inspection_id", "jobs_inspection", index=False),
        own_key("jobs_hangingrule", "job_id", "jobs_job"),
        own_key("jobs_hangingrule", "work_unit_id", "jobs_workunit", of="job_id", index=False),
        own_key("jobs_hangingrule", "first_id", "jobs_workunit", of="job_id", index=False),
        own_key("jobs_word", "uuid", "jobs_receipt", to="uuid", index=False),
        own_key("jobs_word", "person_id", "jobs_person"),
        own_key("jobs_word", "said_by_id", "jobs_membership", index=False),
        own_key("jobs_wordnote", "word_id", "jobs_word", index=False),
        append_only("jobs_word"),
        grant("jobs_hoursspan", insert=False),
        grant("jobs_inspectionnote", update=["text"]),
        grant("jobs_hangingrule", delete=True),
        grant("jobs_word"),
        grant("jobs_wordnote", update=["text"]),
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
