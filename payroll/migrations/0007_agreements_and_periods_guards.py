"""What the database itself refuses of agreements, local minimums, missed breaks, pay periods and final pay."""

from django.db import migrations

from jobs.tenancy_sql import append_only, grant, own_key, record_table, statements

TABLES = ["agreement", "localminimum", "missedbreak", "payperiod", "finalpay"]


def same(table, *shared):
    """A row replaces one of the same facts only."""
    name = f"payroll_{table}"
    columns = ", ".join(["organisation_id", *shared])
    return statements(
        [
            f"ALTER TABLE {name} ADD CONSTRAINT {name}_of_same UNIQUE ({columns}, id)",
            f"ALTER TABLE {name} ADD CONSTRAINT {name}_replaces_own FOREIGN KEY ({columns}, replaces_id) "
            f"REFERENCES {name} ({columns}, id)",
        ],
        [
            f"ALTER TABLE {name} DROP CONSTRAINT {name}_replaces_own",
            f"ALTER TABLE {name} DROP CONSTRAINT {name}_of_same",
        ],
    )


KEYS = [
    own_key("payroll_agreement", "person_id", "jobs_person", index=False),
    own_key("payroll_agreement", "recorded_by_id", "jobs_membership", index=False),
    same("agreement", "person_id", "kind"),
    own_key("payroll_localminimum", "job_id", "jobs_job", index=False),
    own_key("payroll_localminimum", "recorded_by_id", "jobs_membership", index=False),
    same("localminimum", "job_id", "starts_on"),
    own_key("payroll_missedbreak", "person_id", "jobs_person", index=False),
    own_key("payroll_missedbreak", "recorded_by_id", "jobs_membership", index=False),
    same("missedbreak", "person_id", "missed_on", "kind"),
    own_key("payroll_payperiod", "set_by_id", "jobs_membership", index=False),
    same("payperiod", "starts_on"),
    own_key("payroll_finalpay", "person_id", "jobs_person", index=False),
    own_key("payroll_finalpay", "pay_week_id", "payroll_payweek", index=False),
    own_key("payroll_finalpay", "statement_id", "payroll_statement", index=False),
    own_key("payroll_finalpay", "closed_by_id", "jobs_membership", index=False),
    # The statement is that person's, of that week.
    statements(
        [
            "ALTER TABLE payroll_finalpay ADD CONSTRAINT payroll_finalpay_of_its_statement "
            "FOREIGN KEY (organisation_id, pay_week_id, person_id, statement_id) "
            "REFERENCES payroll_statement (organisation_id, pay_week_id, person_id, id)"
        ],
        ["ALTER TABLE payroll_finalpay DROP CONSTRAINT payroll_finalpay_of_its_statement"],
    ),
]


class Migration(migrations.Migration):
    dependencies = [("payroll", "0006_agreements_and_periods")]

    operations = [
        *(record_table(f"payroll_{name}", root=name == "payperiod") for name in TABLES),
        *KEYS,
        *(append_only(f"payroll_{name}") for name in TABLES),
        *(grant(f"payroll_{name}") for name in TABLES),
        grant("payroll_payweek", update=["agreements_to", "minimums_to", "breaks_to"]),
    ]
