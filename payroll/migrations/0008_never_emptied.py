"""Nobody empties the table of a week's papers at once, the owner of the tables neither."""

from django.db import migrations

from jobs.tenancy_sql import never_emptied


class Migration(migrations.Migration):
    dependencies = [("payroll", "0007_agreements_and_periods_guards"), ("jobs", "0009_never_emptied")]

    operations = [never_emptied("payroll_paperspart")]
