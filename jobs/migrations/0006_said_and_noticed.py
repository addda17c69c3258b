"""What entries say of themselves: how much in people's own words and what to look at; and words of workers on them."""

import django.db.models.deletion
from django.db import migrations, models
from django.db.models import Q, Value

from jobs.tenancy_sql import append_only, grant, own_key, record_table, statements

RECORD_OPTIONS = {"abstract": False, "base_manager_name": "objects"}
SAYS = [("confirmed", "confirmed"), ("disputed", "disputed"), ("settled", "settled")]
KINDS = [("entry", "entry"), ("hours", "hours"), ("inspection", "inspection"), ("word", "word")]


def _key(to, name="+"):
    return models.ForeignKey(
        db_constraint=False, db_index=False, on_delete=django.db.models.deletion.PROTECT, related_name=name, to=to
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
    migrations.AddField("entry", "said", models.JSONField(null=True, blank=True, help_text="the part as it was told")),
    *(
        migrations.AddField(
            "entry",
            name,
            models.JSONField(default=list, db_default=Value([], models.JSONField()), help_text=help_text),
        )
        for name, help_text in (
            ("because", "how what was told, such as 3 sheets, became the quantity: rules, sources, terms"),
            ("notices", "what to look at, such as a face logged before the one that goes first: kind, sentence, next"),
        )
    ),
    migrations.RemoveConstraint("receipt", "receipt_kind_is_known"),
    migrations.AlterField("receipt", "kind", models.CharField(choices=KINDS, max_length=10)),
    migrations.AddConstraint(
        "receipt",
        models.CheckConstraint(
            condition=Q(kind__in=["entry", "hours", "inspection", "word"]), name="receipt_kind_is_known"
        ),
    ),
]

NEW_TABLES = [
    _record(
        "Word",
        [
            ("uuid", models.UUIDField()),
            ("about", models.UUIDField(help_text="of the entry or hours")),
            ("says", models.CharField(choices=SAYS, max_length=9)),
            ("reason_digest", models.CharField(blank=True, default="", max_length=64)),
            ("received_at", models.DateTimeField()),
            ("person", _key("jobs.person", "words")),
            ("said_by", _key("jobs.membership")),
        ],
        [
            models.UniqueConstraint(fields=("organisation", "uuid"), name="word_uuid_is_unique"),
            models.CheckConstraint(condition=Q(says__in=["confirmed", "disputed", "settled"]), name="word_is_known"),
            models.CheckConstraint(condition=Q(says="confirmed") | ~Q(reason_digest=""), name="word_has_a_reason"),
        ],
        [models.Index(fields=["organisation", "about", "person", "id"], name="word_by_record")],
    ),
    _record(
        "WordNote",
        [("text", models.CharField(max_length=500)), ("word", _key("jobs.word", "notes"))],
        [models.UniqueConstraint(fields=("organisation", "word"), name="word_note_once")],
    ),
]

# As migration 0003 bars it for the tables before these; append-only ones are barred already.
NEVER_EMPTIED = statements(
    [
        "CREATE TRIGGER jobs_wordnote_never_emptied BEFORE TRUNCATE ON jobs_wordnote "
        "FOR EACH STATEMENT EXECUTE FUNCTION piecewall_never_changed()"
    ],
    ["DROP TRIGGER jobs_wordnote_never_emptied ON jobs_wordnote"],
)


class Migration(migrations.Migration):
    dependencies = [("jobs", "0005_entry_rules")]

    operations = [
        *NEW_COLUMNS,
        *NEW_TABLES,
        record_table("jobs_word"),
        record_table("jobs_wordnote"),
        own_key("jobs_word", "uuid", "jobs_receipt", to="uuid", index=False),
        own_key("jobs_word", "about", "jobs_receipt", to="uuid", index=False),
        own_key("jobs_word", "person_id", "jobs_person"),
        own_key("jobs_word", "said_by_id", "jobs_membership", index=False),
        own_key("jobs_wordnote", "word_id", "jobs_word", index=False),
        append_only("jobs_word"),
        grant("jobs_word"),
        grant("jobs_wordnote", update=["text"]),
        NEVER_EMPTIED,
    ]
