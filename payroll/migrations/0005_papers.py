"""Papers of a whole week, made in parts; and the one question about a statement that nobody needs to sign in for."""

import django.db.models.deletion
from django.db import migrations, models

from jobs.tenancy_sql import definer_function, grant, own_key, record_table, statements

# Whoever holds the paper knows its hash; nobody else can guess 256 bits. It answers the week, whether another statement
# took its place, and whether an amount is the gross. Money and names never leave it.
STANDS = """
SELECT min(p.first_day),
       bool_or(EXISTS (SELECT 1 FROM public.payroll_statement n
                        WHERE n.organisation_id = s.organisation_id AND n.corrects_id = s.id)),
       bool_or(s.gross = asked)
  FROM public.payroll_statement s
  JOIN public.payroll_payweek p ON p.organisation_id = s.organisation_id AND p.id = s.pay_week_id
 WHERE s.digest = wanted
HAVING count(*) > 0
"""


class Migration(migrations.Migration):
    dependencies = [("payroll", "0004_prevailing_rates")]

    operations = [
        migrations.CreateModel(
            name="PapersPart",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("part", models.PositiveIntegerField(help_text="from 1")),
                ("statements", models.PositiveIntegerField()),
                ("archive", models.BinaryField(help_text="a zip of PDFs")),
                ("made_at", models.DateTimeField()),
                ("organisation", models.ForeignKey(db_constraint=False, db_index=False, editable=False, on_delete=django.db.models.deletion.PROTECT, related_name="+", to="jobs.organisation")),
                ("pay_week", models.ForeignKey(db_constraint=False, db_index=False, on_delete=django.db.models.deletion.PROTECT, related_name="papers", to="payroll.payweek")),
            ],
            options={"abstract": False, "base_manager_name": "objects"},
        ),
        record_table("payroll_paperspart"),
        own_key("payroll_paperspart", "pay_week_id", "payroll_payweek", index=False),
        migrations.AddConstraint(
            model_name="paperspart",
            constraint=models.UniqueConstraint(fields=["organisation", "pay_week", "part"], name="papers_part_once"),
        ),
        grant("payroll_paperspart", delete=True),
        statements(
            ["CREATE INDEX payroll_statement_digest_idx ON payroll_statement (digest)"],
            ["DROP INDEX payroll_statement_digest_idx"],
        ),
        definer_function(
            "piecewall_statement_stands(wanted bytea, asked numeric)",
            "TABLE (first_day date, superseded boolean, agrees boolean)",
            STANDS,
        ),
    ]
