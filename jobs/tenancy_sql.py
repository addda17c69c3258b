"""SQL for migrations: row security, composite keys, append-only triggers and grants, each made one way only.

Used by the migrations of every app. The role that runs migrations owns the tables; the application's role owns
nothing, so row security, triggers and column grants bind it. Every function returns a migration operation.
"""

from __future__ import annotations

from collections.abc import Sequence

from django.conf import settings
from django.db.migrations.operations import RunSQL

SCOPE = "NULLIF(current_setting('piecewall.organisation', true), '')::bigint"


def app_role() -> str:
    """The application's database role, quoted for SQL."""
    name = getattr(settings, "DATABASE_APP_ROLE", "") or settings.DATABASES["default"]["USER"]
    return '"' + str(name).replace('"', '""') + '"'


def record_table(table: str, *, root: bool = False) -> RunSQL:
    """Put row security on a table with an organisation_id, and a unique (organisation_id, id) for composite keys.

    `root` adds the foreign key to the organisation itself. Other tables reach it through their composite keys: a
    key straight to the organisation would have every insert of a firm lock the same row.
    """
    forward = [
        f"ALTER TABLE {table} ADD CONSTRAINT {table}_own UNIQUE (organisation_id, id)",
        f"ALTER TABLE {table} ENABLE ROW LEVEL SECURITY",
        f"CREATE POLICY {table}_scope ON {table} "
        f"USING (organisation_id = {SCOPE}) WITH CHECK (organisation_id = {SCOPE})",
    ]
    backward = [
        f"DROP POLICY {table}_scope ON {table}",
        f"ALTER TABLE {table} DISABLE ROW LEVEL SECURITY",
        f"ALTER TABLE {table} DROP CONSTRAINT {table}_own",
    ]
    if root:
        forward.append(
            f"ALTER TABLE {table} ADD CONSTRAINT {table}_organisation "
            "FOREIGN KEY (organisation_id) REFERENCES jobs_organisation (id)"
        )
        backward.insert(0, f"ALTER TABLE {table} DROP CONSTRAINT {table}_organisation")
    return _run(forward, backward)


def own_key(table: str, column: str, parent: str, *, of: str = "", to: str = "id", index: bool = True) -> RunSQL:
    """A composite foreign key (organisation_id, column) -> parent (organisation_id, id), with its index.

    `of` names one more column that both tables share, as `of="job_id"` makes a work unit and its wall stand on the
    same job; the parent then needs a unique constraint over all three. `index=False` where a unique constraint
    already leads with these columns, or nobody looks rows up by them.
    """
    shared = f"organisation_id, {of}, " if of else "organisation_id, "
    short = f"{table}_{column.removesuffix('_id')}"
    forward = [
        f"ALTER TABLE {table} ADD CONSTRAINT {short}_own "
        f"FOREIGN KEY ({shared}{column}) REFERENCES {parent} ({shared}{to})"
    ]
    backward = [f"ALTER TABLE {table} DROP CONSTRAINT {short}_own"]
    if index:
        forward.append(f"CREATE INDEX {short}_idx ON {table} (organisation_id, {column})")
        backward.insert(0, f"DROP INDEX {short}_idx")
    return _run(forward, backward)


def append_only(table: str) -> RunSQL:
    """Refuse UPDATE, DELETE and TRUNCATE for everybody, the owner too. Needs `never_changed_function` before it."""
    return _run(
        [
            f"CREATE TRIGGER {table}_append_only BEFORE UPDATE OR DELETE OR TRUNCATE ON {table} "
            "FOR EACH STATEMENT EXECUTE FUNCTION piecewall_never_changed()"
        ],
        [f"DROP TRIGGER {table}_append_only ON {table}"],
    )


def never_emptied(table: str) -> RunSQL:
    """Refuse TRUNCATE of a table whose rows may change. Needs `never_changed_function` before it."""
    return _run(
        [
            f"CREATE TRIGGER {table}_never_emptied BEFORE TRUNCATE ON {table} "
            "FOR EACH STATEMENT EXECUTE FUNCTION piecewall_never_changed()"
        ],
        [f"DROP TRIGGER {table}_never_emptied ON {table}"],
    )


def never_changed_function() -> RunSQL:
    """The trigger function behind `append_only` and `never_emptied`; SQLSTATE PW002."""
    return _run(
        [
            """
            CREATE FUNCTION piecewall_never_changed() RETURNS trigger LANGUAGE plpgsql
                SET search_path = pg_catalog AS $$
            BEGIN
                RAISE EXCEPTION '% of % is refused: rows there are never changed or deleted', TG_OP, TG_TABLE_NAME
                    USING ERRCODE = 'PW002', TABLE = TG_TABLE_NAME,
                          HINT = 'Write a new row that points at the one it corrects.';
            END $$
            """
        ],
        ["DROP FUNCTION piecewall_never_changed()"],
    )


def grant(table: str, *, update: bool | Sequence[str] = False, delete: bool = False, insert: bool = True) -> RunSQL:
    """Let the application read `table`, and insert, update (all columns or those named) and delete as said."""
    rights = ["SELECT"]
    if insert:
        rights.append("INSERT")
    if update is True:
        rights.append("UPDATE")
    elif update:
        rights.append(f"UPDATE ({', '.join(update)})")
    if delete:
        rights.append("DELETE")
    return _run([f"GRANT {', '.join(rights)} ON {table} TO {app_role()}"], [f"REVOKE ALL ON {table} FROM {app_role()}"])


def definer_function(
    signature: str, returns: str, body: str, *, language: str = "sql", callable_by_app: bool = True
) -> RunSQL:
    """A SECURITY DEFINER function with a fixed search path, callable by the application's role alone.

    It runs as the owner of the tables and so looks past row security: keep it narrow. Names in `body` must bear
    their schema.
    """
    volatility = "STABLE " if language == "sql" else ""
    forward = [
        f"CREATE FUNCTION {signature} RETURNS {returns} LANGUAGE {language} {volatility}SECURITY DEFINER "
        f"SET search_path = pg_catalog, pg_temp AS $body$ {body} $body$",
        f"REVOKE ALL ON FUNCTION {signature} FROM PUBLIC",
    ]
    if callable_by_app:
        forward.append(f"GRANT EXECUTE ON FUNCTION {signature} TO {app_role()}")
    return _run(forward, [f"DROP FUNCTION {signature}"])


def statements(forward: Sequence[str], backward: Sequence[str]) -> RunSQL:
    """Any other statements, run in order; `backward` undoes them."""
    return _run(forward, backward)


def _run(forward: Sequence[str], backward: Sequence[str]) -> RunSQL:
    return RunSQL(
        sql=[(statement, None) for statement in forward], reverse_sql=[(statement, None) for statement in backward]
    )
