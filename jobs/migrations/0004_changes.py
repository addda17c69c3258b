"""What phones follow: each row they hold bears the transaction that changed it last.

`changed` is a transaction's number (xid8), set by the database on every insert and every real update. A number of a
sequence or a clock would not do: a transaction that started early may commit late, and its rows would then lie before
a phone's cursor. A phone's cursor is a snapshot instead, and what it has not seen is what that snapshot does not hold
(see `jobs.selectors.changes`). The column is not a field of the models: nobody but that module asks for it.
"""

from django.db import migrations

from jobs.tenancy_sql import definer_function, statements

FOLLOWED = [
    "membership", "person", "crew", "crewmember", "job", "jobaccess", "operation", "level", "wall", "workunit",
]  # fmt: skip
# Many rows under one job: found by job and change, in the order in which pages are cut.
LARGE = ["wall", "workunit"]

CHANGED = """
BEGIN
    NEW.changed := pg_current_xact_id();
    RETURN NEW;
END
"""

# A work unit's last inspection is told with it.
UNIT_INSPECTED = """
BEGIN
    UPDATE public.jobs_workunit w SET changed = pg_current_xact_id()
      FROM (SELECT DISTINCT a.organisation_id, a.work_unit_id FROM added a ORDER BY 1, 2) i
     WHERE w.organisation_id = i.organisation_id AND w.id = i.work_unit_id;
    RETURN NULL;
END
"""


def _follow(name):
    table = f"jobs_{name}"
    forward = [
        f"ALTER TABLE {table} ADD COLUMN changed xid8 NOT NULL DEFAULT pg_current_xact_id()",
        f"CREATE TRIGGER {table}_changed BEFORE UPDATE ON {table} FOR EACH ROW "
        "WHEN (OLD.* IS DISTINCT FROM NEW.*) EXECUTE FUNCTION piecewall_changed()",
    ]
    if name in LARGE:
        forward.append(f"CREATE INDEX {table}_followed ON {table} (organisation_id, job_id, changed, id)")
    return statements(forward, [f"DROP TRIGGER {table}_changed ON {table}", f"ALTER TABLE {table} DROP COLUMN changed"])


class Migration(migrations.Migration):
    dependencies = [("jobs", "0003_audit_chain")]

    operations = [
        definer_function("piecewall_changed()", "trigger", CHANGED, language="plpgsql", callable_by_app=False),
        definer_function(
            "piecewall_unit_inspected()", "trigger", UNIT_INSPECTED, language="plpgsql", callable_by_app=False
        ),
        *(_follow(name) for name in FOLLOWED),
        statements(
            [
                "CREATE TRIGGER jobs_inspection_changes_unit AFTER INSERT ON jobs_inspection REFERENCING NEW TABLE AS added "
                "FOR EACH STATEMENT EXECUTE FUNCTION piecewall_unit_inspected()"
            ],
            ["DROP TRIGGER jobs_inspection_changes_unit ON jobs_inspection"],
        ),
    ]
