"""Invitations, devices called something else, sessions ended all at once, and an organisation that keeps an owner."""

import django.contrib.postgres.fields
import django.db.models.deletion
import django.db.models.functions.text
from django.db import migrations, models
from django.db.models import F, Q

from jobs.tenancy_sql import app_role, definer_function, grant, own_key, record_table, statements


def _key(to, **options):
    return models.ForeignKey(
        db_constraint=False,
        db_index=False,
        on_delete=django.db.models.deletion.PROTECT,
        related_name="+",
        to=to,
        **options,
    )


ROLES = ["owner", "office", "foreman", "worker"]
INVITATION = migrations.CreateModel(
    name="Invitation",
    fields=[
        ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
        ("email", models.EmailField(blank=True, max_length=254)),
        ("role", models.CharField(choices=[(role, role) for role in ROLES], max_length=8)),
        ("jobs", django.contrib.postgres.fields.ArrayField(models.BigIntegerField(), blank=True, default=list)),
        ("crews", django.contrib.postgres.fields.ArrayField(models.BigIntegerField(), blank=True, default=list)),
        ("token_digest", models.BinaryField(blank=True, max_length=32, null=True, unique=True)),
        ("created_at", models.DateTimeField()),
        ("expires_at", models.DateTimeField()),
        ("sent_at", models.DateTimeField(blank=True, null=True)),
        ("accepted_at", models.DateTimeField(blank=True, null=True)),
        ("withdrawn_at", models.DateTimeField(blank=True, null=True)),
        ("invited_by", _key("jobs.membership")),
        ("membership", _key("jobs.membership", blank=True, null=True)),
        ("organisation", _key("jobs.organisation", editable=False)),
        ("person", _key("jobs.person", blank=True, null=True)),
    ],
    options={
        "abstract": False,
        "base_manager_name": "objects",
        "constraints": [
            models.CheckConstraint(condition=Q(role__in=ROLES), name="invitation_role_is_known"),
            models.CheckConstraint(
                condition=Q(email=django.db.models.functions.text.Lower("email")), name="invitation_email_is_lower_case"
            ),
            models.CheckConstraint(
                condition=Q(expires_at__gt=F("created_at")), name="invitation_expires_after_creation"
            ),
            models.CheckConstraint(
                condition=Q(accepted_at__isnull=True) | Q(withdrawn_at__isnull=True), name="invitation_ends_one_way"
            ),
            models.CheckConstraint(
                condition=Q(accepted_at__isnull=True, membership__isnull=True)
                | Q(accepted_at__isnull=False, membership__isnull=False),
                name="invitation_accepted_makes_a_member",
            ),
            models.UniqueConstraint(
                fields=("organisation", "email"),
                condition=Q(accepted_at=None, withdrawn_at=None),
                name="invitation_stands_once",
            ),
        ],
    },
)

# Locks those who stay, so that two owners cannot take each other out at the same moment.
OWNER_KEPT = """
BEGIN
    PERFORM 1 FROM public.jobs_membership m
     WHERE m.organisation_id = OLD.organisation_id AND m.role = 'owner' AND m.active
     ORDER BY m.id FOR NO KEY UPDATE;
    IF NOT FOUND THEN
        RAISE EXCEPTION 'membership %: the last owner of organisation % stays its owner', OLD.id, OLD.organisation_id
            USING ERRCODE = 'PW006', CONSTRAINT = 'organisation_keeps_an_owner', TABLE = 'jobs_membership',
                  HINT = 'Make another member an owner first.';
    END IF;
    RETURN NULL;
END
"""


class Migration(migrations.Migration):
    dependencies = [("jobs", "0006_said_and_noticed")]

    operations = [
        migrations.AddField(
            "user",
            "session_round",
            models.PositiveIntegerField(default=0, help_text="one more ends every session there is"),
        ),
        INVITATION,
        record_table("jobs_invitation"),
        own_key("jobs_invitation", "person_id", "jobs_person", index=False),
        own_key("jobs_invitation", "invited_by_id", "jobs_membership", index=False),
        own_key("jobs_invitation", "membership_id", "jobs_membership", index=False),
        grant(
            "jobs_invitation",
            update=["email", "token_digest", "expires_at", "sent_at", "accepted_at", "withdrawn_at", "membership_id"],
        ),
        statements(
            [
                "CREATE TRIGGER jobs_invitation_never_emptied BEFORE TRUNCATE ON jobs_invitation "
                "FOR EACH STATEMENT EXECUTE FUNCTION piecewall_never_changed()",
                f"GRANT UPDATE (name) ON jobs_device TO {app_role()}",
            ],
            [
                f"REVOKE UPDATE (name) ON jobs_device FROM {app_role()}",
                "DROP TRIGGER jobs_invitation_never_emptied ON jobs_invitation",
            ],
        ),
        # Whoever holds the token of an invitation is no member yet, so no organisation is in scope.
        definer_function(
            "piecewall_invitation(digest bytea)",
            "TABLE (invitation_id bigint, organisation_id bigint, organisation_name varchar, email varchar, role varchar, "
            "expires_at timestamptz)",
            """
            SELECT i.id, i.organisation_id, o.name, i.email, i.role, i.expires_at
              FROM public.jobs_invitation i
              JOIN public.jobs_organisation o ON o.id = i.organisation_id
             WHERE i.token_digest = digest AND i.accepted_at IS NULL AND i.withdrawn_at IS NULL
            """,
        ),
        definer_function("piecewall_owner_kept()", "trigger", OWNER_KEPT, language="plpgsql", callable_by_app=False),
        statements(
            [
                "CREATE TRIGGER jobs_membership_owner_kept AFTER UPDATE OF role, active ON jobs_membership FOR EACH ROW "
                "WHEN (OLD.role = 'owner' AND OLD.active AND NOT (NEW.role = 'owner' AND NEW.active)) "
                "EXECUTE FUNCTION piecewall_owner_kept()"
            ],
            ["DROP TRIGGER jobs_membership_owner_kept ON jobs_membership"],
        ),
    ]
