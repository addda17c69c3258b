"""What the database itself refuses: rows of another organisation, changes of records, work claimed twice over."""

from django.db import migrations

from jobs.tenancy_sql import (
    SCOPE,
    app_role,
    append_only,
    definer_function,
    grant,
    never_changed_function,
    own_key,
    record_table,
    statements,
)

ROOTS = ["membership", "person", "job", "operation"]
OTHERS = [
    "device", "crew", "crewmember", "jobaccess", "budgetline", "planrevision", "level", "wall", "wallversion", "workunit",
    "workunitmeasure", "receipt", "entry", "entryshare", "entrynote", "hours", "inspection", "auditrecord",
]  # fmt: skip

KEYS = [
    own_key("jobs_membership", "person_id", "jobs_person"),
    own_key("jobs_device", "membership_id", "jobs_membership"),
    own_key("jobs_crew", "foreman_id", "jobs_membership"),
    own_key("jobs_crewmember", "crew_id", "jobs_crew", index=False),
    own_key("jobs_crewmember", "person_id", "jobs_person"),
    own_key("jobs_jobaccess", "job_id", "jobs_job", index=False),
    own_key("jobs_jobaccess", "membership_id", "jobs_membership"),
    own_key("jobs_budgetline", "job_id", "jobs_job", index=False),
    own_key("jobs_budgetline", "operation_id", "jobs_operation"),
    own_key("jobs_planrevision", "job_id", "jobs_job", index=False),
    own_key("jobs_planrevision", "imported_by_id", "jobs_membership", index=False),
    own_key("jobs_level", "job_id", "jobs_job", index=False),
    own_key("jobs_wall", "job_id", "jobs_job", index=False),
    own_key("jobs_wall", "level_id", "jobs_level", of="job_id"),
    own_key("jobs_wallversion", "wall_id", "jobs_wall", index=False),
    own_key("jobs_wallversion", "revision_id", "jobs_planrevision"),
    own_key("jobs_workunit", "job_id", "jobs_job", index=False),
    own_key("jobs_workunit", "level_id", "jobs_level", of="job_id"),
    own_key("jobs_workunit", "wall_id", "jobs_wall", of="job_id"),
    own_key("jobs_workunit", "operation_id", "jobs_operation"),
    own_key("jobs_workunit", "revision_id", "jobs_planrevision", index=False),
    own_key("jobs_workunitmeasure", "work_unit_id", "jobs_workunit", index=False),
    own_key("jobs_workunitmeasure", "revision_id", "jobs_planrevision"),
    own_key("jobs_receipt", "membership_id", "jobs_membership", index=False),
    own_key("jobs_receipt", "device_id", "jobs_device", index=False),
    own_key("jobs_entry", "uuid", "jobs_receipt", to="uuid", index=False),
    own_key("jobs_entry", "work_unit_id", "jobs_workunit", of="job_id", index=False),
    own_key("jobs_entry", "logged_by_id", "jobs_membership", index=False),
    own_key("jobs_entry", "replaces_id", "jobs_entry", of="work_unit_id", index=False),
    own_key("jobs_entryshare", "entry_id", "jobs_entry", index=False),
    own_key("jobs_entryshare", "person_id", "jobs_person"),
    own_key("jobs_entrynote", "entry_id", "jobs_entry", index=False),
    own_key("jobs_hours", "uuid", "jobs_receipt", to="uuid", index=False),
    own_key("jobs_hours", "job_id", "jobs_job", index=False),
    own_key("jobs_hours", "person_id", "jobs_person", index=False),
    own_key("jobs_hours", "logged_by_id", "jobs_membership", index=False),
    own_key("jobs_hours", "replaces_id", "jobs_hours", of="person_id", index=False),
    own_key("jobs_inspection", "uuid", "jobs_receipt", to="uuid", index=False),
    own_key("jobs_inspection", "work_unit_id", "jobs_workunit"),
    own_key("jobs_inspection", "inspected_by_id", "jobs_membership", index=False),
    own_key("jobs_auditrecord", "actor_id", "jobs_membership", index=False),
    own_key("jobs_auditrecord", "device_id", "jobs_device", index=False),
]

APPEND_ONLY = [
    "jobs_planrevision", "jobs_wallversion", "jobs_workunitmeasure", "jobs_receipt", "jobs_entry", "jobs_entryshare",
    "jobs_hours", "jobs_inspection", "jobs_auditrecord",
]  # fmt: skip

GRANTS = [
    *(grant(table) for table in APPEND_ONLY),
    grant("jobs_user", update=True),
    grant("jobs_organisation", update=True),
    grant("jobs_membership", update=["role", "person_id", "active"]),
    grant("jobs_device", update=["last_used_at", "revoked_at"]),
    grant("jobs_person", update=["name", "number", "worker_class", "started_on", "left_on", "language"]),
    grant("jobs_crew", update=["name", "foreman_id"]),
    grant("jobs_crewmember", update=["weight", "active"]),
    grant("jobs_job", update=["name", "code", "address", "rule_set", "floor_area_sqft", "started_on"]),
    grant("jobs_jobaccess", delete=True),
    grant("jobs_budgetline", update=["quantity", "labour_money"]),
    grant("jobs_level", update=["position"]),
    grant("jobs_wall"),
    grant("jobs_operation", update=["name", "position", "active"]),
    # Not `done`: only the trigger on entries writes it.
    grant("jobs_workunit", update=["measured", "revision_id", "because"]),
    grant("jobs_entrynote", update=["text"]),
    grant("django_session", update=True, delete=True),
    grant("django_content_type", insert=False),
    grant("django_migrations", insert=False),
]

# Lock work units in id order, so that two statements never wait for each other; then count. A statement that lowers
# a work unit always passes, even one that stands above its measure because a revised plan made it smaller.
ENTRIES_COUNTED = """
DECLARE
    refused record;
BEGIN
    PERFORM 1 FROM public.jobs_workunit w
     WHERE (w.organisation_id, w.id) IN (SELECT a.organisation_id, a.work_unit_id FROM added a)
     ORDER BY w.id FOR NO KEY UPDATE;

    WITH counted AS (
        UPDATE public.jobs_workunit w SET done = w.done + d.change
          FROM (SELECT a.organisation_id, a.work_unit_id, sum(a.quantity - COALESCE(r.quantity, 0)) AS change
                  FROM added a
                  LEFT JOIN public.jobs_entry r ON r.organisation_id = a.organisation_id AND r.id = a.replaces_id
                 GROUP BY a.organisation_id, a.work_unit_id) d
         WHERE w.organisation_id = d.organisation_id AND w.id = d.work_unit_id AND d.change <> 0
        RETURNING w.id, w.measured, w.done, d.change
    )
    SELECT * INTO refused FROM counted WHERE change > 0 AND done > measured ORDER BY id LIMIT 1;
    IF FOUND THEN
        RAISE EXCEPTION 'work unit %: % more would make % done, past its measured %',
                        refused.id, refused.change, refused.done, refused.measured
            USING ERRCODE = 'PW001', CONSTRAINT = 'entries_never_past_measured', TABLE = 'jobs_entry',
                  HINT = 'Claim what is left, or have the wall measured again.';
    END IF;
    RETURN NULL;
END
"""

ENTRY_SHARED = """
DECLARE
    shared numeric;
BEGIN
    SELECT COALESCE(sum(s.quantity), 0) INTO shared FROM public.jobs_entryshare s
     WHERE s.organisation_id = NEW.organisation_id AND s.entry_id = NEW.id;
    IF shared <> NEW.quantity THEN
        RAISE EXCEPTION 'entry %: its shares add up to %, not to its quantity %', NEW.id, shared, NEW.quantity
            USING ERRCODE = 'PW003', CONSTRAINT = 'entry_shares_add_up', TABLE = 'jobs_entryshare';
    END IF;
    RETURN NULL;
END
"""

SHARES_WITHIN = """
DECLARE
    refused record;
BEGIN
    SELECT e.id, e.quantity, sum(s.quantity) AS shared INTO refused
      FROM public.jobs_entry e
      JOIN public.jobs_entryshare s ON s.organisation_id = e.organisation_id AND s.entry_id = e.id
     WHERE (e.organisation_id, e.id) IN (SELECT a.organisation_id, a.entry_id FROM added a)
     GROUP BY e.id, e.quantity HAVING sum(s.quantity) > e.quantity
     ORDER BY e.id LIMIT 1;
    IF FOUND THEN
        RAISE EXCEPTION 'entry %: its shares add up to %, past its quantity %', refused.id, refused.shared, refused.quantity
            USING ERRCODE = 'PW003', CONSTRAINT = 'entry_shares_add_up', TABLE = 'jobs_entryshare';
    END IF;
    RETURN NULL;
END
"""

HOURS_COUNTED = """
DECLARE
    refused record;
BEGIN
    PERFORM 1 FROM public.jobs_person p
     WHERE (p.organisation_id, p.id) IN (SELECT a.organisation_id, a.person_id FROM added a)
     ORDER BY p.id FOR NO KEY UPDATE;

    SELECT h.person_id, h.worked_on, sum(h.minutes) AS minutes INTO refused
      FROM public.jobs_hours h
     WHERE (h.organisation_id, h.person_id, h.worked_on) IN (SELECT a.organisation_id, a.person_id, a.worked_on FROM added a)
       AND NOT EXISTS (SELECT 1 FROM public.jobs_hours n WHERE n.organisation_id = h.organisation_id AND n.replaces_id = h.id)
     GROUP BY h.person_id, h.worked_on HAVING sum(h.minutes) > 1500
     ORDER BY h.person_id, h.worked_on LIMIT 1;
    IF FOUND THEN
        RAISE EXCEPTION 'person %: % minutes on % are more than the longest day has', refused.person_id, refused.minutes, refused.worked_on
            USING ERRCODE = 'PW004', CONSTRAINT = 'hours_fit_in_their_day', TABLE = 'jobs_hours';
    END IF;
    RETURN NULL;
END
"""

UNIT_STARTS_UNDONE = """
BEGIN
    RAISE EXCEPTION 'work unit: done starts at 0 and is counted from entries, not %', NEW.done
        USING ERRCODE = 'PW005', CONSTRAINT = 'work_unit_done_is_counted', TABLE = 'jobs_workunit';
END
"""

TRIGGERS = [
    definer_function("piecewall_entries_counted()", "trigger", ENTRIES_COUNTED, language="plpgsql", callable_by_app=False),
    definer_function("piecewall_entry_shared()", "trigger", ENTRY_SHARED, language="plpgsql", callable_by_app=False),
    definer_function("piecewall_shares_within()", "trigger", SHARES_WITHIN, language="plpgsql", callable_by_app=False),
    definer_function("piecewall_hours_counted()", "trigger", HOURS_COUNTED, language="plpgsql", callable_by_app=False),
    definer_function("piecewall_unit_starts_undone()", "trigger", UNIT_STARTS_UNDONE, language="plpgsql", callable_by_app=False),
    statements(
        [
            "CREATE TRIGGER jobs_entry_counted AFTER INSERT ON jobs_entry REFERENCING NEW TABLE AS added "
            "FOR EACH STATEMENT EXECUTE FUNCTION piecewall_entries_counted()",
            "CREATE CONSTRAINT TRIGGER jobs_entry_shared AFTER INSERT ON jobs_entry DEFERRABLE INITIALLY DEFERRED "
            "FOR EACH ROW EXECUTE FUNCTION piecewall_entry_shared()",
            "CREATE TRIGGER jobs_entryshare_within AFTER INSERT ON jobs_entryshare REFERENCING NEW TABLE AS added "
            "FOR EACH STATEMENT EXECUTE FUNCTION piecewall_shares_within()",
            "CREATE TRIGGER jobs_hours_counted AFTER INSERT ON jobs_hours REFERENCING NEW TABLE AS added "
            "FOR EACH STATEMENT EXECUTE FUNCTION piecewall_hours_counted()",
            "CREATE TRIGGER jobs_workunit_starts_undone BEFORE INSERT ON jobs_workunit FOR EACH ROW "
            "WHEN (NEW.done <> 0) EXECUTE FUNCTION piecewall_unit_starts_undone()",
        ],
        [
            "DROP TRIGGER jobs_workunit_starts_undone ON jobs_workunit",
            "DROP TRIGGER jobs_hours_counted ON jobs_hours",
            "DROP TRIGGER jobs_entryshare_within ON jobs_entryshare",
            "DROP TRIGGER jobs_entry_shared ON jobs_entry",
            "DROP TRIGGER jobs_entry_counted ON jobs_entry",
        ],
    ),
]

# Before anybody is signed in no organisation is in scope, and row security shows nothing. These three look past it.
SIGN_IN = [
    definer_function(
        "piecewall_device(digest bytea)",
        "TABLE (device_id bigint, organisation_id bigint, membership_id bigint, role varchar, person_id bigint, user_id bigint, "
        "expires_at timestamptz, revoked_at timestamptz, last_used_at timestamptz, active boolean)",
        """
        SELECT d.id, d.organisation_id, m.id, m.role, m.person_id, m.user_id, d.expires_at, d.revoked_at, d.last_used_at,
               m.active AND u.is_active
          FROM public.jobs_device d
          JOIN public.jobs_membership m ON m.organisation_id = d.organisation_id AND m.id = d.membership_id
          JOIN public.jobs_user u ON u.id = m.user_id
         WHERE d.token_digest = digest
        """,
    ),
    definer_function(
        "piecewall_memberships(of_user bigint)",
        "TABLE (membership_id bigint, organisation_id bigint, organisation_name varchar, role varchar, person_id bigint)",
        """
        SELECT m.id, m.organisation_id, o.name, m.role, m.person_id
          FROM public.jobs_membership m
          JOIN public.jobs_organisation o ON o.id = m.organisation_id
          JOIN public.jobs_user u ON u.id = m.user_id
         WHERE m.user_id = of_user AND m.active AND u.is_active
         ORDER BY o.name, m.id
        """,
    ),
    definer_function(
        "piecewall_organisations()", "TABLE (organisation_id bigint)", "SELECT o.id FROM public.jobs_organisation o ORDER BY o.id"
    ),
]

ORGANISATION = statements(
    [
        "ALTER TABLE jobs_organisation ENABLE ROW LEVEL SECURITY",
        f"CREATE POLICY jobs_organisation_scope ON jobs_organisation USING (id = {SCOPE}) WITH CHECK (id = {SCOPE})",
        # An organisation is written in its own scope, so its id must be known before it is.
        f"GRANT USAGE ON SEQUENCE jobs_organisation_id_seq TO {app_role()}",
    ],
    [
        f"REVOKE ALL ON SEQUENCE jobs_organisation_id_seq FROM {app_role()}",
        "DROP POLICY jobs_organisation_scope ON jobs_organisation",
        "ALTER TABLE jobs_organisation DISABLE ROW LEVEL SECURITY",
    ],
)


class Migration(migrations.Migration):
    dependencies = [
        ("jobs", "0001_records"),
        ("sessions", "0001_initial"),
        ("contenttypes", "0002_remove_content_type_name"),
    ]

    operations = [
        ORGANISATION,
        *(record_table(f"jobs_{name}", root=True) for name in ROOTS),
        *(record_table(f"jobs_{name}") for name in OTHERS),
        *KEYS,
        never_changed_function(),
        *(append_only(table) for table in APPEND_ONLY),
        *GRANTS,
        *TRIGGERS,
        *SIGN_IN,
    ]
