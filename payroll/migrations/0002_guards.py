"""What the database itself refuses in pay: another organisation's rows, a changed statement, a week closed twice, sums that do not add up."""

from django.db import migrations

from jobs.tenancy_sql import app_role, append_only, definer_function, grant, own_key, record_table, statements

TABLES = [
    "heightband", "rate", "payweek", "statement", "statementline", "lineallotment", "statementhours", "jobshare", "weeklyreport",
]  # fmt: skip
ROOTS = {"heightband", "payweek"}

KEYS = [
    own_key("payroll_rate", "operation_id", "jobs_operation"),
    own_key("payroll_rate", "job_id", "jobs_job", index=False),
    own_key("payroll_rate", "replaces_id", "payroll_rate", index=False),
    own_key("payroll_rate", "set_by_id", "jobs_membership", index=False),
    own_key("payroll_payweek", "opened_by_id", "jobs_membership", index=False),
    own_key("payroll_payweek", "closed_by_id", "jobs_membership", index=False),
    own_key("payroll_statement", "pay_week_id", "payroll_payweek"),
    own_key("payroll_statement", "paid_in_id", "payroll_payweek"),
    own_key("payroll_statement", "person_id", "jobs_person", index=False),
    own_key("payroll_statementline", "statement_id", "payroll_statement", index=False),
    own_key("payroll_statementline", "job_id", "jobs_job", index=False),
    own_key("payroll_statementline", "operation_id", "jobs_operation", index=False),
    own_key("payroll_statementline", "pays_id", "payroll_statement", index=False),
    own_key("payroll_lineallotment", "line_id", "payroll_statementline", index=False),
    own_key("payroll_lineallotment", "entry_id", "jobs_entry"),
    own_key("payroll_lineallotment", "rate_used_id", "payroll_rate", index=False),
    own_key("payroll_statementhours", "statement_id", "payroll_statement"),
    own_key("payroll_statementhours", "hours_id", "jobs_hours"),
    own_key("payroll_jobshare", "line_id", "payroll_statementline", index=False),
    own_key("payroll_jobshare", "job_id", "jobs_job"),
    own_key("payroll_weeklyreport", "job_id", "jobs_job", index=False),
    # What hangs on a statement is found by its id alone, so that no plan can take an index of the whole organisation.
    statements(
        [
            "CREATE INDEX payroll_statementline_statement_idx ON payroll_statementline (statement_id)",
            "CREATE INDEX payroll_lineallotment_line_idx ON payroll_lineallotment (line_id)",
            "CREATE INDEX payroll_jobshare_line_idx ON payroll_jobshare (line_id)",
        ],
        [
            "DROP INDEX payroll_jobshare_line_idx",
            "DROP INDEX payroll_lineallotment_line_idx",
            "DROP INDEX payroll_statementline_statement_idx",
        ],
    ),
    # A corrected statement is of the same person and the same week.
    statements(
        [
            "ALTER TABLE payroll_statement ADD CONSTRAINT statement_of_person_and_week UNIQUE (organisation_id, pay_week_id, person_id, id)",
            "ALTER TABLE payroll_statement ADD CONSTRAINT payroll_statement_corrects_own "
            "FOREIGN KEY (organisation_id, pay_week_id, person_id, corrects_id) "
            "REFERENCES payroll_statement (organisation_id, pay_week_id, person_id, id)",
        ],
        [
            "ALTER TABLE payroll_statement DROP CONSTRAINT payroll_statement_corrects_own",
            "ALTER TABLE payroll_statement DROP CONSTRAINT statement_of_person_and_week",
        ],
    ),
]

APPEND_ONLY = [f"payroll_{name}" for name in TABLES if name != "payweek"]

WEEK_CLOSES_ONCE = """
BEGIN
    IF TG_OP = 'INSERT' THEN
        IF NEW.state <> 'open' THEN
            RAISE EXCEPTION 'pay week %: a week begins open, not %', NEW.first_day, NEW.state
                USING ERRCODE = 'PW011', CONSTRAINT = 'pay_week_begins_open', TABLE = 'payroll_payweek';
        END IF;
        RETURN NEW;
    END IF;
    IF OLD.state = 'closed' THEN
        RAISE EXCEPTION 'pay week %: it was closed at % and is never changed again', OLD.first_day, OLD.closed_at
            USING ERRCODE = 'PW012', CONSTRAINT = 'pay_week_closes_once', TABLE = 'payroll_payweek',
                  HINT = 'Log the correction; the difference is paid in the open week.';
    END IF;
    IF NEW.state <> 'closed' OR (NEW.id, NEW.organisation_id, NEW.first_day, NEW.opened_by_id, NEW.opened_at)
        IS DISTINCT FROM (OLD.id, OLD.organisation_id, OLD.first_day, OLD.opened_by_id, OLD.opened_at) THEN
        RAISE EXCEPTION 'pay week %: the only change it knows is to be closed', OLD.first_day
            USING ERRCODE = 'PW012', CONSTRAINT = 'pay_week_closes_once', TABLE = 'payroll_payweek';
    END IF;
    RETURN NEW;
END
"""

STATEMENT_IN_OPEN_WEEK = """
DECLARE
    refused record;
BEGIN
    SELECT a.person_id, p.first_day, p.state AS paid_state, w.state AS worked_state, a.pay_week_id = a.paid_in_id AS same INTO refused
      FROM added a
      JOIN public.payroll_payweek p ON p.organisation_id = a.organisation_id AND p.id = a.paid_in_id
      JOIN public.payroll_payweek w ON w.organisation_id = a.organisation_id AND w.id = a.pay_week_id
     WHERE p.state <> 'open' OR (a.pay_week_id <> a.paid_in_id AND w.state <> 'closed')
     LIMIT 1;
    IF FOUND THEN
        RAISE EXCEPTION 'statement of person %: week % is %; statements are written into an open week, for itself or for a closed one',
            refused.person_id, refused.first_day, refused.paid_state
            USING ERRCODE = 'PW013', CONSTRAINT = 'statement_in_open_week', TABLE = 'payroll_statement';
    END IF;
    RETURN NULL;
END
"""

LINES_IN_OPEN_WEEK = """
DECLARE
    refused record;
BEGIN
    SELECT s.id, s.gross, t.total, w.state INTO refused
      FROM (SELECT a.statement_id, sum(a.amount) AS total FROM added a GROUP BY a.statement_id) t
      JOIN public.payroll_statement s ON s.id = t.statement_id
      JOIN public.payroll_payweek w ON w.id = s.paid_in_id
     WHERE t.total <> s.gross OR w.state <> 'open'
     LIMIT 1;
    IF FOUND THEN
        RAISE EXCEPTION 'statement %: its lines add up to %, its gross is %, its week is %', refused.id, refused.total, refused.gross, refused.state
            USING ERRCODE = 'PW014', CONSTRAINT = 'statement_lines_add_up', TABLE = 'payroll_statementline';
    END IF;
    RETURN NULL;
END
"""

ALLOTMENTS_ADD_UP = """
DECLARE
    refused record;
BEGIN
    SELECT l.id, l.amount, l.quantity, t.amount AS given, t.quantity AS done, w.state INTO refused
      FROM (SELECT a.line_id, sum(a.amount) AS amount, sum(a.quantity) AS quantity FROM added a GROUP BY a.line_id) t
      JOIN public.payroll_statementline l ON l.id = t.line_id
      JOIN public.payroll_statement s ON s.id = l.statement_id
      JOIN public.payroll_payweek w ON w.id = s.paid_in_id
     WHERE t.amount <> l.amount OR t.quantity <> l.quantity OR w.state <> 'open'
     LIMIT 1;
    IF FOUND THEN
        RAISE EXCEPTION 'line % of % for %: its entries add up to % for %; its week is %',
            refused.id, refused.amount, refused.quantity, refused.given, refused.done, refused.state
            USING ERRCODE = 'PW015', CONSTRAINT = 'line_allotments_add_up', TABLE = 'payroll_lineallotment';
    END IF;
    RETURN NULL;
END
"""

SHARES_ADD_UP = """
DECLARE
    refused record;
BEGIN
    SELECT l.id, l.amount, t.amount AS given, w.state INTO refused
      FROM (SELECT a.line_id, sum(a.amount) AS amount FROM added a GROUP BY a.line_id) t
      JOIN public.payroll_statementline l ON l.id = t.line_id
      JOIN public.payroll_statement s ON s.id = l.statement_id
      JOIN public.payroll_payweek w ON w.id = s.paid_in_id
     WHERE t.amount <> l.amount OR w.state <> 'open'
     LIMIT 1;
    IF FOUND THEN
        RAISE EXCEPTION 'line % of %: its jobs bear %; its week is %', refused.id, refused.amount, refused.given, refused.state
            USING ERRCODE = 'PW016', CONSTRAINT = 'line_job_shares_add_up', TABLE = 'payroll_jobshare';
    END IF;
    RETURN NULL;
END
"""

# At commit: nothing of a new statement is missing or there twice.
STATEMENT_COMPLETE = """
DECLARE
    total numeric;
    wrong record;
BEGIN
    SELECT COALESCE(sum(l.amount), 0) INTO total FROM public.payroll_statementline l WHERE l.statement_id = NEW.id;
    IF total <> NEW.gross THEN
        RAISE EXCEPTION 'statement %: its lines add up to %, its gross is %', NEW.id, total, NEW.gross
            USING ERRCODE = 'PW014', CONSTRAINT = 'statement_lines_add_up', TABLE = 'payroll_statement';
    END IF;
    SELECT l.id, l.code INTO wrong
      FROM public.payroll_statementline l
      CROSS JOIN LATERAL (SELECT COALESCE(sum(x.amount), 0) AS given, count(*) AS entries
                            FROM public.payroll_lineallotment x WHERE x.line_id = l.id) e
      CROSS JOIN LATERAL (SELECT COALESCE(sum(x.amount), 0) AS borne FROM public.payroll_jobshare x WHERE x.line_id = l.id) j
     WHERE l.statement_id = NEW.id
       AND ((l.code = 'piece' AND (e.entries = 0 OR e.given <> l.amount)) OR (l.code <> 'correction' AND j.borne <> l.amount))
     LIMIT 1;
    IF FOUND THEN
        RAISE EXCEPTION 'statement %: line % (%) is not traced whole to its entries and to the jobs that bear it', NEW.id, wrong.id, wrong.code
            USING ERRCODE = 'PW017', CONSTRAINT = 'statement_lines_are_traced', TABLE = 'payroll_statement';
    END IF;
    RETURN NULL;
END
"""

# Checks of what was just written look at the new rows and go by id to their parents; the sums over everything are taken
# once more at commit.
FUNCTIONS = {
    "piecewall_pay_week_closes_once": WEEK_CLOSES_ONCE,
    "piecewall_statement_in_open_week": STATEMENT_IN_OPEN_WEEK,
    "piecewall_lines_in_open_week": LINES_IN_OPEN_WEEK,
    "piecewall_allotments_add_up": ALLOTMENTS_ADD_UP,
    "piecewall_job_shares_add_up": SHARES_ADD_UP,
    "piecewall_statement_complete": STATEMENT_COMPLETE,
}


def after_insert(table, function):
    name = f"{table}_{function.removeprefix('piecewall_')}"
    return statements(
        [
            f"CREATE TRIGGER {name} AFTER INSERT ON {table} REFERENCING NEW TABLE AS added "
            f"FOR EACH STATEMENT EXECUTE FUNCTION {function}()"
        ],
        [f"DROP TRIGGER {name} ON {table}"],
    )


TRIGGERS = [
    *(definer_function(f"{name}()", "trigger", body, language="plpgsql", callable_by_app=False) for name, body in FUNCTIONS.items()),
    statements(
        [
            "CREATE TRIGGER payroll_payweek_closes_once BEFORE INSERT OR UPDATE ON payroll_payweek "
            "FOR EACH ROW EXECUTE FUNCTION piecewall_pay_week_closes_once()",
            "CREATE TRIGGER payroll_payweek_stays BEFORE DELETE OR TRUNCATE ON payroll_payweek "
            "FOR EACH STATEMENT EXECUTE FUNCTION piecewall_never_changed()",
            "CREATE CONSTRAINT TRIGGER payroll_statement_complete AFTER INSERT ON payroll_statement DEFERRABLE INITIALLY DEFERRED "
            "FOR EACH ROW EXECUTE FUNCTION piecewall_statement_complete()",
        ],
        [
            "DROP TRIGGER payroll_statement_complete ON payroll_statement",
            "DROP TRIGGER payroll_payweek_stays ON payroll_payweek",
            "DROP TRIGGER payroll_payweek_closes_once ON payroll_payweek",
        ],
    ),
    after_insert("payroll_statement", "piecewall_statement_in_open_week"),
    after_insert("payroll_statementline", "piecewall_lines_in_open_week"),
    after_insert("payroll_lineallotment", "piecewall_allotments_add_up"),
    after_insert("payroll_jobshare", "piecewall_job_shares_add_up"),
]

# Statements and lines get their ids before they are written, so that what hangs on them is joined by id.
SEQUENCES = [f"payroll_{name}_id_seq" for name in ("statement", "statementline")]

USE_SEQUENCES = statements(
    [f"GRANT USAGE ON SEQUENCE {', '.join(SEQUENCES)} TO {app_role()}"],
    [f"REVOKE ALL ON SEQUENCE {', '.join(SEQUENCES)} FROM {app_role()}"],
)


class Migration(migrations.Migration):
    dependencies = [("payroll", "0001_pay"), ("jobs", "0002_guards")]

    operations = [
        *(record_table(f"payroll_{name}", root=name in ROOTS) for name in TABLES),
        *KEYS,
        *(append_only(table) for table in APPEND_ONLY),
        *(grant(table) for table in APPEND_ONLY),
        grant("payroll_payweek", update=["state", "closed_by_id", "closed_at", "stopped", "pending", "entries_to", "hours_to"]),
        USE_SEQUENCES,
        *TRIGGERS,
    ]
