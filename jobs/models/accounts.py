"""Who signs in: users, the organisations they belong to and with what role, and their devices."""

from __future__ import annotations

from typing import Any, ClassVar

from django.contrib.auth.base_user import AbstractBaseUser, BaseUserManager
from django.contrib.postgres.fields import ArrayField
from django.db import models
from django.db.models.functions import Lower
from django.utils.crypto import salted_hmac

from jobs.tenancy import Record, own_key


class UserManager(BaseUserManager["User"]):
    """Makes users, always with a lower-case e-mail and a hashed password."""

    def create_user(self, email: str, password: str | None = None, **fields: Any) -> User:
        user = self.model(email=email.strip().lower(), **fields)
        user.set_password(password)
        user.full_clean(exclude=["password"])
        user.save(using=self._db)
        return user

    def get_by_natural_key(self, username: str | None) -> User:
        return self.get(email=(username or "").strip().lower())


class User(AbstractBaseUser):
    """Someone who signs in, with an e-mail and a password. Belongs to organisations by membership."""

    email = models.EmailField(unique=True)
    is_active = models.BooleanField(default=True)
    created_at = models.DateTimeField(auto_now_add=True)
    session_round = models.PositiveIntegerField(default=0, help_text="one more ends every session there is")

    objects: ClassVar[UserManager] = UserManager()
    USERNAME_FIELD = "email"
    EMAIL_FIELD = "email"

    class Meta:
        constraints = [
            models.CheckConstraint(condition=models.Q(email=Lower("email")), name="user_email_is_lower_case")
        ]

    def _get_session_auth_hash(self, secret: str | None = None) -> str:
        """What a session is held against on every request: another password or another round ends it."""
        return salted_hmac(
            "jobs.models.User", f"{self.password} {self.session_round}", secret=secret, algorithm="sha256"
        ).hexdigest()


class Organisation(models.Model):
    """One contractor. Its workweek holds for every job, so that hours of one week are counted together."""

    name = models.CharField(max_length=120)
    legal_name = models.CharField(max_length=200, blank=True)
    address = models.TextField(blank=True)
    workweek_start = models.PositiveSmallIntegerField(default=0, help_text="0 is Monday, 6 is Sunday")
    language = models.CharField(max_length=12, default="en")
    accent_colour = models.CharField(max_length=7, default="#1d4f5c")
    time_zone = models.CharField(max_length=64, default="UTC")
    second_factor_required = models.BooleanField(default=False, help_text="of every owner and office")
    created_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=models.Q(workweek_start__range=(0, 6)), name="organisation_workweek_starts_on_a_day"
            ),
            models.CheckConstraint(
                condition=models.Q(accent_colour__regex=r"^#[0-9a-f]{6}$"),
                name="organisation_accent_colour_is_hexadecimal",
            ),
            models.CheckConstraint(condition=~models.Q(name=""), name="organisation_has_a_name"),
        ]

    def __str__(self) -> str:
        return self.name


class Role(models.TextChoices):
    OWNER = "owner", "owner"
    OFFICE = "office", "office"
    FOREMAN = "foreman", "foreman"
    WORKER = "worker", "worker"


class Membership(Record):
    """A user's place in an organisation: the role, and the person he is paid as, if any."""

    user = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    role = models.CharField(max_length=8, choices=Role.choices)
    person = own_key("jobs.Person", null=True, blank=True)
    active = models.BooleanField(default=True)
    created_at = models.DateTimeField(auto_now_add=True)

    class Meta(Record.Meta):
        constraints = [
            models.UniqueConstraint(fields=["organisation", "user"], name="membership_once_per_user"),
            models.CheckConstraint(condition=models.Q(role__in=Role.values), name="membership_role_is_known"),
        ]


class Device(Record):
    """A phone or program that may use the API for one membership. Its token is kept as a SHA-256 digest only."""

    membership = own_key("jobs.Membership", related_name="devices")
    name = models.CharField(max_length=80)
    token_digest = models.BinaryField(max_length=32, unique=True)
    created_at = models.DateTimeField()
    expires_at = models.DateTimeField()
    last_used_at = models.DateTimeField(null=True, blank=True)
    revoked_at = models.DateTimeField(null=True, blank=True)

    class Meta(Record.Meta):
        constraints = [
            models.CheckConstraint(condition=~models.Q(name=""), name="device_has_a_name"),
            models.CheckConstraint(
                condition=models.Q(expires_at__gt=models.F("created_at")), name="device_expires_after_creation"
            ),
        ]


class Invitation(Record):
    """An offer to become a member, answered once by whoever holds the token that was mailed.

    The token is made by the worker that sends the mail, and kept as a digest; sending again makes another, and the one
    before is good no more. The e-mail is erased once the offer is accepted or withdrawn. `jobs` and `crews` are ids;
    they are looked at again when it is accepted.
    """

    email = models.EmailField(blank=True)
    role = models.CharField(max_length=8, choices=Role.choices)
    person = own_key("jobs.Person", null=True, blank=True)
    jobs = ArrayField(models.BigIntegerField(), default=list, blank=True)
    crews = ArrayField(models.BigIntegerField(), default=list, blank=True)
    invited_by = own_key("jobs.Membership")
    token_digest = models.BinaryField(max_length=32, unique=True, null=True, blank=True)
    created_at = models.DateTimeField()
    expires_at = models.DateTimeField()
    sent_at = models.DateTimeField(null=True, blank=True)
    accepted_at = models.DateTimeField(null=True, blank=True)
    withdrawn_at = models.DateTimeField(null=True, blank=True)
    membership = own_key("jobs.Membership", null=True, blank=True)

    class Meta(Record.Meta):
        constraints = [
            models.CheckConstraint(condition=models.Q(role__in=Role.values), name="invitation_role_is_known"),
            models.CheckConstraint(condition=models.Q(email=Lower("email")), name="invitation_email_is_lower_case"),
            models.CheckConstraint(
                condition=models.Q(expires_at__gt=models.F("created_at")), name="invitation_expires_after_creation"
            ),
            models.CheckConstraint(
                condition=models.Q(accepted_at__isnull=True) | models.Q(withdrawn_at__isnull=True),
                name="invitation_ends_one_way",
            ),
            models.CheckConstraint(
                condition=models.Q(accepted_at__isnull=True, membership__isnull=True)
                | models.Q(accepted_at__isnull=False, membership__isnull=False),
                name="invitation_accepted_makes_a_member",
            ),
            models.UniqueConstraint(
                fields=["organisation", "email"],
                condition=models.Q(accepted_at=None, withdrawn_at=None),
                name="invitation_stands_once",
            ),
        ]
