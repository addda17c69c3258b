"""Restored statements keep the id of the organisation they were written in, which their digest covers."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ('payroll', '0002_guards'),
    ]

    operations = [
        migrations.AddField(
            model_name='statement',
            name='written_in',
            field=models.BigIntegerField(blank=True, help_text='for a restored statement: the id its organisation had when it was written', null=True),
        ),
    ]
