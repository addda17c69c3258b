"""Photos of entries. A photo's image is the one of its hash or, once it was forgotten, none."""

import django.db.models.deletion
from django.db import migrations, models
from django.db.models import Q

from jobs.tenancy_sql import grant, never_emptied, own_key, record_table, statements

KINDS = [(kind, kind) for kind in ("entry", "hours", "inspection", "word", "photo")]


def _key(to, name="+", **options):
    return models.ForeignKey(
        db_constraint=False,
        db_index=False,
        on_delete=django.db.models.deletion.PROTECT,
        related_name=name,
        to=to,
        **options,
    )


PHOTO = migrations.CreateModel(
    name="EntryPhoto",
    fields=[
        ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
        ("uuid", models.UUIDField()),
        ("position", models.PositiveSmallIntegerField(help_text="1 for the entry's first photo")),
        ("sha256", models.CharField(max_length=64)),
        ("width", models.PositiveSmallIntegerField(help_text="in pixels")),
        ("height", models.PositiveSmallIntegerField(help_text="in pixels")),
        ("image", models.BinaryField(help_text="a JPEG; empty once it was forgotten")),
        ("received_at", models.DateTimeField()),
        ("added_by", _key("jobs.membership")),
        ("entry", _key("jobs.entry", "photos")),
        ("organisation", _key("jobs.organisation", editable=False)),
    ],
    options={
        "abstract": False,
        "base_manager_name": "objects",
        "constraints": [
            models.UniqueConstraint(fields=("organisation", "uuid"), name="entry_photo_uuid_is_unique"),
            models.UniqueConstraint(fields=("organisation", "entry", "position"), name="entry_photo_has_its_place"),
            models.CheckConstraint(condition=Q(position__gte=1, position__lte=6), name="entry_photos_are_few"),
        ],
    },
)
HASHED = statements(
    [
        "ALTER TABLE jobs_entryphoto ADD CONSTRAINT entry_photo_is_the_one_hashed "
        "CHECK (image = '' OR encode(sha256(image), 'hex') = sha256)"
    ],
    ["ALTER TABLE jobs_entryphoto DROP CONSTRAINT entry_photo_is_the_one_hashed"],
)


class Migration(migrations.Migration):
    dependencies = [("jobs", "0009_never_emptied")]

    operations = [
        migrations.RemoveConstraint("receipt", "receipt_kind_is_known"),
        migrations.AlterField("receipt", "kind", models.CharField(choices=KINDS, max_length=10)),
        migrations.AddConstraint(
            "receipt",
            models.CheckConstraint(condition=Q(kind__in=[kind for kind, _ in KINDS]), name="receipt_kind_is_known"),
        ),
        PHOTO,
        record_table("jobs_entryphoto"),
        own_key("jobs_entryphoto", "uuid", "jobs_receipt", to="uuid", index=False),
        own_key("jobs_entryphoto", "entry_id", "jobs_entry", index=False),
        own_key("jobs_entryphoto", "added_by_id", "jobs_membership", index=False),
        HASHED,
        grant("jobs_entryphoto", update=["image"]),
        never_emptied("jobs_entryphoto"),
    ]
