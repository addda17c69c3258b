"""When in the day the pieces of an entry were made, where that was told."""

from django.db import migrations, models
from django.db.models import F, Q

TOGETHER = Q(started_at__isnull=True, finished_at__isnull=True) | Q(
    started_at__isnull=False, finished_at__isnull=False, finished_at__gt=F("started_at")
)


class Migration(migrations.Migration):
    dependencies = [("jobs", "0010_entry_photos")]

    operations = [
        migrations.AddField("entry", "started_at", models.DateTimeField(null=True, blank=True)),
        migrations.AddField("entry", "finished_at", models.DateTimeField(null=True, blank=True)),
        migrations.AddConstraint(
            "entry", models.CheckConstraint(condition=TOGETHER, name="entry_start_and_finish_together")
        ),
        migrations.AddIndex(
            "entry",
            models.Index(
                fields=["organisation", "worked_on"],
                condition=Q(started_at__isnull=False),
                name="entry_with_span_by_day",
            ),
        ),
    ]
