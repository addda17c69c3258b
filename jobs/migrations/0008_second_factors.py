"""Second factors, kept by django-otp for users, and organisations that ask for one."""

from django.db import migrations, models

from jobs.tenancy_sql import grant


class Migration(migrations.Migration):
    dependencies = [
        ("jobs", "0007_accounts"),
        ("otp_totp", "0003_add_timestamps"),
        ("otp_static", "0003_add_timestamps"),
    ]

    operations = [
        migrations.AddField(
            "organisation",
            "second_factor_required",
            models.BooleanField(default=False, help_text="of every owner and office"),
        ),
        migrations.CreateModel(
            name="SecondFactor",
            fields=[],
            options={"proxy": True, "indexes": [], "constraints": []},
            bases=("otp_totp.totpdevice",),
        ),
        *(
            grant(table, update=True, delete=True)
            for table in ("otp_totp_totpdevice", "otp_static_staticdevice", "otp_static_statictoken")
        ),
    ]
