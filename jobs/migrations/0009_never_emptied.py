"""Nobody empties the tables of second factors at once, the owner of the tables neither."""

from django.db import migrations

from jobs.tenancy_sql import never_emptied

TABLES = ("otp_totp_totpdevice", "otp_static_staticdevice", "otp_static_statictoken")


class Migration(migrations.Migration):
    dependencies = [("jobs", "0008_second_factors")]

    operations = [never_emptied(table) for table in TABLES]
